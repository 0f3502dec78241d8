//! A need as it was understood, echoed back.

use super::modules::MoneyView;
use domain::need::{CapacityWish, Keep};
use domain::{Capacity, Need};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// A need as it was understood: GB was read as GiB, TB as 1024 GiB.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NeedView {
    /// The board's id.
    pub board: String,
    pub processors: Vec<Option<String>>,
    pub mode: String,
    pub numa: Option<String>,
    pub firmware: Option<String>,
    pub capacity: CapacityWishView,
    /// The most that all machines together may cost.
    pub budget: Option<MoneyView>,
    pub bandwidth_least_gbs: Option<f64>,
    pub rate_least_mts: Option<u32>,
    /// Slots to leave empty, at least so many, in one machine.
    pub free_slots: u16,
    pub machines: u32,
    /// Must installed modules stay in the machine?
    pub keep: bool,
    /// Slot label → module label.
    pub installed: BTreeMap<String, String>,
    pub loose: Vec<String>,
    /// Lots to choose from.
    pub lots: usize,
    /// The need in a sentence.
    pub words: String,
}

/// How much memory is asked for, usable.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CapacityWishView {
    pub least_mib: Option<u64>,
    pub most_mib: Option<u64>,
    pub about_mib: Option<u64>,
    pub words: String,
}

impl NeedView {
    /// A need as plain data.
    pub fn new(need: &Need) -> Self {
        let label = |slot| need.board.slot(slot).label.clone();
        Self {
            board: need.board.id.clone(),
            processors: need.processors.iter().map(|p| p.as_ref().map(|p| p.id.to_string())).collect(),
            mode: need.mode.to_string(),
            numa: need.numa.clone(),
            firmware: need.firmware.clone(),
            capacity: CapacityWishView::new(need.capacity),
            budget: need.budget.map(MoneyView::new),
            bandwidth_least_gbs: need.bandwidth_least.map(|b| b.gbs()),
            rate_least_mts: need.rate_least.map(|r| r.mts()),
            free_slots: need.free_slots,
            machines: need.machines,
            keep: need.keep == Keep::All,
            installed: need.installed.iter().map(|(slot, module)| (label(*slot), module.label.clone())).collect(),
            loose: need.loose.iter().map(|m| m.label.clone()).collect(),
            lots: need.lots.len(),
            words: words(need),
        }
    }
}

impl CapacityWishView {
    fn new(wish: CapacityWish) -> Self {
        let mib = |c: Option<Capacity>| c.map(|c| c.mib());
        Self {
            least_mib: mib(wish.least),
            most_mib: mib(wish.most),
            about_mib: mib(wish.about),
            words: wish_words(wish),
        }
    }
}

fn wish_words(wish: CapacityWish) -> String {
    match (wish.about, wish.least, wish.most) {
        (Some(about), _, _) => format!("about {about}"),
        (_, Some(least), Some(most)) => format!("{least} to {most}"),
        (_, Some(least), None) => format!("{least} or more"),
        (_, None, Some(most)) => format!("{most} or less"),
        _ => "any capacity".to_string(),
    }
}

fn words(need: &Need) -> String {
    let mut parts = vec![format!("{} usable", wish_words(need.capacity))];
    if !need.mode.is_independent() {
        parts.push(format!("in mode {}", need.mode));
    }
    if let Some(numa) = &need.numa {
        parts.push(format!("NUMA mode {numa}"));
    }
    if let Some(least) = need.bandwidth_least {
        parts.push(format!("{least} or more"));
    }
    if let Some(least) = need.rate_least {
        parts.push(format!("{least} or more"));
    }
    if need.free_slots > 0 {
        parts.push(format!("{} slots left free", need.free_slots));
    }
    let held = need.installed.len() + need.loose.len();
    if held > 0 {
        let fate = match need.keep {
            Keep::All => "which stay",
            Keep::Any => "which may go",
        };
        parts.push(format!("{held} modules already there, {fate}"));
    }
    if let Some(budget) = need.budget {
        parts.push(format!("at most {budget}"));
    }
    if need.machines != 1 {
        parts.push(format!("{} machines alike", need.machines));
    }
    parts.join(", ")
}
