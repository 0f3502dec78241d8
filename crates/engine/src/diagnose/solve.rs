//! The test that makes the expected minutes least: each history between two bounds, drawn together where it matters.
//!
//! Of a history it is known what no way can go below, and what some way reaches. The test with the least lower bound is
//! looked into until that bound is reached or another test's is lower; what is worked out of a history stays, whatever the
//! order of its tests. Where the bounds meet the answer is exact; where more histories are met than the budget allows, it
//! is the best way found, with the gap that is left.

use super::bounds;
use super::model::{Belief, History, IMPOSSIBLE, Model, Prospect, Stop};
use std::collections::HashMap;

/// Two costs nearer than this are the same; the earlier test then stands.
pub(super) const SAME: f64 = 1e-9;
/// The gaps that are closed one after the other, as shares of the minutes, so that a budget that runs out leaves a small
/// one everywhere.
const GAPS: [f64; 4] = [0.1, 0.02, 0.005, 0.0];

/// What to do at a belief.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    Test(usize),
    /// Nothing more: a verdict, or hand it on.
    End,
}

/// What is known of a belief, in expected minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    pub act: Act,
    /// No way takes fewer.
    pub least: f64,
    /// The way that begins with this act takes no more.
    pub most: f64,
}

impl Outlook {
    /// Do the bounds meet?
    pub fn is_exact(&self) -> bool {
        self.most - self.least <= 4.0 * SAME
    }
    fn gap(&self) -> f64 {
        self.most - self.least
    }
}

/// Solves one model; what it has worked out it keeps.
#[derive(Debug)]
pub struct Solver<'m> {
    pub model: &'m Model,
    /// By history, in joint minutes.
    known: HashMap<History, Outlook>,
    known_faults: bounds::Known<'m>,
    /// Histories at most for one question.
    budget: usize,
    /// Where this question's budget ends.
    limit: usize,
}

/// A test that may be the best, with what comes after it.
struct Way {
    test: usize,
    /// Joint minutes of its own.
    own: f64,
    next: Vec<Belief>,
    least: f64,
    most: f64,
}

impl<'m> Solver<'m> {
    /// A solver that works out so many histories at most for one question.
    pub fn new(model: &'m Model, budget: usize) -> Self {
        Self { model, known: HashMap::new(), known_faults: bounds::Known::new(model), budget, limit: budget }
    }
    /// The best act from here, and its expected minutes between two bounds.
    pub fn best(&mut self, belief: &Belief) -> Outlook {
        self.limit = self.known.len().saturating_add(self.budget);
        let mass = belief.mass();
        let mut found = self.look(belief);
        for gap in GAPS {
            let slack = (gap * found.least).max(SAME * mass);
            found = self.refine(belief, slack, f64::INFINITY);
            if found.gap() > slack {
                break;
            }
        }
        per(found, mass)
    }
    /// What it takes if this test comes first, to within a twentieth of a minute; `None` where that is no less than `most`.
    pub fn first(&mut self, belief: &Belief, test: usize, most: f64) -> Option<Outlook> {
        self.limit = self.known.len().saturating_add(self.budget);
        let mass = belief.mass();
        let prospect = self.model.prospect(belief, test);
        let mut way = self.way(belief, test, prospect);
        self.follow(&mut way, 0.05 * mass, most * mass);
        let told = per(Outlook { act: Act::Test(test), least: way.least, most: way.most }, mass);
        Some(told).filter(|told| told.least < most)
    }
    /// Histories met so far.
    pub fn histories(&self) -> usize {
        self.known.len()
    }

