//! The exact search over options of some orders, the others staying: orders by priority first, then cost; or every answer that
//! ties with the best. Two bounds cut it, one of orders and one of cost for as many orders.

use super::frame::Core;
use super::relax::{self, COUNT, MINOR, Part, Role};

/// Orders by weight of their class, and cost: more of the first is better, then less of the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Worth {
    pub orders: i64,
    pub cost: i64,
}

/// Weights of the classes in a part of the orders: one order counts more than all of lower classes. `None` past 2^22.
pub(super) fn weights(core: &Core, asks: &[usize]) -> Option<Vec<i64>> {
    let mut many = vec![0_i64; core.classes.len()];
    for &a in asks {
        many[core.asks[a].class] += 1;
    }
    let mut weight = 1_i64;
    let mut out = vec![0; many.len()];
    for (c, n) in many.iter().enumerate().rev() {
        out[c] = weight;
        weight *= n + 1;
        if weight > 1 << 22 {
            return None;
        }
    }
    Some(out)
}

/// Orders with the options found for them.
pub(super) type Found = Vec<(usize, Option<usize>)>;

/// Looks at orders with their options, and says whether to go on.
type See<'s> = dyn FnMut(&[usize], &[Option<usize>]) -> bool + 's;

/// An option as the search looks at it.
struct Way {
    option: usize,
    orders_price: i64,
    cost_price: i64,
}

/// A search and where it stands.
pub(super) struct Branch<'a> {
    core: &'a Core,
    asks: Vec<usize>,
    weights: Vec<i64>,
    ways: Vec<Vec<Way>>,
    prices: Vec<i64>,
    enough: Vec<usize>,
    dues: Vec<i64>,
    rest_orders: Vec<i64>,
    rest_cost: Vec<i64>,
    start: (i64, i64),
    used: Vec<u32>,
    pick: Vec<Option<usize>>,
    best: Worth,
    best_due: i64,
    best_pick: Option<Vec<Option<usize>>>,
    /// Steps left.
    pub steps: u64,
}

/// Where a node stands: sums of orders, cost, and the two bounds.
#[derive(Clone, Copy)]
struct Here {
    orders: i64,
    cost: i64,
    orders_bound: i64,
    cost_bound: i64,
}

