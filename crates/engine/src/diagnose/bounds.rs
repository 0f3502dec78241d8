//! What no way of testing can go below, and what some simple way reaches.

use super::model::{Belief, Hypothesis, Model, Row, Stop, Test};
use super::solve::{Act, SAME};
use std::collections::HashMap;

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

/// By fault: the least expected minutes to make the machine run by tests that are still open, if one knew the fault.
///
/// For one fault and independent cures the order by cure per minute is the best (Heckerman, Breese and Rommelse,
/// Decision-theoretic troubleshooting, Communications of the ACM 38(3), 1995; second hand).
#[derive(Debug)]
pub struct Known<'m> {
    model: &'m Model,
    /// By fault: the tests that end it, the one with the fewest minutes per chance first, each with chance and minutes.
    ways: Vec<Vec<(usize, f64, f64)>>,
    /// By open tests: the minutes, fault by fault.
    minutes: HashMap<u32, Row<f64>>,
}

impl<'m> Known<'m> {
    pub fn new(model: &'m Model) -> Self {
        let faults = model.hypotheses.iter().flat_map(|h| h.faults.iter().map(|f| f + 1)).max().unwrap_or(0);
        Self { model, ways: (0..faults).map(|fault| ways(model, fault)).collect(), minutes: HashMap::new() }
    }
    /// A lower bound of the joint expected minutes from a belief.
    pub fn least(&mut self, belief: &Belief) -> f64 {
        let model = self.model;
        match model.stop {
            Stop::Runs { hand_on } => self.runs(belief, hand_on),
            Stop::Verdict { .. } => {
                let end = model.end(belief).unwrap_or(0.0);
                model.open(belief).iter().map(|t| model.tests[*t].minutes * belief.mass()).fold(end, f64::min)
            }
            Stop::Settled => 0.0,
        }
    }
    /// Which of its faults is still there is told for nothing.
    fn runs(&mut self, belief: &Belief, hand_on: f64) -> f64 {
        let open = belief.history.open_of(self.model.tests.len());
        let ways = &self.ways;
        let minutes = self.minutes.entry(open).or_insert_with(|| {
            let of = |ways: &Vec<(usize, f64, f64)>| {
                let open = ways.iter().rev().filter(|(test, ..)| open >> test & 1 == 1);
                open.fold(hand_on, |rest, (_, p, minutes)| rest.min(minutes + (1.0 - p) * rest))
            };
            ways.iter().map(of).collect()
        });
        let of = |(h, hypothesis): (usize, &Hypothesis)| match *hypothesis.faults.as_slice() {
            [] => 0.0,
            [one] => belief.joint[h] * minutes[one],
            [a, b, ..] => {
                let [first, second] = belief.left[h];
                let both = first * second * minutes[a].max(minutes[b]);
                belief.seen[h] * (first * (1.0 - second) * minutes[a] + (1.0 - first) * second * minutes[b] + both)
            }
        };
        self.model.hypotheses.iter().enumerate().map(of).sum()
    }
}

/// A symptom that hides counts as cured at no cost, which keeps this a lower bound.
fn ways(model: &Model, fault: usize) -> Vec<(usize, f64, f64)> {
    let ends = |test: &Test| {
        let stays = 1.0 - test.cures.get(fault).copied().unwrap_or(0.0);
        1.0 - stays * if test.starts { 1.0 - model.hides } else { 1.0 }
    };
    let of = |(number, t): (usize, &Test)| (number, ends(t), t.minutes + ends(t) * t.minutes_if_gone);
    let mut all: Vec<_> = model.tests.iter().enumerate().map(of).filter(|(_, p, _)| *p > 0.0).collect();
    // minutes / p ascending, without dividing.
    all.sort_by(|a, b| (a.2 * b.1).total_cmp(&(b.2 * a.1)));
    all
}

/// What a simple way from a belief costs, jointly, and its first act: an upper bound.
///
/// To make it run: one fixed order of the open tests, by chance of a cure per minute, whatever they answer, then hand it
/// on. For a verdict: end now. To settle: every open test.
pub fn most(model: &Model, belief: &Belief) -> (f64, Act) {
    match model.stop {
        Stop::Verdict { .. } => (model.end(belief).unwrap_or(0.0), Act::End),
        Stop::Settled => {
            let open = model.open(belief);
            let minutes = open.iter().map(|t| model.tests[*t].minutes).sum::<f64>() * belief.mass();
            (minutes, open.first().map_or(Act::End, |t| Act::Test(*t)))
        }
        Stop::Runs { .. } => in_order(model, belief),
    }
}

fn in_order(model: &Model, belief: &Belief) -> (f64, Act) {
    let mut now = belief.clone();
    let mut cost = 0.0;
    let mut act = Act::End;
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
            return (cost + hand_on, act);
        };
        if now.history == belief.history {
            act = Act::Test(test);
        }
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
