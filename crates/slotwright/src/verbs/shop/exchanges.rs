//! Modules at the bench that are of another sort than the chosen build has them, and what the check says of a machine with them.

use super::chosen::{self, ChosenBuild};
use super::offer::Modules;
use crate::verbs::findings::FindingView;
use crate::world::Data;
use domain::Module;
use domain::item::Item;
use domain::order::Reservation;
use std::sync::Arc;

/// A slot that holds another sort than was chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchange {
    /// From 1.
    pub machine: u32,
    slot: String,
    /// The sort that was chosen, and the one that is there.
    was: String,
    is: String,
    label: String,
    condition: String,
}

impl Exchange {
    /// `machine 1, slot west-2-outer: … in the place of …`
    pub fn words(&self) -> String {
        format!("machine {}, slot {}: {} in the place of {}", self.machine, self.slot, self.is, self.was)
    }
}

/// What an item is sorted by, and its module where its label can be read.
pub fn sort_of(data: &Data, item: &Item) -> (String, Option<Arc<Module>>) {
    let module = Modules::new(data.library.catalog()).get(&item.model.label);
    let sort = module.as_ref().map(|m| chosen::sort(m, item.condition));
    (sort.unwrap_or_else(|| format!("{} {}", item.model.label, item.condition)), module)
}

/// What is other than chosen among the modules that are promised to an order.
pub fn of(data: &Data, chosen: &ChosenBuild, promised: &[Reservation]) -> Vec<Exchange> {
    let other = |r: &Reservation| {
        let pick = chosen.picks.iter().find(|p| p.slot == r.slot)?;
        let (is, _) = sort_of(data, &r.item);
        (is != pick.sort).then(|| Exchange {
            machine: r.machine,
            slot: r.slot.clone(),
            was: pick.sort.clone(),
            is,
            label: r.item.model.label.clone(),
            condition: r.item.condition.to_string(),
        })
    };
    promised.iter().filter(|r| r.promise.binds()).filter_map(other).collect()
}

/// The chosen build with what was exchanged in one machine.
pub fn build(chosen: &ChosenBuild, exchanges: &[Exchange], machine: u32) -> ChosenBuild {
    let mut build = chosen.clone();
    for exchange in exchanges.iter().filter(|e| e.machine == machine) {
        build.build.slots.insert(exchange.slot.clone(), exchange.label.clone());
        for pick in build.picks.iter_mut().filter(|p| p.slot == exchange.slot) {
            pick.module.clone_from(&exchange.label);
            pick.sort.clone_from(&exchange.is);
            pick.condition.clone_from(&exchange.condition);
        }
    }
    build
}

/// What the check finds in one machine with what was exchanged, and does not find in the chosen build.
pub fn findings(data: &Data, chosen: &ChosenBuild, exchanges: &[Exchange], machine: u32) -> Vec<String> {
    let found = |build: &ChosenBuild| {
        let checked = build.check(data).map_err(|e| format!("the build can't be checked with it: {e}"))?;
        let matter = checked.view.findings.iter().filter(|f| f.matters());
        Ok::<_, String>(matter.map(words).collect::<Vec<_>>())
    };
    if !exchanges.iter().any(|e| e.machine == machine) {
        return Vec::new();
    }
    match (found(chosen), found(&build(chosen, exchanges, machine))) {
        (before, Ok(now)) => {
            let before = before.unwrap_or_default();
            now.into_iter().filter(|f| !before.contains(f)).collect()
        }
        (_, Err(why)) => vec![why],
    }
}

fn words(finding: &FindingView) -> String {
    format!("{}: {}, {}", finding.severity, finding.rule, finding.evidence)
}