impl<'a> Branch<'a> {
    /// A search over `part` that starts from the choice `now` of its orders (by place in the part).
    pub fn new(
        part: Part<'a>,
        now: &[Option<usize>],
        start: (&[i64], &[i64]),
        rounds: usize,
        steps: u64,
    ) -> Option<Self> {
        let core = part.core;
        let weights = weights(core, part.asks)?;
        let (best, counts) = worth(part, now, &weights);
        let roles: Vec<Role> = weights.iter().map(|w| Role::Weight(*w)).collect();
        let by_orders = relax::orders(part, &roles, start.0, rounds, best.orders);
        let by_cost = relax::cost(part, &counts, start.1, rounds, best.cost);
        let dues = dues(part, &counts, &by_cost.prices);
        let mut asks = part.asks.to_vec();
        asks.sort_by_key(|&a| (core.asks[a].class, a));
        let enough = (0..core.curves.len()).map(|s| relax::worth(&core.curves[s], by_cost.prices[s])).collect();
        let mut this = Self {
            core,
            weights,
            ways: Vec::new(),
            prices: by_cost.prices,
            enough,
            dues,
            rest_orders: vec![0; asks.len() + 1],
            rest_cost: vec![0; asks.len() + 1],
            start: (0, 0),
            used: part.base.to_vec(),
            pick: vec![None; asks.len()],
            best,
            best_due: 0,
            best_pick: None,
            asks,
            steps,
        };
        this.best_due = counts.iter().zip(&this.dues).map(|(n, d)| i64::from(*n) * d).sum();
        this.prepare(&by_orders.prices, part.base);
        Some(this)
    }
    fn prepare(&mut self, prices: &[i64], base: &[u32]) {
        for (s, used) in base.iter().enumerate() {
            self.start.0 += prices[s] * i64::from(self.core.supply(s) - used);
            let curve = &self.core.curves[s];
            self.start.1 += self.floor(s, *used) - (curve[*used as usize] * MINOR - self.prices[s] * i64::from(*used));
        }
        for &a in &self.asks {
            let ask = &self.core.asks[a];
            let mut ways: Vec<Way> = (0..ask.options.len())
                .map(|option| Way {
                    option,
                    orders_price: relax::price(&ask.options[option], prices),
                    cost_price: ask.options[option].other * MINOR + relax::price(&ask.options[option], &self.prices),
                })
                .collect();
            ways.sort_by_key(|w| (w.cost_price, w.option));
            self.ways.push(ways);
        }
        for i in (0..self.asks.len()).rev() {
            let class = self.core.asks[self.asks[i]].class;
            let gain = self.ways[i].iter().map(|w| self.weights[class] * COUNT - w.orders_price).max().unwrap_or(0);
            let cost = self.ways[i].iter().map(|w| w.cost_price - self.dues[class]).min().unwrap_or(0);
            self.rest_orders[i] = self.rest_orders[i + 1] + gain.max(0);
            self.rest_cost[i] = self.rest_cost[i + 1] + cost.min(0);
        }
    }
    /// The least that modules of a sort can cost beyond their price, once so many are used.
    fn floor(&self, sort: usize, used: u32) -> i64 {
        let n = self.enough[sort].max(used as usize);
        self.core.curves[sort][n] * MINOR - self.prices[sort] * i64::try_from(n).unwrap_or(0)
    }
    /// Looks for something better. The choice by place in the part as sorted by [`Branch::asks`], and whether the search ended.
    pub fn improve(mut self) -> (Option<Found>, bool) {
        let here = self.root();
        let whole = self.node(0, here, &mut None);
        let found = self.best_pick.map(|p| self.asks.iter().copied().zip(p).collect());
        (found, whole)
    }
    /// Hands every answer that ties with the start to `see`, until it says to stop. Were they all?
    pub fn ties(mut self, see: &mut See) -> bool {
        let here = self.root();
        self.node(0, here, &mut Some(see))
    }
    fn root(&self) -> Here {
        Here { orders: 0, cost: 0, orders_bound: self.start.0, cost_bound: self.start.1 }
    }
    fn hopeless(&self, depth: usize, here: Here, ties: bool) -> bool {
        let most = (here.orders_bound + self.rest_orders[depth]).div_euclid(COUNT);
        if most != self.best.orders {
            return most < self.best.orders;
        }
        let least = here.cost_bound + self.rest_cost[depth] + self.best_due;
        let best = self.best.cost * MINOR;
        if ties { least > best } else { least > best - MINOR }
    }
    fn node(&mut self, depth: usize, here: Here, see: &mut Option<&mut See>) -> bool {
        if self.steps == 0 {
            return false;
        }
        self.steps -= 1;
        if self.hopeless(depth, here, see.is_some()) {
            return true;
        }
        if depth == self.asks.len() {
            return self.leaf(here, see);
        }
        let core = self.core;
        let ask = &core.asks[self.asks[depth]];
        for way in 0..self.ways[depth].len() {
            let Way { option, orders_price, cost_price } = self.ways[depth][way];
            let needs = &ask.options[option].needs;
            if needs.iter().any(|&(s, n)| n > core.supply(s) - self.used[s]) {
                continue;
            }
            let mut next = here;
            next.orders += self.weights[ask.class];
            next.orders_bound += self.weights[ask.class] * COUNT - orders_price;
            next.cost += ask.options[option].other;
            next.cost_bound += cost_price - self.dues[ask.class];
            for &(s, n) in needs {
                let (from, to) = (self.used[s], self.used[s] + n);
                next.cost += core.step(s, from, to);
                next.cost_bound += self.floor(s, to) - self.floor(s, from);
                self.used[s] = to;
            }
            self.pick[depth] = Some(option);
            let whole = self.node(depth + 1, next, see);
            self.pick[depth] = None;
            for &(s, n) in needs {
                self.used[s] -= n;
            }
            if !whole {
                return false;
            }
        }
        self.node(depth + 1, here, see)
    }
    fn leaf(&mut self, here: Here, see: &mut Option<&mut See>) -> bool {
        if let Some(see) = see {
            let tie = here.orders == self.best.orders && here.cost == self.best.cost;
            return !tie || see(&self.asks, &self.pick);
        }
        let better = here.orders > self.best.orders || (here.orders == self.best.orders && here.cost < self.best.cost);
        if better {
            self.best = Worth { orders: here.orders, cost: here.cost };
            let served = self.asks.iter().zip(&self.pick).filter(|(_, p)| p.is_some());
            self.best_due = served.map(|(a, _)| self.dues[self.core.asks[*a].class]).sum();
            self.best_pick = Some(self.pick.clone());
        }
        true
    }
}

/// What a choice is worth, with its counts by class; costs are those beyond the base.
fn worth(part: Part, now: &[Option<usize>], weights: &[i64]) -> (Worth, Vec<u32>) {
    let mut used = part.base.to_vec();
    let mut out = Worth { orders: 0, cost: 0 };
    let mut counts = vec![0; weights.len()];
    for (&a, pick) in part.asks.iter().zip(now) {
        let ask = &part.core.asks[a];
        let Some(option) = pick.map(|o| &ask.options[o]) else { continue };
        counts[ask.class] += 1;
        out.orders += weights[ask.class];
        out.cost += option.other;
        for &(s, n) in &option.needs {
            out.cost += part.core.step(s, used[s], used[s] + n);
            used[s] += n;
        }
    }
    (out, counts)
}

/// By class: the price of the dearest order that the bound of cost serves.
fn dues(part: Part, counts: &[u32], prices: &[i64]) -> Vec<i64> {
    let of = |class: usize, n: usize| {
        let mine = part.asks.iter().map(|&a| &part.core.asks[a]).filter(|a| a.class == class);
        let mut all: Vec<i64> = mine.filter_map(|a| relax::cheapest(a, prices, MINOR).map(|(p, _)| p)).collect();
        all.sort_unstable();
        n.checked_sub(1).and_then(|n| all.get(n).copied()).unwrap_or(0)
    };
    counts.iter().enumerate().map(|(c, n)| of(c, *n as usize)).collect()
}
