//! What no way of testing can go below, and what some simple way reaches.

use super::model::{Belief, Model, Stop, Test};
use super::solve::SAME;

/// Bits of a distribution: the least mean of yes-or-no answers that tell it apart is no less.
///
/// Shannon, A mathematical theory of communication, 1948; section 9 (from memory).
pub fn entropy(shares: &[f64]) -> f64 {
    shares.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

/// The least mean number of yes-or-no tests where every split is on offer: the mean depth of Huffman's tree.
///
/// Huffman, A method for the construction of minimum-redundancy codes, 1952 (from memory).
pub fn halving(shares: &[f64]) -> f64 {
    let mut open: Vec<f64> = shares.iter().copied().filter(|p| *p > 0.0).collect();
    let mut mean = 0.0;
    while open.len() > 1 {
        open.sort_by(|a, b| b.total_cmp(a));
        let joined = open.pop().unwrap_or(0.0) + open.pop().unwrap_or(0.0);
        mean += joined;
        open.push(joined);
    }
    mean
}

/// By hypothesis: the least expected minutes to make the machine run if one knew it.
///
/// For one fault and independent cures the order by cure per minute is the best (Heckerman, Breese and Rommelse,
/// Decision-theoretic troubleshooting, Communications of the ACM 38(3), 1995; second hand).
pub fn cure_minutes(model: &Model) -> Vec<f64> {
    let Stop::Runs { hand_on } = model.stop else { return vec![0.0; model.hypotheses.len()] };
    let of = |hypothesis: &super::Hypothesis| {
        let each = hypothesis.faults.iter().map(|fault| known(model, *fault, hand_on));
        each.fold(0.0, f64::max)
    };
    model.hypotheses.iter().map(of).collect()
}

/// Least minutes for one known fault. A symptom that hides counts as cured at no cost, which keeps this a lower bound.
fn known(model: &Model, fault: usize, hand_on: f64) -> f64 {
    let ends = |test: &Test| {
        let stays = 1.0 - test.cures.get(fault).copied().unwrap_or(0.0);
        1.0 - stays * if test.starts { 1.0 - model.hides } else { 1.0 }
    };
    let mut tests: Vec<(f64, f64)> = model
        .tests
        .iter()
        .map(|t| (ends(t), t.minutes + ends(t) * t.minutes_if_gone))
        .filter(|(p, _)| *p > 0.0)
        .collect();
    // minutes / p ascending, without dividing.
    tests.sort_by(|a, b| (a.1 * b.0).total_cmp(&(b.1 * a.0)));
    tests.iter().rev().fold(hand_on, |rest, (p, minutes)| rest.min(minutes + (1.0 - p) * rest))
}

/// A lower bound of the joint expected minutes from a belief.
pub fn least(model: &Model, cure_minutes: &[f64], belief: &Belief) -> f64 {
    match model.stop {
        Stop::Runs { .. } => belief.joint.iter().zip(cure_minutes).map(|(p, m)| p * m).sum(),
        Stop::Verdict { .. } => {
            let end = model.end(belief).unwrap_or(0.0);
            model.open(belief).iter().map(|t| model.tests[*t].minutes * belief.mass()).fold(end, f64::min)
        }
        Stop::Settled => 0.0,
    }
}

/// What a simple way from a belief costs, jointly: an upper bound.
///
/// To make it run: one fixed order of the open tests, by chance of a cure per minute, whatever they answer, then hand it
/// on. For a verdict: end now. To settle: every open test.
pub fn most(model: &Model, belief: &Belief) -> f64 {
    match model.stop {
        Stop::Verdict { .. } => model.end(belief).unwrap_or(0.0),
        Stop::Settled => model.open(belief).iter().map(|t| model.tests[*t].minutes).sum::<f64>() * belief.mass(),
        Stop::Runs { .. } => in_order(model, belief),
    }
}

fn in_order(model: &Model, belief: &Belief) -> f64 {
    let mut now = belief.clone();
    let mut cost = 0.0;
    loop {
        let mass = now.mass();
        let hand_on = model.end(&now).unwrap_or(0.0);
        let rated = model.open(&now).into_iter().map(|test| {
            let gone = model.gone(&now, test);
            let ends: f64 = gone.iter().map(|(cured, hidden)| cured + hidden).sum();
            (ends / model.tests[test].minutes.max(SAME), test, gone)
        });
        let best = rated.reduce(|a, b| if b.0 > a.0 { b } else { a });
        // What costs more than the handing on that it saves is not begun.
        let Some((_, test, gone)) = best.filter(|(rate, ..)| rate * hand_on > mass * mass) else {
            return cost + hand_on;
        };
        cost += model.tests[test].minutes * mass + model.end_gone(test, &gone);
        now = model.whatever_it_shows(&now, test);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halving_is_never_below_entropy_nor_a_whole_test_above_it() {
        for shares in [vec![0.7, 0.2, 0.1], vec![0.25; 4], vec![1.0], vec![0.5, 0.25, 0.125, 0.125]] {
            let (bits, tests) = (entropy(&shares), halving(&shares));
            assert!(bits <= tests + 1e-12 && tests < bits + 1.0, "{shares:?}: {bits} {tests}");
        }
    }
}
