//! The next test where the exact answer would take too long: a look some tests ahead, with a bound that is told.
//!
//! At the end of the look stand two figures: what no way can go below, and what a simple way reaches. So what is chosen
//! is a way that takes `most` minutes on average, and no way at all takes fewer than `least`.

use super::bounds;
use super::model::{Belief, Model, Stop};
use super::solve::{Act, SAME};

/// What a look ahead found, in expected minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    pub act: Act,
    /// No way takes fewer.
    pub least: f64,
    /// The way that begins with this act takes no more.
    pub most: f64,
}

/// Looks `depth` tests ahead.
pub fn look(model: &Model, belief: &Belief, depth: usize) -> Outlook {
    let mass = belief.mass().max(f64::MIN_POSITIVE);
    let cure_minutes = bounds::cure_minutes(model);
    let found = within(model, &cure_minutes, belief, depth.max(1));
    Outlook { least: found.least / mass, most: found.most / mass, ..found }
}

fn within(model: &Model, cure_minutes: &[f64], belief: &Belief, depth: usize) -> Outlook {
    let end = model.end(belief);
    if depth == 0 {
        let (least, most) = (bounds::least(model, cure_minutes, belief), bounds::most(model, belief));
        return Outlook { act: Act::End, least, most };
    }
    let none = Outlook { act: Act::End, least: f64::INFINITY, most: f64::INFINITY };
    let mut best = end.map_or(none, |e| Outlook { act: Act::End, least: e, most: e });
    let settled = model.stop == Stop::Settled && model.doubt(&belief.joint) <= super::model::IMPOSSIBLE;
    let open = if settled { Vec::new() } else { model.open(belief) };
    let mut tests: Vec<(f64, f64, usize, Vec<Belief>)> = Vec::new();
    for test in open {
        let prospect = model.prospect(belief, test);
        if model.matters(belief, test, &prospect) {
            let own = prospect.minutes * belief.mass() + model.end_gone(test, &prospect.gone);
            let nexts: Vec<Belief> = prospect.answers.into_iter().map(|(_, next)| next).collect();
            let at_least = own + nexts.iter().map(|next| bounds::least(model, cure_minutes, next)).sum::<f64>();
            tests.push((at_least, own, test, nexts));
        }
    }
    tests.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
    for (at_least, own, test, nexts) in tests {
        // No way that begins so is better than what was found, nor is any after it.
        if at_least >= best.most {
            best.least = best.least.min(at_least);
            break;
        }
        let (mut least, mut most) = (own, own);
        for next in &nexts {
            let then = within(model, cure_minutes, next, depth - 1);
            least += then.least;
            most += then.most;
        }
        let before = matches!(best.act, Act::Test(t) if test < t);
        if most < best.most - SAME || (before && most < best.most + SAME) {
            best = Outlook { act: Act::Test(test), most: most.min(best.most), ..best };
        }
        best.least = best.least.min(least);
    }
    if best.most.is_infinite() {
        return Outlook { act: Act::End, least: 0.0, most: 0.0 };
    }
    best
}
