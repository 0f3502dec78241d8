//! The test that makes the expected minutes least, by dynamic programming over histories: exact.
//!
//! A history's value is worked out once, whatever the order of its tests. A test is left out as soon as a lower bound of
//! what it costs reaches the best so far, which changes no value. Where more histories are met than the budget allows,
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

/// Solves one model; what it has worked out it keeps.
#[derive(Debug)]
pub struct Solver<'m> {
    pub model: &'m Model,
    /// By history: the joint expected minutes, and what to do.
    known: HashMap<History, (f64, Act)>,
    /// Histories at most.
    budget: usize,
    least: Vec<f64>,
}

impl<'m> Solver<'m> {
    /// A solver that works out so many histories at most.
    pub fn new(model: &'m Model, budget: usize) -> Self {
        Self { model, known: HashMap::new(), budget, least: bounds::cure_minutes(model) }
    }
    /// Expected minutes from here, and the best act; `None` past the budget.
    pub fn best(&mut self, belief: &Belief) -> Option<(f64, Act)> {
        let mass = belief.mass();
        let (joint, act) = self.joint(belief)?;
        Some((if mass > 0.0 { joint / mass } else { 0.0 }, act))
    }
    /// Expected minutes if this test comes first; `None` past the budget.
    pub fn first(&mut self, belief: &Belief, test: usize) -> Option<f64> {
        let mass = belief.mass();
        let prospect = self.model.prospect(belief, test);
        let joint = self.of(belief, test, &prospect, f64::INFINITY)?;
        Some(if mass > 0.0 { joint / mass } else { 0.0 })
    }
    /// Histories worked out so far.
    pub fn histories(&self) -> usize {
        self.known.len()
    }

    fn joint(&mut self, belief: &Belief) -> Option<(f64, Act)> {
        if let Some(known) = self.known.get(&belief.history) {
            return Some(*known);
        }
        if self.known.len() >= self.budget {
            return None;
        }
        let mut best = (self.model.end(belief).unwrap_or(f64::INFINITY), Act::End);
        if !self.is_settled(belief) {
            for (_, test, prospect) in self.candidates(belief) {
                let cost = self.of(belief, test, &prospect, best.0)?;
                let before = matches!(best.1, Act::Test(t) if test < t);
                if cost < best.0 - SAME || (before && cost < best.0 + SAME) {
                    best = (cost.min(best.0), Act::Test(test));
                }
            }
        }
        if best.0.is_infinite() {
            best.0 = 0.0;
        }
        self.known.insert(belief.history, best);
        Some(best)
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
        own + prospect.answers.iter().map(|(_, b)| bounds::least(self.model, &self.least, b)).sum::<f64>()
    }
    /// What a test costs, or any figure of `most` or more as soon as it can't be less.
    fn of(&mut self, belief: &Belief, test: usize, prospect: &Prospect, most: f64) -> Option<f64> {
        let mut cost = self.at_least(belief, test, prospect);
        for (_, next) in &prospect.answers {
            if cost > most + SAME {
                return Some(cost);
            }
            cost += self.joint(next)?.0 - bounds::least(self.model, &self.least, next);
        }
        Some(cost)
    }
}
