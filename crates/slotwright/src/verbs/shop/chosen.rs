//! The build that an order or a quote is for, as the store keeps it: a document of this program.

use crate::failure::Failure;
use crate::verbs::check::{self, Checked};
use crate::verbs::plan::{BuildView, Plan, PlanView};
use crate::world::Data;
use catalog::Input;
use domain::{Condition, Module};
use engine::plan::Origin;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A chosen build.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChosenBuild {
    /// What it is made of, in a few words.
    pub words: String,
    pub build: BuildView,
    /// What comes from the shelf, slot by slot, for one machine.
    pub picks: Vec<ChosenPick>,
}

/// A module from the shelf for one slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChosenPick {
    pub slot: String,
    /// From 0.
    pub socket: u16,
    pub module: String,
    /// What modules of this kind have in common, whatever is printed on them.
    pub sort: String,
    /// `new` or `used`.
    pub condition: String,
}

impl ChosenBuild {
    /// Of a plan.
    pub fn new(view: &PlanView, plan: &Plan) -> Self {
        Self { words: view.made_of(), build: view.build.clone(), picks: picks(plan) }
    }
    /// The build as it is judged today.
    ///
    /// # Errors
    /// Its board or a module is not known any more.
    pub fn check(&self, data: &Data) -> Result<Checked, Failure> {
        check::check_text(&data.library, &Input::text("the chosen build", text(&self.build)?))
    }
    /// For the store.
    ///
    /// # Errors
    /// It can't be written as JSON, which is our bug.
    pub fn write(&self) -> Result<String, Failure> {
        Ok(serde_json::to_string(self)?)
    }
    /// From the store.
    ///
    /// # Errors
    /// Another program wrote it.
    pub fn read(text: &str) -> Result<Self, Failure> {
        serde_json::from_str(text).map_err(|e| Failure::Shop {
            why: format!("the chosen build in the store can't be read: {e}"),
            hint: "choose the build again".to_string(),
        })
    }
}

/// What of a plan comes from lots.
fn picks(plan: &Plan) -> Vec<ChosenPick> {
    let pick = |pick: &engine::plan::Pick| {
        let module = plan.build.slots.get(pick.slot.at())?.as_ref()?;
        let slot = plan.build.board.slot(pick.slot);
        matches!(pick.origin, Origin::Lot(_)).then(|| ChosenPick {
            slot: slot.label.clone(),
            socket: u16::from(slot.address.socket),
            module: module.label.clone(),
            sort: sort(module, pick.condition),
            condition: pick.condition.to_string(),
        })
    };
    plan.picks.iter().filter_map(pick).collect()
}

/// How far a plan is from a chosen build: modules and processors that differ, then slots that hold another sort.
pub fn distance(chosen: &ChosenBuild, plan: &Plan) -> (usize, usize) {
    let filled = |slots: &BTreeMap<String, String>, picks: &[ChosenPick]| -> BTreeMap<String, String> {
        let sort = |slot: &str| picks.iter().find(|p| p.slot == slot).map(|p| p.sort.clone());
        slots.iter().map(|(slot, module)| (slot.clone(), sort(slot).unwrap_or_else(|| module.clone()))).collect()
    };
    let build = BuildView::new(&plan.build);
    let (was, is) = (filled(&chosen.build.slots, &chosen.picks), filled(&build.slots, &picks(plan)));
    let mut counts: BTreeMap<&str, i64> = BTreeMap::new();
    for (filled, step) in [(&was, 1), (&is, -1)] {
        filled.values().for_each(|sort| *counts.entry(sort).or_default() += step);
    }
    let other = counts.values().map(|n| n.unsigned_abs() as usize).sum::<usize>();
    let processors = chosen.build.processors.iter().zip(&build.processors).filter(|(a, b)| a != b).count();
    let slots = was.keys().chain(is.keys()).filter(|slot| was.get(*slot) != is.get(*slot)).count();
    (other + processors, slots)
}

/// What tells sorts of modules apart where any of a sort will do: kind, organisation, capacity, rate and condition.
pub fn sort(module: &Module, condition: Condition) -> String {
    format!("{} {} {condition}", module.generation, module.short())
}

/// What a person saw of a plan when it was picked by its number: what it is made of, and its price for all machines.
pub fn seen(view: &PlanView) -> String {
    format!("{}; {}", view.made_of(), view.price_all)
}

/// Holds a plan against what a person saw of it; a number alone may stand for another plan by now.
///
/// # Errors
/// They differ.
pub fn as_seen(view: &PlanView, saw: Option<&str>) -> Result<(), Failure> {
    let now = seen(view);
    match saw {
        Some(saw) if saw != now => Err(Failure::Shop {
            why: format!("plan {} is not what it was: {now} instead of {saw}", view.number),
            hint: "the stock or the prices changed meanwhile; look at the plans again and choose".to_string(),
        }),
        _ => Ok(()),
    }
}

/// A build file's text.
fn text(build: &BuildView) -> Result<String, Failure> {
    let value = |t: &str| toml::Value::from(t);
    let mut table = toml::Table::new();
    table.insert("format".to_string(), toml::Value::Integer(1));
    table.insert("board".to_string(), value(&build.board));
    let processors = build.processors.iter().map(|p| value(p.as_deref().unwrap_or("none"))).collect();
    table.insert("processors".to_string(), toml::Value::Array(processors));
    if !domain::Mode(build.mode.as_str().into()).is_independent() {
        table.insert("mode".to_string(), value(&build.mode));
    }
    for (key, given) in [("numa", &build.numa), ("firmware", &build.firmware)] {
        if let Some(given) = given {
            table.insert(key.to_string(), value(given));
        }
    }
    let slots = build.slots.iter().map(|(slot, module)| (slot.clone(), value(module))).collect();
    table.insert("slots".to_string(), toml::Value::Table(slots));
    toml::to_string(&table).map_err(|e| Failure::Shop {
        why: format!("the chosen build can't be written: {e}"),
        hint: "choose the build again".to_string(),
    })
}
