//! What modules are sold at on the day of a quote: the shop's price list, then margins by class.

use crate::failure::Failure;
use crate::verbs::shop::chosen::sort;
use crate::verbs::shop::offer::Modules;
use crate::world::Data;
use domain::quote::{Margin, classes, margin_of};
use domain::shop::Percent;
use domain::{Condition, Day, Module, Money};
use std::collections::BTreeMap;
use store::Store;

/// What modules are sold at on the day of a quote.
#[derive(Debug, Clone, Default)]
pub struct Selling {
    /// The shop's own price list, by what modules of a kind have in common, whatever is printed on them.
    listed: BTreeMap<String, Vec<Listed>>,
    margins: Vec<Margin>,
}

/// A row of the shop's own price list.
#[derive(Debug, Clone)]
struct Listed {
    label: String,
    each: Money,
}

impl Selling {
    /// What holds on a day.
    ///
    /// # Errors
    /// The store's.
    pub fn on(data: &Data, store: &Store, day: Day) -> Result<Self, Failure> {
        let mut known = Modules::new(data.library.catalog());
        let mut listed: BTreeMap<String, Vec<Listed>> = BTreeMap::new();
        for price in store.prices_on(day)?.into_iter().filter(|p| p.supplier.is_none()) {
            let Some(module) = known.get(&price.label) else { continue };
            let of_sort = listed.entry(sort(&module, price.condition)).or_default();
            of_sort.push(Listed { label: price.label, each: price.each });
        }
        Ok(Self { listed, margins: store.margins_on(day)? })
    }
    /// Does the shop say what it asks for any module?
    pub fn says_something(&self) -> bool {
        !self.margins.is_empty() || !self.listed.is_empty()
    }
    /// What the shop asks for a module that costs it `cost`: the listed price of its sort, else the margin of its class, else
    /// `margin`. Where several labels of the sort are listed, that of its own label counts, else the dearest of them.
    ///
    /// # Errors
    /// The list is in another currency than the cost.
    pub fn each(&self, module: &Module, condition: Condition, cost: Money, margin: Percent) -> Result<Money, Failure> {
        let of_sort = self.listed.get(&sort(module, condition)).map(Vec::as_slice).unwrap_or_default();
        let own = of_sort.iter().find(|l| l.label == module.label);
        let Some(listed) = own.or_else(|| of_sort.iter().max_by_key(|l| l.each.minor())) else {
            let classes = classes(condition, module.generation, module.kind);
            return Ok(margin_of(&self.margins, &classes).unwrap_or(margin).on(cost));
        };
        if listed.each.currency() != cost.currency() {
            return Err(Failure::Shop {
                why: format!(
                    "the price list has `{}`, {condition}, at {}, and it costs {cost}",
                    listed.label, listed.each
                ),
                hint: "give the price list in the currency of the stock with `slotwright quote prices FILE --correct`"
                    .to_string(),
            });
        }
        Ok(listed.each)
    }
}
