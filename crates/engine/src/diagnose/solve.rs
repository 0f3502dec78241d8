//! The test that makes the expected minutes least, by dynamic programming over histories: exact.
//!
//! A history's value is worked out once, whatever the order of its tests. What can't become the best, by a lower bound, is
//! not worked out to its end, which changes no value. Where more histories are met than the budget allows,
//! there is no answer, and `ahead` gives one with a bound.

use super::bounds;
use super::model::{Belief, History, IMPOSSIBLE, Model, Prospect, Stop};
use std::collections::HashMap;

/// Two costs nearer than this are the same; the earlier test then stands.
pub(super) const SAME: f64 = 1e-9;

/// What to do at a belief.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    Test(usize),
    /// Nothing more: a verdict, or hand it on.
    End,
}

/// What is known of a history: the joint expected minutes, or that they are no less.
#[derive(Debug, Clone, Copy)]
struct Known {
    minutes: f64,
    act: Act,
    exact: bool,
}

/// Solves one model; what it has worked out it keeps.
#[derive(Debug)]
pub struct Solver<'m> {
    pub model: &'m Model,
    known: HashMap<History, Known>,
    /// Histories at most.
    budget: usize,
    cure_minutes: Vec<f64>,
}

impl<'m> Solver<'m> {
    /// A solver that works out so many histories at most.
    pub fn new(model: &'m Model, budget: usize) -> Self {
        Self { model, known: HashMap::new(), budget, cure_minutes: bounds::cure_minutes(model) }
    }
    /// Expected minutes from here, and the best act; `None` past the budget.
    pub fn best(&mut self, belief: &Belief) -> Option<(f64, Act)> {
        let mass = belief.mass();
        let known = self.joint(belief, f64::INFINITY)?;
        Some((if mass > 0.0 { known.minutes / mass } else { 0.0 }, known.act))
    }
    /// Expected minutes if this test comes first, where they are less than `most`; `None` past that or past the budget.
    pub fn first(&mut self, belief: &Belief, test: usize, most: f64) -> Option<f64> {
        let mass = belief.mass();
        let prospect = self.model.prospect(belief, test);
        let joint = self.of(belief, test, &prospect, most * mass)?;
        Some(if mass > 0.0 { joint / mass } else { 0.0 }).filter(|minutes| *minutes < most)
    }
    /// Histories worked out so far.
    pub fn histories(&self) -> usize {
        self.known.len()
    }

    /// Exact where it is less than `most`; else a figure that is no less than `most` and no more than the truth.
    fn joint(&mut self, belief: &Belief, most: f64) -> Option<Known> {
        if let Some(known) = self.known.get(&belief.history).filter(|k| k.exact || k.minutes >= most) {
            return Some(*known);
        }
        if self.known.len() >= self.budget {
            return None;
        }
        let end = self.model.end(belief).unwrap_or(f64::INFINITY);
        let mut best = (end, Act::End);
        // The least figure of a test that was left out: no less than `most`, or than the best.
        let mut left_out = f64::INFINITY;
        if !self.is_settled(belief) {
            for (at_least, test, prospect) in self.candidates(belief) {
                let reach = best.0.min(most) + 2.0 * SAME;
                if at_least > reach {
                    left_out = left_out.min(at_least);
                    break;
                }
                let cost = self.of(belief, test, &prospect, reach)?;
                if cost >= reach {
                    left_out = left_out.min(cost);
                    continue;
                }
                let before = matches!(best.1, Act::Test(t) if test < t);
                if cost < best.0 - SAME || (before && cost < best.0 + SAME) {
                    best = (cost.min(best.0), Act::Test(test));
                }
            }
        }
        let minutes = best.0.min(left_out);
        let known = match (minutes.is_infinite(), best.0 < most || best.0 <= left_out) {
            (true, _) => Known { minutes: 0.0, act: Act::End, exact: true },
            (false, true) => Known { minutes: best.0, act: best.1, exact: true },
            (false, false) => Known { minutes, act: best.1, exact: false },
        };
        self.known.insert(belief.history, known);
        Some(known)
    }
    /// Nothing left to tell apart.
    fn is_settled(&self, belief: &Belief) -> bool {
        self.model.stop == Stop::Settled && self.model.doubt(&belief.joint) <= IMPOSSIBLE
    }
    /// The tests that can change anything, the one with the least lower bound first, so that more are left out.
    fn candidates(&self, belief: &Belief) -> Vec<(f64, usize, Prospect)> {
        let open = self.model.open(belief);
        let mut all: Vec<(f64, usize, Prospect)> = open
            .into_iter()
            .filter_map(|test| {
                let prospect = self.model.prospect(belief, test);
                let matters = self.model.matters(belief, test, &prospect);
                matters.then(|| (self.at_least(belief, test, &prospect), test, prospect))
            })
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        all
    }
    fn at_least(&self, belief: &Belief, test: usize, prospect: &Prospect) -> f64 {
        let own = prospect.minutes * belief.mass() + self.model.end_gone(test, &prospect.gone);
        own + prospect.answers.iter().map(|(_, b)| self.bound(b)).sum::<f64>()
    }
    /// What is known of a belief at least.
    fn bound(&self, belief: &Belief) -> f64 {
        let bound = bounds::least(self.model, &self.cure_minutes, belief);
        self.known.get(&belief.history).map_or(bound, |k| k.minutes.max(bound))
    }
    /// What a test costs, exact where it is less than `most`.
    fn of(&mut self, belief: &Belief, test: usize, prospect: &Prospect, most: f64) -> Option<f64> {
        let bounds: Vec<f64> = prospect.answers.iter().map(|(_, b)| self.bound(b)).collect();
        let own = prospect.minutes * belief.mass() + self.model.end_gone(test, &prospect.gone);
        let mut cost = own + bounds.iter().sum::<f64>();
        for ((_, next), bound) in prospect.answers.iter().zip(bounds) {
            if cost >= most {
                return Some(cost);
            }
            let known = self.joint(next, most - (cost - bound))?;
            cost += known.minutes - bound;
            if !known.exact {
                return Some(cost.max(most));
            }
        }
        Some(cost)
    }
}
