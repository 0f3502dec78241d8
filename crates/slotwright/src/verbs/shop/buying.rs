//! What modules can be bought for: the cheapest supplier's price of the day, and the catalogue's where no supplier has one.

use super::chosen::sort;
use super::offer::{self, Modules};
use crate::failure::Failure;
use crate::world::Data;
use domain::{Condition, Currency, Day, Lot, Module, Money, Need};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use store::Store;

/// Prices of suppliers by sort and currency, the cheapest of each; of equal ones the first by name.
#[derive(Debug, Default)]
pub struct Suppliers(BTreeMap<(String, String), Offered>);

/// What a supplier asks for one module.
#[derive(Debug)]
struct Offered {
    each: Money,
    supplier: String,
    module: Arc<Module>,
    condition: Condition,
}

impl Suppliers {
    /// Those that hold on a day.
    ///
    /// # Errors
    /// The store's.
    pub fn on(data: &Data, store: &Store, day: Day) -> Result<Self, Failure> {
        let mut known = Modules::new(data.library.catalog());
        let mut all: BTreeMap<(String, String), Offered> = BTreeMap::new();
        for price in store.prices_on(day)? {
            let (Some(supplier), Some(module)) = (price.supplier, known.get(&price.label)) else { continue };
            let key = (sort(&module, price.condition), price.each.currency().to_string());
            let offered = Offered { each: price.each, supplier, module, condition: price.condition };
            let cheaper = |had: &Offered| (offered.each.minor(), &offered.supplier) < (had.each.minor(), &had.supplier);
            if all.get(&key).is_none_or(cheaper) {
                all.insert(key, offered);
            }
        }
        Ok(Self(all))
    }
    /// The cheapest for a sort in a currency, and who sells it.
    pub fn cheapest(&self, sort: &str, currency: Currency) -> Option<(Money, &str)> {
        let offered = self.0.get(&(sort.to_string(), currency.to_string()))?;
        Some((offered.each, &offered.supplier))
    }
    /// What a need can be met with from the catalogue, at suppliers' prices where they have one; and what only they sell, as far
    /// as the need leaves its kind, capacity, rate and condition in.
    pub fn lots(&self, data: &Data, need: &Need) -> Vec<Lot> {
        let sold = |lot: &Lot| lot.count.is_none();
        let mut lots = need.lots.clone();
        let (mut sorts, mut conditions) = (BTreeSet::new(), BTreeSet::new());
        for lot in &mut lots {
            let name = sort(&lot.module, lot.condition);
            if let Some((each, _)) = self.cheapest(&name, lot.each.currency()).filter(|_| sold(lot)) {
                lot.each = each;
            }
            sorts.insert(name);
            conditions.insert(lot.condition);
        }
        let Some(currency) = lots.first().filter(|_| lots.iter().all(sold)).map(|l| l.each.currency()) else {
            return lots;
        };
        let other = |((name, of), o): &(&(String, String), &Offered)| {
            *of == currency.to_string() && conditions.contains(&o.condition) && !sorts.contains(name)
        };
        let more = self.0.iter().filter(other).map(|(_, offered)| offered);
        let lot = |o: &Offered| Lot {
            module: Arc::clone(&o.module),
            condition: o.condition,
            each: o.each,
            count: None,
            bin: None,
        };
        let more = offer::within(data, need, more.map(lot).collect());
        lots.extend(more);
        lots
    }
}
