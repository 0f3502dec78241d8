//! The exercises that there are, and the march tests that are known, each with what it finds for certain.

use super::view::OneView;
use bench::exercise;
use bench::fault::{Background, Family, Free, coverage};
use bench::march::KNOWN;
use schemars::JsonSchema;
use serde::Serialize;

/// What can be exercised.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ListView {
    pub exercises: Vec<OneView>,
    pub marches: Vec<MarchView>,
    /// What the families of faults are.
    pub families: Vec<FamilyView>,
}

/// A published march test.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MarchView {
    pub name: String,
    pub march: String,
    /// Operations a cell.
    pub operations: usize,
    pub citation: String,
    /// In percent, in the order of the families.
    pub finds: Vec<f64>,
}

/// A family of faults.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FamilyView {
    pub short: String,
    pub words: String,
}

/// All of it. The shares are of faults of a small memory that are found whatever it held and whichever way free sweeps go.
pub fn list() -> ListView {
    let marches = KNOWN.into_iter().filter_map(|known| {
        let march = known.march()?;
        let share = |family| coverage(&march, family, Background::Solid, Free::Each).percent();
        Some(MarchView {
            name: known.name.to_string(),
            march: march.to_string(),
            operations: march.operations(),
            citation: known.citation.to_string(),
            finds: Family::ALL.iter().map(|(family, _, _)| share(*family)).collect(),
        })
    });
    ListView {
        exercises: exercise::all().iter().map(OneView::new).collect(),
        marches: marches.collect(),
        families: Family::ALL
            .iter()
            .map(|(_, short, words)| FamilyView { short: (*short).to_string(), words: (*words).to_string() })
            .collect(),
    }
}
