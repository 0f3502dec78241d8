//! `watts`: a build at work → what its memory draws, by module and by cause.

use super::check;
use crate::failure::Failure;
use catalog::Library;
use domain::{Bandwidth, DataRate, Watts};
use engine::workload::{self, Draw, Workload};
use engine::{Scene, currents, power};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;

/// °C above which DRAM is refreshed twice as often (JESD79-4, JESD79-5, from memory).
const HOT: f64 = 85.0;

/// To a thousandth, which is finer than any of these figures is known, so that no sum shows the binary's rest.
fn rounded(figure: f64) -> f64 {
    (figure * 1000.0).round() / 1000.0
}

/// What the machine does.
#[derive(Debug, Clone, Copy)]
pub struct Question {
    /// Shares, 0 to 1.
    pub used: f64,
    pub reads: f64,
    pub hits: f64,
    /// °C of the devices.
    pub celsius: f64,
}

/// Watts of a build. Every figure is rounded to a thousandth of its unit; sums are of the rounded figures of the modules.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WattsView {
    pub board: String,
    pub data_rate_mts: u32,
    /// Shares, in percent.
    pub used_percent: f64,
    pub reads_percent: f64,
    pub row_hits_percent: f64,
    pub celsius: f64,
    /// Refreshed twice as often.
    pub hot: bool,
    /// Share of time lost to refresh, in percent.
    pub refresh_percent: f64,
    /// GB/s through all channels.
    pub through_gbs: f64,
    pub modules: Vec<ModuleWattsView>,
    pub standing_watts: f64,
    pub working_watts: f64,
    /// What the catalogue's loaded figures, or the plain default, come to.
    pub catalogue_watts: f64,
    pub catalogue_complete: bool,
    pub currents_source: Vec<String>,
    pub notes: Vec<String>,
}

/// Modules alike, with as much through each.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ModuleWattsView {
    pub module: String,
    pub count: usize,
    /// GB/s through each.
    pub through_gbs: f64,
    /// Of each: nothing to do.
    pub standing_watts: f64,
    /// Of each, at work: the sum of the following.
    pub working_watts: f64,
    pub standby_watts: f64,
    pub activate_watts: f64,
    pub transfer_watts: f64,
    pub refresh_watts: f64,
    pub register_watts: f64,
    pub supply_loss_watts: f64,
    /// Of each, as the catalogue has it.
    pub catalogue_watts: Option<f64>,
}

/// Works out the watts of a build.
///
/// # Errors
/// The build file is wrong.
pub fn watts(library: &Library, file: &Path, question: Question) -> Result<WattsView, Failure> {
    let checked = check::check(library, file)?;
    let rate = checked.judgement.rate.as_ref().map_or(DataRate::from_mts(0), |chain| chain.rate);
    let scene = Scene::new(&checked.build);
    let work =
        Workload { used: question.used, reads: question.reads, hits: question.hits, hot: question.celsius > HOT };
    let idle = Workload { used: 0.0, ..work };
    let at_work = workload::machine(&scene, rate, work);
    let through: Bandwidth = at_work.iter().map(|(_, b, _)| *b).sum();
    let mut modules: Vec<ModuleWattsView> = Vec::new();
    for (slot, share, draw) in &at_work {
        let Some(module) = checked.build.slots.get(slot.at()).and_then(Option::as_ref) else { continue };
        let standing = workload::module(module, rate, Bandwidth::ZERO, idle).total();
        let row = ModuleWattsView::new(module.short(), *share, standing, *draw, module.watts);
        match modules.iter_mut().find(|m| ModuleWattsView { count: 1, ..(*m).clone() } == row) {
            Some(known) => known.count += 1,
            None => modules.push(row),
        }
    }
    let sum = |of: fn(&ModuleWattsView) -> f64| modules.iter().map(|m| of(m) * m.count as f64).sum::<f64>();
    let (catalogue, complete) = power::machine(&scene);
    let generation = checked.build.filled().map(|(_, m)| m.generation).next();
    let sources: Vec<String> = generation.map(|g| currents::typical(g).1.to_string()).into_iter().collect();
    Ok(WattsView {
        board: checked.build.board.id.clone(),
        data_rate_mts: rate.mts(),
        used_percent: rounded(question.used * 100.0),
        reads_percent: rounded(question.reads * 100.0),
        row_hits_percent: rounded(question.hits * 100.0),
        celsius: question.celsius,
        hot: work.hot,
        refresh_percent: rounded(generation.map_or(0.0, |g| currents::typical(g).0.refresh_share(work.hot) * 100.0)),
        through_gbs: rounded(through.gbs()),
        standing_watts: rounded(sum(|m| m.standing_watts)),
        working_watts: rounded(sum(|m| m.working_watts)),
        modules,
        catalogue_watts: rounded(catalogue.watts()),
        catalogue_complete: complete,
        currents_source: sources,
        notes: notes(work, complete),
    })
}

fn notes(work: Workload, complete: bool) -> Vec<String> {
    let mut notes = vec![
        "typical currents of one device for a generation: die revisions differ by about a quarter, and devices of other width \
         and density more; put the data sheet's watts into your own catalogue"
            .to_string(),
        "for the supply take the maker's greatest figure for each slot, not these".to_string(),
        "the register's watts, one rank with open banks, and the share of row hits are common practice, no source".to_string(),
    ];
    if work.hot {
        notes.push(
            "above 85 °C refresh comes twice as often; above 95 °C the devices are out of their range".to_string(),
        );
    }
    if !complete {
        notes.push("the catalogue has no watts for some of these modules: a plain default stands for them".to_string());
    }
    notes
}

impl ModuleWattsView {
    fn new(module: String, through: Bandwidth, standing: Watts, draw: Draw, catalogue: Option<Watts>) -> Self {
        Self {
            module,
            count: 1,
            through_gbs: rounded(through.gbs()),
            standing_watts: rounded(standing.watts()),
            working_watts: rounded(draw.total().watts()),
            standby_watts: rounded(draw.standby.watts()),
            activate_watts: rounded(draw.activate.watts()),
            transfer_watts: rounded(draw.transfer.watts()),
            refresh_watts: rounded(draw.refresh.watts()),
            register_watts: rounded(draw.register.watts()),
            supply_loss_watts: rounded(draw.supply.watts()),
            catalogue_watts: catalogue.map(|w| rounded(w.watts())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn a_sum_is_told_to_a_thousandth() {
        assert_eq!(rounded(60.168_000_000_000_006).to_string(), "60.168");
        assert_eq!([rounded(0.0004), rounded(0.0005), rounded(-1.2344)], [0.0, 0.001, -1.234]);
    }
}