    /// What is known of a belief, or what the plain bounds say.
    fn look(&mut self, belief: &Belief) -> Outlook {
        if let Some(known) = self.known.get(&belief.history) {
            return *known;
        }
        let plain = if self.is_settled(belief) {
            Outlook { act: Act::End, least: 0.0, most: 0.0 }
        } else {
            let (most, act) = bounds::most(self.model, belief);
            Outlook { act, least: self.known_faults.least(belief).min(most), most }
        };
        self.known.insert(belief.history, plain);
        plain
    }
    /// Nothing left to tell apart.
    fn is_settled(&self, belief: &Belief) -> bool {
        self.model.stop == Stop::Settled && self.model.doubt(&belief.joint) <= IMPOSSIBLE
    }
    fn way(&mut self, belief: &Belief, test: usize, prospect: Prospect) -> Way {
        let own = prospect.minutes * belief.mass() + self.model.end_gone(test, &prospect.gone);
        let next: Vec<Belief> = prospect.answers.into_iter().map(|(_, belief)| belief).collect();
        let mut way = Way { test, own, next, least: own, most: own };
        self.sum_up(&mut way);
        way
    }
    fn sum_up(&mut self, way: &mut Way) {
        (way.least, way.most) = (way.own, way.own);
        for next in &way.next {
            let known = self.look(next);
            way.least += known.least;
            way.most += known.most;
        }
    }
    /// Draws the bounds of a belief together until they are within `slack`, or until the lower one reaches `most`.
    fn refine(&mut self, belief: &Belief, slack: f64, most: f64) -> Outlook {
        let before = self.look(belief);
        if before.gap() <= slack || before.least >= most || self.known.len() >= self.limit {
            return before;
        }
        let end = self.model.end(belief);
        let mut ways: Vec<Way> = Vec::new();
        for test in self.model.open(belief) {
            let prospect = self.model.prospect(belief, test);
            if self.model.matters(belief, test, &prospect) {
                ways.push(self.way(belief, test, prospect));
            }
        }
        let mut now = before;
        loop {
            now = choose(now, end, &ways);
            if now.gap() <= slack || now.least >= most || self.known.len() >= self.limit {
                break;
            }
            // What can't be better than the best way found is left out for good.
            ways.retain(|way| way.least <= now.most);
            let Some((at, second)) = nearest(&ways) else { break };
            let Some(way) = ways.get_mut(at) else { break };
            // As far as the next one's bound, and a little further so that they don't take turns too often.
            let reach = second.max(way.least + 0.1 * (now.most - way.least)).min(most);
            if !self.follow(way, slack, reach) {
                break;
            }
        }
        self.known.insert(belief.history, now);
        now
    }
    /// Draws the bounds of a test together until they are within `slack`, or the lower one reaches `most`. Did anything
    /// change?
    fn follow(&mut self, way: &mut Way, slack: f64, most: f64) -> bool {
        let mass: f64 = way.next.iter().map(Belief::mass).sum();
        let mut changed = false;
        while way.most - way.least > slack && way.least < most && self.known.len() < self.limit {
            // The answer whose gap is the most above its share.
            let mut widest: Option<(f64, usize, f64, Outlook)> = None;
            for (at, next) in way.next.iter().enumerate() {
                let (known, share) = (self.look(next), slack * next.mass() / mass);
                let above = known.gap() - share;
                if widest.is_none_or(|(most, ..)| above > most) {
                    widest = Some((above, at, share, known));
                }
            }
            let Some((_, at, share, known)) = widest.filter(|(above, ..)| *above > 0.0) else { break };
            let reach = known.least + (most - way.least);
            let next = way.next[at].clone();
            if self.refine(&next, share, reach) == known {
                break;
            }
            changed = true;
            self.sum_up(way);
        }
        changed
    }
}

/// What is known where these ways are on offer; never less than before.
fn choose(before: Outlook, end: Option<f64>, ways: &[Way]) -> Outlook {
    let start = end.or(ways.is_empty().then_some(0.0)).unwrap_or(f64::INFINITY);
    let mut best = Outlook { act: Act::End, least: start, most: start };
    for way in ways {
        best.least = best.least.min(way.least);
        if way.most < best.most - SAME {
            (best.act, best.most) = (Act::Test(way.test), way.most);
        }
    }
    if before.most < best.most - SAME {
        (best.act, best.most) = (before.act, before.most);
    }
    best.least = best.least.max(before.least).min(best.most);
    best
}

/// The way with the least lower bound, the first of a tie, and the second least bound.
fn nearest(ways: &[Way]) -> Option<(usize, f64)> {
    let at = (0..ways.len()).reduce(|a, b| if ways[b].least < ways[a].least { b } else { a })?;
    let others = ways.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, way)| way.least);
    Some((at, others.fold(f64::INFINITY, f64::min)))
}

/// From joint minutes to expected ones.
fn per(joint: Outlook, mass: f64) -> Outlook {
    let share = if mass > 0.0 { 1.0 / mass } else { 0.0 };
    Outlook { least: joint.least * share, most: joint.most * share, ..joint }
}
