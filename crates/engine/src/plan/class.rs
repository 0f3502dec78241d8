//! Classes of data rate: what may run at a rate or faster, and what of it may hold the machine down to that rate.

use super::frame::Space;
use super::offers::{Choice, choices};
use super::prune;
use super::search::Limits;
use crate::rate;
use domain::DataRate;

/// One class of rate.
pub struct Class {
    pub rate: DataRate,
    pub choices: Vec<Choice>,
    /// May this choice hold the machine to the class's rate, rather than to the next one above?
    pub binding: Vec<bool>,
    /// How many sorts another one covers; they are left out.
    pub covered: usize,
}

/// All classes of a space, fastest first.
pub fn classes(space: &Space, limits: &Limits) -> Vec<Class> {
    let slots = space.slots();
    let mut above = u32::MAX;
    let mut found = Vec::new();
    for rate in rates(space).into_iter().take_while(|r| limits.rate.is_none_or(|least| *r >= least)) {
        let own = choices(&space.sorts, rate, slots, limits.keep_all).unwrap_or_default();
        let (own, misfits): (Vec<_>, Vec<_>) = own.into_iter().partition(|c| space.ever_fits(c.sort as u16));
        // What must stay but fits nowhere leaves nothing to plan.
        let stuck = limits.keep_all && misfits.iter().any(|c| c.installed > 0);
        if !own.is_empty() && !stuck {
            let offered = own.len();
            let choices = prune::drop_covered(space, rate, own, slots);
            let covered = offered - choices.len();
            let binding = choices.iter().map(|c| binds(space, c, rate, above)).collect();
            found.push(Class { rate, choices, binding, covered });
        }
        above = rate.mts();
    }
    found
}

/// The limits of processor and board for a sort, by modules a channel, in MT/s.
fn limits_of<'s>(space: &'s Space, sort: usize) -> impl Iterator<Item = u32> + 's {
    let module = space.sample(sort as u16);
    space.frames.iter().flat_map(move |frame| {
        let deepest = frame.channels.iter().map(Vec::len).max().unwrap_or(0) as u8;
        (1..=deepest).filter_map(move |dpc| {
            rate::module_limit(&frame.processor, &space.need.board, module, dpc).map(DataRate::mts)
        })
    })
}

fn binds(space: &Space, choice: &Choice, rate: DataRate, above: u32) -> bool {
    let here = rate.mts()..above;
    choice.units.iter().any(|u| here.contains(&u.module.rate.mts()))
        || limits_of(space, choice.sort).any(|l| here.contains(&l))
}

/// Every rate that some module could run at on some channel, fastest first.
fn rates(space: &Space) -> Vec<DataRate> {
    let mut found = Vec::new();
    for (s, sort) in space.sorts.iter().enumerate().filter(|(s, _)| space.ever_fits(*s as u16)) {
        for limit in limits_of(space, s) {
            found.extend(sort.units.iter().map(|u| DataRate::from_mts(limit.min(u.module.rate.mts()))));
        }
    }
    found.sort_unstable_by(|a, b| b.cmp(a));
    found.dedup();
    found
}
