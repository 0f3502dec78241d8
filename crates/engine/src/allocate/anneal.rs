//! Annealing over all orders at once (Kirkpatrick, Gelatt, Vecchi 1983): an order takes an option, those in its way are put out and
//! look for another. Two seeds run side by side and the better end is taken, so the answer does not depend on the threads.

use super::frame::{Ask, Core};
use super::improve::{Dice, Plan, Score};
use super::relax::{self, MINOR};

/// Orders that one move may put out.
const MOST_OUT: usize = 4;
/// Independent runs: the seed, and of how many options drawn the one that is cheapest at the prices is tried.
const RUNS: [(u64, u32); 2] = [(11, 1), (12, 3)];
/// Steps of cooling.
const COOLINGS: u64 = 400;
/// A class of priority weighs so much more than the next lower one.
const CLASS: i64 = 64;
/// All orders together weigh no more than this.
const HEAVIEST: i64 = 1 << 60;

/// How a run goes: the weight of an order of the lowest class, and heat at the start and the end, in units of the core's cost.
#[derive(Debug, Clone, Copy)]
pub(super) struct Course {
    pub weight: i64,
    pub hot: i64,
    pub cold: i64,
    pub moves: u64,
}

/// The best plan found from `plan`, never worse than it. Prices by sort, scaled as in `relax`, say which options to try more often.
pub(super) fn anneal(core: &Core, plan: &Plan, course: Course, prices: &[i64]) -> Plan {
    let ranked = &ranked(core, prices);
    let ends = std::thread::scope(|scope| {
        let run = |(seed, draws)| scope.spawn(move || Run::new(core, plan, course, seed, (ranked, draws)).go());
        let runs = RUNS.map(run);
        runs.map(|r| r.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    let mut best = (plan.score(core), plan.clone());
    for (score, end) in ends {
        if score > best.0 {
            best = (score, end);
        }
    }
    best.1
}

/// By order: its options, the cheapest at prices first.
fn ranked(core: &Core, prices: &[i64]) -> Vec<Vec<usize>> {
    let rank = |ask: &Ask| {
        let mut all: Vec<usize> = (0..ask.options.len()).collect();
        all.sort_by_key(|&o| (relax::price(&ask.options[o], prices) + ask.options[o].other * MINOR, o));
        all
    };
    core.asks.iter().map(rank).collect()
}

struct Run<'a> {
    core: &'a Core,
    course: Course,
    weights: Vec<i64>,
    plan: Plan,
    /// By sort: the orders that use it now.
    users: Vec<Vec<u32>>,
    /// Orders that are not served, and by order its place among them.
    out: Vec<u32>,
    place: Vec<usize>,
    dice: Dice,
    ranked: &'a [Vec<usize>],
    draws: u32,
    /// What the move under way changed: order and the option before.
    log: Vec<(usize, Option<usize>)>,
    energy: i64,
}

impl<'a> Run<'a> {
    fn new(core: &'a Core, plan: &Plan, course: Course, seed: u64, (ranked, draws): (&'a [Vec<usize>], u32)) -> Self {
        let most = HEAVIEST / i64::try_from(core.asks.len().max(1)).unwrap_or(i64::MAX);
        let mut weight = course.weight.min(most);
        let mut weights = vec![0; core.classes.len()];
        for w in weights.iter_mut().rev() {
            *w = weight;
            weight = weight.saturating_mul(CLASS).min(most);
        }
        let n = core.asks.len();
        let mut this = Self {
            core,
            course,
            weights,
            plan: Plan::empty(core),
            users: vec![Vec::new(); core.curves.len()],
            out: (0..u32::try_from(n).unwrap_or(u32::MAX)).collect(),
            place: (0..n).collect(),
            dice: Dice(seed),
            ranked,
            draws,
            log: Vec::new(),
            energy: 0,
        };
        for (ask, option) in plan.pick.iter().enumerate() {
            this.put(ask, *option);
        }
        this
    }
    fn go(mut self) -> (Score, Plan) {
        let mut best = (self.plan.score(self.core), self.plan.clone());
        let mut least = self.energy;
        let each = self.course.moves / COOLINGS;
        let mut heat = self.course.hot as f64;
        let cool = cooling(self.course.hot as f64 / self.course.cold.max(1) as f64);
        for _ in 0..COOLINGS {
            for _ in 0..each {
                let before = self.energy;
                if self.shift() && self.energy - before <= self.slack(heat) {
                    self.log.clear();
                    if self.energy < least {
                        least = self.energy;
                        let score = self.plan.score(self.core);
                        if score > best.0 {
                            best = (score, self.plan.clone());
                        }
                    }
                } else {
                    self.undo();
                }
            }
            heat *= cool;
        }
        best
    }
    /// How much worse a move may be: heat times an exponential deviate, from whole numbers so that every machine has the same.
    fn slack(&mut self, heat: f64) -> i64 {
        let zeros = self.dice.bits().leading_zeros();
        let part = self.dice.bits() >> 44;
        let deviate = (f64::from(zeros) + part as f64 / (1_u64 << 20) as f64) * std::f64::consts::LN_2;
        (heat * deviate) as i64
    }
    /// One move; false where it can't be done. The log says how to go back.
    fn shift(&mut self) -> bool {
        let lost = !self.out.is_empty() && self.dice.below(4) == 0;
        let ask =
            if lost { self.out[self.dice.below(self.out.len())] as usize } else { self.dice.below(self.place.len()) };
        let core = self.core;
        let options = &core.asks[ask].options;
        if options.is_empty() {
            return false;
        }
        let drawn = (0..self.draws).map(|_| self.dice.below(options.len())).min();
        let option = self.ranked[ask][drawn.unwrap_or(0)];
        if self.plan.pick[ask] == Some(option) {
            return false;
        }
        self.change(ask, None);
        for &(sort, n) in &options[option].needs {
            while n > core.supply(sort) - self.plan.used[sort] {
                if self.log.len() > MOST_OUT || self.users[sort].is_empty() {
                    return false;
                }
                let victim = self.users[sort][self.dice.below(self.users[sort].len())];
                self.change(victim as usize, None);
            }
        }
        self.change(ask, Some(option));
        for i in 1..self.log.len() {
            let (victim, _) = self.log[i];
            if victim != ask {
                let best = self.cheapest(victim);
                self.change(victim, best);
            }
        }
        true
    }
    /// The cheapest option that fits an order that has none.
    fn cheapest(&self, ask: usize) -> Option<usize> {
        let mut best: Option<(i64, usize)> = None;
        for (i, option) in self.core.asks[ask].options.iter().enumerate() {
            if option.needs.iter().any(|&(s, n)| n > self.core.supply(s) - self.plan.used[s]) {
                continue;
            }
            let steps = option.needs.iter().map(|&(s, n)| self.core.step(s, self.plan.used[s], self.plan.used[s] + n));
            let cost = option.other + steps.sum::<i64>();
            if best.is_none_or(|b| cost < b.0) {
                best = Some((cost, i));
            }
        }
        best.map(|b| b.1)
    }
    fn change(&mut self, ask: usize, option: Option<usize>) {
        self.log.push((ask, self.plan.pick[ask]));
        self.put(ask, option);
    }
    fn undo(&mut self) {
        // All changed orders are taken out first, so that each finds its modules again.
        for i in 0..self.log.len() {
            self.put(self.log[i].0, None);
        }
        while let Some((ask, option)) = self.log.pop() {
            self.put(ask, option);
        }
    }
    /// Sets an order's option and keeps the books; the modules must be there.
    fn put(&mut self, ask: usize, option: Option<usize>) {
        let core = self.core;
        let was = self.plan.pick[ask];
        if was == option {
            return;
        }
        let weight = self.weights[core.asks[ask].class];
        if let Some(o) = was {
            let old = &core.asks[ask].options[o];
            self.energy += weight - old.other;
            for &(s, n) in &old.needs {
                let used = self.plan.used[s];
                self.energy -= core.step(s, used - n, used);
                self.plan.used[s] = used - n;
                if let Some(at) = self.users[s].iter().position(|&u| u as usize == ask) {
                    self.users[s].swap_remove(at);
                }
            }
        }
        if let Some(o) = option {
            let new = &core.asks[ask].options[o];
            self.energy += new.other - weight;
            for &(s, n) in &new.needs {
                let used = self.plan.used[s];
                self.energy += core.step(s, used, used + n);
                self.plan.used[s] = used + n;
                self.users[s].push(ask as u32);
            }
        }
        self.plan.pick[ask] = option;
        match (was, option) {
            (None, Some(_)) => {
                let at = self.place[ask];
                self.out.swap_remove(at);
                if let Some(&moved) = self.out.get(at) {
                    self.place[moved as usize] = at;
                }
            }
            (Some(_), None) => {
                self.place[ask] = self.out.len();
                self.out.push(ask as u32);
            }
            _ => {}
        }
    }
}

/// The factor that cools from hot to cold in all steps, by halving an interval: the machine's own roots may differ.
fn cooling(times: f64) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for _ in 0..60 {
        let mid = f64::midpoint(low, high);
        let mut end = times;
        for _ in 0..COOLINGS {
            end *= mid;
        }
        if end < 1.0 { low = mid } else { high = mid }
    }
    high
}
