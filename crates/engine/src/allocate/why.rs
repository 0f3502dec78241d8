//! Reasons: why an order has this option and not one that looks cheaper, and what an unserved order misses.

use super::answer::{Passed, Reason, Short};
use super::frame::Frame;
use super::improve::Plan;
use std::collections::BTreeMap;

/// What a plan leaves, to give reasons from.
pub(super) struct Reasons<'a> {
    frame: &'a Frame<'a>,
    plan: &'a Plan,
    /// By sort: all modules there are.
    have: Vec<u64>,
    /// By sort: who took how many.
    takers: Vec<Vec<(usize, u32)>>,
}

impl<'a> Reasons<'a> {
    /// Of a plan.
    pub fn new(frame: &'a Frame<'a>, plan: &'a Plan) -> Self {
        let stock = &frame.problem.stock;
        let have = frame.shelves.iter().map(|s| s.iter().map(|&i| u64::from(stock[i].count)).sum()).collect();
        let mut takers = vec![Vec::new(); frame.sorts.len()];
        for (order, option) in plan.pick.iter().enumerate().filter_map(|(i, p)| p.map(|o| (i, o))) {
            for &(sort, n) in &frame.core.asks[order].options[option].needs {
                takers[sort].push((order, n));
            }
        }
        for all in &mut takers {
            all.sort_by_key(|&(order, n)| (std::cmp::Reverse(n), frame.problem.orders[order].key));
        }
        Self { frame, plan, have, takers }
    }
    /// What an option needs in all, by sort.
    fn needs(&self, order: usize, choice: usize) -> BTreeMap<usize, u64> {
        let found = &self.frame.problem.orders[order];
        let mut out: BTreeMap<usize, u64> = BTreeMap::new();
        for demand in found.options[choice].demands.iter().filter(|d| d.count > 0) {
            if let Some(sort) = self.frame.sort_at(demand.sort) {
                let sum = out.entry(sort).or_default();
                *sum = sum.saturating_add(u64::from(demand.count).saturating_mul(u64::from(found.machines)));
            }
        }
        out
    }
    /// What an option misses, the other orders staying.
    fn short(&self, order: usize, choice: usize) -> Vec<Short> {
        let mut out = Vec::new();
        for (sort, needed) in self.needs(order, choice) {
            let others: Vec<(usize, u32)> = self.takers[sort].iter().copied().filter(|(o, _)| *o != order).collect();
            let used: u64 = others.iter().map(|(_, n)| u64::from(*n)).sum();
            let free = self.have[sort].saturating_sub(used);
            if free < needed {
                let small = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
                let taken = others.iter().map(|(o, n)| (self.frame.problem.orders[*o].key, *n)).collect();
                out.push(Short { sort: self.frame.sorts[sort], needed: small(needed), free: small(free), taken });
            }
        }
        out
    }
    /// The option that misses the fewest modules, and what it misses.
    pub fn nearest(&self, order: usize) -> Option<(usize, Vec<Short>)> {
        let all = 0..self.frame.problem.orders[order].options.len();
        let missing = |s: &[Short]| s.iter().map(|s| u64::from(s.missing())).sum::<u64>();
        all.map(|c| (c, self.short(order, c))).min_by_key(|(c, s)| (missing(s), *c))
    }
    /// What an option would cost by itself: the cheapest modules there are, a missing one as the dearest of its sort or the
    /// cheapest on offer.
    fn alone(&self, order: usize, choice: usize) -> i128 {
        let problem = self.frame.problem;
        let mut sum = i128::from(problem.orders[order].options[choice].other_cost.minor());
        for (sort, mut left) in self.needs(order, choice) {
            let mut last = 0;
            for &i in &self.frame.shelves[sort] {
                let n = left.min(u64::from(problem.stock[i].count));
                last = problem.stock[i].cost.minor();
                sum += i128::from(last) * i128::from(n);
                left -= n;
            }
            let offers = problem.offers.iter().filter(|o| o.sort == self.frame.sorts[sort]);
            let each = offers.map(|o| o.each.minor()).min().unwrap_or(last);
            sum += i128::from(each) * i128::from(left);
        }
        sum
    }
    /// Why not each option that would cost less by itself.
    pub fn passed(&self, order: usize) -> Vec<Passed> {
        let ask = &self.frame.core.asks[order];
        let Some(option) = self.plan.pick[order] else { return Vec::new() };
        let mine = ask.options[option].choice;
        let own = self.alone(order, mine);
        let mut out = Vec::new();
        for choice in 0..self.frame.problem.orders[order].options.len() {
            if choice == mine || self.alone(order, choice) >= own {
                continue;
            }
            let short = self.short(order, choice);
            let other = ask.options.iter().position(|o| o.choice == choice);
            let reason = match other {
                Some(other) if short.is_empty() => {
                    let more = self.beside(order, other) - self.beside(order, option);
                    Reason::Dearer(self.frame.money(more.max(0)))
                }
                _ => Reason::Missing(short),
            };
            out.push(Passed { choice, reason });
        }
        out
    }
    /// What an option costs beside the other orders as they are.
    fn beside(&self, order: usize, option: usize) -> i64 {
        let core = &self.frame.core;
        let option = &core.asks[order].options[option];
        let mut sum = option.other;
        for &(sort, n) in &option.needs {
            let mine = self.takers[sort].iter().filter(|(o, _)| *o == order).map(|(_, n)| n).sum::<u32>();
            let used = self.plan.used[sort] - mine;
            sum += core.step(sort, used, used.saturating_add(n).min(core.supply(sort)));
        }
        sum
    }
}
