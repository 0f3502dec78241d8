//! `stock value`: what is in stock, and what it cost.

use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use domain::Money;
use schemars::JsonSchema;
use serde::Serialize;
use store::Store;

/// What is in stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WorthView {
    pub lines: Vec<WorthLine>,
    /// All modules.
    pub modules: u64,
    /// What all of them cost; null where nothing is in stock.
    pub cost: Option<MoneyView>,
}

/// One generation, kind and condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WorthLine {
    /// `DDR4`
    pub generation: String,
    pub kind: String,
    /// `new` or `used`.
    pub condition: String,
    /// `on the shelf` or `held back`; what is promised to orders is on the shelf until it is shipped.
    pub state: String,
    pub modules: u64,
    pub cost: MoneyView,
}

/// Sums up what is in stock.
///
/// # Errors
/// The store's, or costs in more than one currency.
pub fn worth(store: &Store) -> Result<WorthView, Failure> {
    let all = store.worth()?;
    let sum = |sum: Option<Money>, cost: Money| sum.map_or(Ok(cost), |s| s.plus(cost)).map(Some);
    let cost = all.iter().map(|w| w.cost).try_fold(None, sum).map_err(|e| Failure::Shop {
        why: e.to_string(),
        hint: "`slotwright store check` names the items of another currency; correct them".to_string(),
    })?;
    Ok(WorthView {
        modules: all.iter().map(|w| w.modules).sum(),
        cost: cost.map(MoneyView::new),
        lines: all
            .iter()
            .map(|w| WorthLine {
                generation: w.generation.name().to_string(),
                kind: w.kind.name().to_string(),
                condition: w.condition.to_string(),
                state: w.state.to_string(),
                modules: w.modules,
                cost: MoneyView::new(w.cost),
            })
            .collect(),
    })
}
