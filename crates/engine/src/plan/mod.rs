//! The exact planner: every population worth having, and what each gains and loses.

mod about;
mod bound;
mod choose;
mod class;
mod conflict;
mod exhaust;
mod frame;
mod front;
mod kinds;
mod offers;
mod place;
mod prune;
mod search;
mod socket;
mod stay;
mod ways;

pub use kinds::*;

use crate::judge;
use domain::{Money, Need};
use frame::Space;
use search::{Limits, Outcome};

/// Plans a need: the whole front over price, usable capacity, bandwidth, data rate, free slots and modules bought.
pub fn plan(need: &Need) -> PlanReport {
    let space = Space::new(need);
    let (limits, window_words) = limits(&space);
    let outcome = search::search(&space, &limits);
    let looked_at = outcome.looked_at;
    let proof = outcome.proof.clone();
    let window = (limits.least, limits.most);
    let front = plans(&space, outcome);
    let conflict = front.is_empty().then(|| conflict::explain(&space, &limits));
    let (front, chosen) = choose::choose(front);
    PlanReport { front, chosen, proof, conflict, window, window_words, looked_at }
}

/// The vectors of the front alone, with the proof and what the search did: what proofs and benchmarks compare.
pub fn vectors(need: &Need) -> Vectors {
    let space = Space::new(need);
    let (limits, _) = limits(&space);
    let Outcome { points, proof, looked_at, covered } = search::search(&space, &limits);
    let different = points.iter().map(|(_, found)| found.units.len()).max().unwrap_or(0);
    Vectors { points: points.into_iter().map(|(o, _)| o).collect(), proof, looked_at, covered, different }
}

/// What the need limits, with 'about' worked out to a window.
fn limits(space: &Space) -> (Limits, Option<String>) {
    let need = space.need;
    let machines = i64::from(need.machines.max(1));
    let mut limits = Limits {
        least: need.capacity.least,
        most: need.capacity.most,
        budget: need.budget.map(|b| b.minor() / machines),
        bandwidth: need.bandwidth_least,
        rate: need.rate_least,
        free: need.free_slots,
        keep_all: need.keep == domain::need::Keep::All,
    };
    let mut words = None;
    if let Some(about) = need.capacity.about {
        let window = about::window(space, about);
        limits.least = limits.least.max(window.least);
        limits.most = match (limits.most, window.most) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        words = Some(window.words);
    }
    (limits, words)
}

fn plans(space: &Space, outcome: Outcome) -> Vec<Plan> {
    let need = space.need;
    let currency = need.lots.first().map(|l| l.each.currency()).or(need.budget.map(|b| b.currency()));
    let Some(currency) = currency.or(domain::Currency::parse("EUR")) else {
        return Vec::new();
    };
    outcome
        .points
        .into_iter()
        .map(|(objectives, found)| {
            let placed = place::place(space, &found);
            let price = Money::from_minor(objectives.price, currency);
            Plan {
                judgement: judge::judge(&placed.build),
                build: placed.build,
                picks: placed.picks,
                taken_out: placed.taken_out,
                price,
                price_all: price.times(i64::from(need.machines.max(1))),
                objectives,
                why: Vec::new(),
                against: Vec::new(),
            }
        })
        .collect()
}
