//! What the shop can build from: its shelf as lots of a need.

use super::chosen::{self, ChosenBuild};
use crate::failure::Failure;
use crate::verbs::resolve;
use crate::world::Data;
use domain::{Catalog, Condition, Lot, Module, Money, Need};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use store::Store;

/// What is free on the shelf, by label and condition, each at the mean of what it cost, rounded up to the cent. A label that can't
/// be read is left out: nothing can be planned with it.
///
/// # Errors
/// The database's, or costs in more than one currency.
pub fn lots(data: &Data, store: &Store) -> Result<Vec<Lot>, Failure> {
    let mut known = Modules::new(data.library.catalog());
    let mut gathered: BTreeMap<(String, Condition), Gathered> = BTreeMap::new();
    for lot in store.free_lots()? {
        let Some(module) = known.get(&lot.label) else { continue };
        let key = (chosen::sort(&module, lot.condition), lot.condition);
        let none = Gathered { module, sum: Money::from_minor(0, lot.each.currency()), count: 0, bin: lot.bin };
        let so_far = gathered.entry(key).or_insert(none);
        so_far.sum = so_far.sum.plus(lot.each.times(i64::from(lot.count)))?;
        so_far.count = so_far.count.saturating_add(lot.count);
    }
    Ok(gathered.into_iter().map(|((_, condition), lot)| lot.lot(condition)).collect())
}

/// What these lots lack of a build, for so many machines.
pub fn lacks(lots: &[Lot], build: &ChosenBuild, machines: u32) -> Vec<String> {
    let mut needed: BTreeMap<&str, u32> = BTreeMap::new();
    for pick in &build.picks {
        let count = needed.entry(&pick.sort).or_default();
        *count = count.saturating_add(machines);
    }
    let missing = needed.into_iter().filter_map(|(sort, needed)| {
        let of_sort = lots.iter().filter(|l| chosen::sort(&l.module, l.condition) == sort);
        let free: u32 = of_sort.map(|l| l.count.unwrap_or(u32::MAX)).fold(0, u32::saturating_add);
        (free < needed).then(|| format!("{} of {needed} {sort}", needed - free))
    });
    missing.collect()
}

/// Those lots that a need allows: of the kinds, capacities and rates that it leaves in the catalogue.
pub fn within(data: &Data, need: &Need, lots: Vec<Lot>) -> Vec<Lot> {
    let all: Vec<&Module> = data.library.catalog().modules.values().map(AsRef::as_ref).collect();
    let asked: Vec<&Module> = need.lots.iter().map(|l| l.module.as_ref()).collect();
    let kinds = Narrowed::new(&all, &asked, |m| m.kind);
    let capacities = Narrowed::new(&all, &asked, |m| m.capacity);
    let rates = Narrowed::new(&all, &asked, |m| m.rate);
    let allowed = |m: &Module| kinds.allows(m.kind) && capacities.allows(m.capacity) && rates.allows(m.rate);
    lots.into_iter().filter(|lot| allowed(&lot.module)).collect()
}

/// Values of a property that a need left in; all are, also unknown ones, where it left out none.
struct Narrowed<T> {
    left: BTreeSet<T>,
    whole: bool,
}

impl<T: Ord> Narrowed<T> {
    fn new(all: &[&Module], asked: &[&Module], of: impl Fn(&Module) -> T) -> Self {
        let set = |modules: &[&Module]| modules.iter().map(|m| of(m)).collect::<BTreeSet<T>>();
        let left = set(asked);
        Self { whole: left == set(all), left }
    }
    fn allows(&self, value: T) -> bool {
        self.whole || self.left.contains(&value)
    }
}

/// Free modules of one sort.
struct Gathered {
    module: Arc<Module>,
    sum: Money,
    count: u32,
    bin: String,
}

impl Gathered {
    fn lot(self, condition: Condition) -> Lot {
        let count = i64::from(self.count.max(1));
        let mean = self.sum.minor().div_euclid(count) + i64::from(self.sum.minor().rem_euclid(count) != 0);
        Lot {
            module: self.module,
            condition,
            each: Money::from_minor(mean, self.sum.currency()),
            count: Some(self.count),
            bin: Some(self.bin).filter(|b| !b.is_empty()),
        }
    }
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
