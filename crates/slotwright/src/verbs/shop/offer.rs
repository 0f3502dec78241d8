//! What the shop can build from: its shelf as lots of a need.

use crate::failure::Failure;
use crate::verbs::resolve;
use crate::world::Data;
use domain::{Catalog, Condition, Lot, Module, Money};
use std::collections::BTreeMap;
use std::sync::Arc;
use store::Store;

/// What is free on the shelf, by label and condition, each at the mean of what it cost, rounded up to the cent. A label that can't
/// be read is left out: nothing can be planned with it.
///
/// # Errors
/// The database's, or costs in more than one currency.
pub fn lots(data: &Data, store: &Store) -> Result<Vec<Lot>, Failure> {
    let mut known = Modules::new(data.library.catalog());
    let mut gathered: BTreeMap<(String, Condition), (Arc<Module>, i64, u32, Money, String)> = BTreeMap::new();
    for lot in store.free_lots()? {
        let Some(module) = known.get(&lot.label) else { continue };
        let key = (super::chosen::sort(&module, lot.condition), lot.condition);
        let entry = gathered.entry(key).or_insert((module, 0, 0, lot.each, lot.bin));
        entry.3.plus(lot.each)?;
        entry.1 = entry.1.saturating_add(lot.each.minor().saturating_mul(i64::from(lot.count)));
        entry.2 = entry.2.saturating_add(lot.count);
    }
    let lot = |((_, condition), (module, sum, count, each, bin)): (_, (Arc<Module>, i64, u32, Money, String))| Lot {
        module,
        condition,
        each: Money::from_minor(
            sum.div_euclid(i64::from(count.max(1))) + i64::from(sum % i64::from(count.max(1)) != 0),
            each.currency(),
        ),
        count: Some(count),
        bin: Some(bin).filter(|b| !b.is_empty()),
    };
    Ok(gathered.into_iter().map(lot).collect())
}

/// Labels of the store → modules, each label read once.
pub struct Modules<'a> {
    catalog: &'a Catalog,
    known: BTreeMap<String, Option<Arc<Module>>>,
}

impl<'a> Modules<'a> {
    /// None is read yet.
    pub fn new(catalog: &'a Catalog) -> Self {
        Self { catalog, known: BTreeMap::new() }
    }
    /// The module of a label, where it can be read.
    pub fn get(&mut self, label: &str) -> Option<Arc<Module>> {
        if let Some(known) = self.known.get(label) {
            return known.clone();
        }
        let of_catalog = self.catalog.modules.values().find(|m| m.label == label || m.id.0 == label).map(Arc::clone);
        let module = of_catalog.or_else(|| resolve::module(self.catalog, label).ok().map(Arc::new));
        self.known.insert(label.to_string(), module.clone());
        module
    }
}
