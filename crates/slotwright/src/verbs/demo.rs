//! `demo`: a need on the shipped data, planned, and one of its plans looked at closely.

use super::need::NeedView;
use super::plan::{self, PlanView, Planned};
use super::resolve;
use crate::failure::Failure;
use catalog::{Input, Library};
use schemars::JsonSchema;
use serde::Serialize;

/// The demo's need file, which is also an example of the README.
pub const NEED: &str = include_str!("../../../../examples/need-750.toml");

/// The demo's answer.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct DemoView {
    /// The need file as it is written.
    pub need_file: String,
    pub need: NeedView,
    pub plans: Vec<PlanView>,
    /// The number of the plan that is shown closely; null where nothing fits.
    pub shown: Option<usize>,
}

/// The demo: plain data, and the plans to draw.
#[derive(Debug)]
pub struct Demo {
    pub view: DemoView,
    pub planned: Planned,
}

/// Plans the demo's need.
///
/// # Errors
/// The need file is wrong, which is our bug.
pub fn demo(library: &Library) -> Result<Demo, Failure> {
    let input = Input::text("examples/need-750.toml", NEED);
    let need = library.need(&input, &|text| resolve::module(library.catalog(), text)).map_err(Failure::Shipped)?;
    let planned = plan::plan(&need, false);
    Ok(Demo {
        view: DemoView {
            need_file: NEED.to_string(),
            need: planned.view.need.clone(),
            plans: planned.view.plans.clone(),
            shown: fastest(&planned.view.plans),
        },
        planned,
    })
}

/// The number of the plan with the most bandwidth; of several the one with most capacity, then the cheapest.
fn fastest(plans: &[PlanView]) -> Option<usize> {
    let best = plans.iter().max_by(|a, b| {
        let more = |p: &PlanView| (p.objectives.bandwidth_mbs, p.objectives.usable_mib);
        let price = |p: &PlanView| p.objectives.price_minor;
        more(a).cmp(&more(b)).then(price(b).cmp(&price(a)))
    });
    best.map(|p| p.number)
}
