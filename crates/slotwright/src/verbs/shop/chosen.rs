//! The build that an order or a quote is for, as the store keeps it: a document of this program.

use crate::failure::Failure;
use crate::verbs::plan::{BuildView, Plan, PlanView};
use domain::{Condition, Module};
use engine::plan::Origin;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
        Self { words: view.made_of(), build: view.build.clone(), picks: plan.picks.iter().filter_map(pick).collect() }
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

/// What tells sorts of modules apart where any of a sort will do: kind, organisation, capacity, rate and condition.
pub fn sort(module: &Module, condition: Condition) -> String {
    format!("{} {} {condition}", module.generation, module.short())
}
