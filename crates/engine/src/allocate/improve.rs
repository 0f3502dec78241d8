//! Choosing an option for every order: prices and greedy first, then neighbourhoods of a dozen orders searched exactly, the
//! others staying, and before them, where orders are many, annealing (`anneal`); each level's bound at the end. Seeds are part of the
//! method: the same problem, the same answer.

use super::anneal::{Course, anneal};
use super::branch::{Branch, Found};
use super::frame::Core;
use super::limits::{Limits, limits, margins, roles};
use super::relax::{self, COUNT, Part, Role};
use std::cmp::Reverse;

/// Rounds of prices over all orders.
pub(super) const ROUNDS: usize = 1200;
/// Rounds of prices over a neighbourhood.
const NEAR_ROUNDS: usize = 24;
/// Steps of a neighbourhood's search.
const NEAR_STEPS: u64 = 6000;
/// Orders from which on the annealing makes no more moves: they grow by the square, so that few orders are quick.
const MANY: u64 = 1000;
/// Orders that are searched exactly as a whole.
pub(super) const FEW: usize = 40;

/// An option for every order, or none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Plan {
    pub pick: Vec<Option<usize>>,
    pub used: Vec<u32>,
}

/// How good a plan is: more orders by class first, then less cost. Greater is better.
pub(super) type Score = (Vec<u32>, Reverse<i64>);

impl Plan {
    /// Nobody is served.
    pub fn empty(core: &Core) -> Self {
        Self { pick: vec![None; core.asks.len()], used: vec![0; core.curves.len()] }
    }
    /// Gives an order an option, or takes it away. False, and nothing done, where modules are missing.
    pub fn set(&mut self, core: &Core, ask: usize, option: Option<usize>) -> bool {
        self.clear(core, ask);
        let Some(o) = option else { return true };
        let needs = &core.asks[ask].options[o].needs;
        if needs.iter().any(|&(s, n)| n > core.supply(s) - self.used[s]) {
            return false;
        }
        for &(s, n) in needs {
            self.used[s] += n;
        }
        self.pick[ask] = option;
        true
    }
    fn clear(&mut self, core: &Core, ask: usize) {
        if let Some(o) = self.pick[ask].take() {
            for &(s, n) in &core.asks[ask].options[o].needs {
                self.used[s] -= n;
            }
        }
    }
    /// Served by class.
    pub fn counts(&self, core: &Core) -> Vec<u32> {
        let mut out = vec![0; core.classes.len()];
        for (ask, _) in core.asks.iter().zip(&self.pick).filter(|(_, p)| p.is_some()) {
            out[ask.class] += 1;
        }
        out
    }
    /// Modules and other costs.
    pub fn cost(&self, core: &Core) -> i64 {
        let other: i64 = core.asks.iter().zip(&self.pick).filter_map(|(a, p)| p.map(|o| a.options[o].other)).sum();
        other + self.used.iter().enumerate().map(|(s, n)| core.curves[s][*n as usize]).sum::<i64>()
    }
    /// How good it is.
    pub fn score(&self, core: &Core) -> Score {
        (self.counts(core), Reverse(self.cost(core)))
    }
}

/// Random numbers (splitmix64, Steele, Lea, Flood 2014), always the same.
pub(super) struct Dice(pub u64);

impl Dice {
    /// A number below `n`, 0 for 0.
    pub fn below(&mut self, n: usize) -> usize {
        usize::try_from((u128::from(self.bits()) * n as u128) >> 64).unwrap_or(0)
    }
    /// 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}

/// The best plan found from `start` with its limits; `exact` steps at most over all orders at once.
pub(super) fn solve(core: &Core, start: Option<Plan>, exact: u64, rounds_per_order: u32) -> (Plan, Limits) {
    let all: Vec<usize> = (0..core.asks.len()).collect();
    let base = vec![0; core.curves.len()];
    let zero = vec![0; core.curves.len()];
    let part = Part { core, asks: &all, base: &base };
    // An earlier answer is to stay near, and what is searched exactly needs no more.
    let fresh = start.is_none() && all.len() > FEW;
    let stays = start.is_some() && all.len() > FEW;
    let mut plan = start.unwrap_or_else(|| greedy(part));
    let rounds = all.len().saturating_mul(rounds_per_order as usize);
    let moves = moves(all.len(), rounds_per_order);
    // What is scarce moves modules of all orders: not where an earlier answer is to stay near.
    if plan.counts(core) != core.classes && !stays {
        // First with what is scarce as the cost, so that no cheap option stands in the way of another order.
        let worth = worth(part, &plan.counts(core));
        let scarce = scarce(core, &worth);
        let part = Part { core: &scarce, ..part };
        let mut other = plan.clone();
        while sweep(&scarce, &mut other) {}
        if fresh {
            other = anneal(&scarce, &other, serve_more(moves), &worth);
        }
        Search::new(part, &other).run(&mut other, rounds);
        if other.counts(core) > plan.counts(core) {
            plan = other;
        }
    }
    while sweep(core, &mut plan) {}
    if fresh {
        // Once more from where that ends: an order that came in late leaves costs to be saved.
        for moves in [moves, moves / 2] {
            let cost = plan.cost(core);
            let prices = relax::cost(part, &plan.counts(core), &margins(core, &plan), ROUNDS / 2, cost).prices;
            plan = anneal(core, &plan, pay_less(cost, all.len(), moves), &prices);
        }
    }
    Search::new(part, &plan).run(&mut plan, rounds);
    let mut whole = false;
    if all.len() <= FEW
        && let Some(branch) = Branch::new(part, &plan.pick, (&zero, &zero), 300, exact)
    {
        let (found, ended) = branch.improve();
        whole = ended;
        take(core, &mut plan, found);
    }
    while sweep(core, &mut plan) {}
    let limits = limits(core, &plan, whole);
    (plan, limits)
}

/// Every plan that ties with `plan` on levels 1 and 2, given to `see`. Were they all?
pub(super) fn ties(core: &Core, plan: &Plan, steps: u64, see: &mut dyn FnMut(&Plan) -> bool) -> bool {
    let all: Vec<usize> = (0..core.asks.len()).collect();
    let base = vec![0; core.curves.len()];
    let part = Part { core, asks: &all, base: &base };
    let zero = vec![0; core.curves.len()];
    let branch = (all.len() <= FEW).then(|| Branch::new(part, &plan.pick, (&zero, &zero), 300, steps)).flatten();
    let Some(branch) = branch else { return false };
    branch.ties(&mut |asks, pick| {
        let mut tie = Plan::empty(core);
        for (a, p) in asks.iter().zip(pick) {
            tie.set(core, *a, *p);
        }
        see(&tie)
    })
}

/// Puts the found options of some orders into the plan.
fn take(core: &Core, plan: &mut Plan, found: Option<Found>) {
    let Some(found) = found else { return };
    for (ask, _) in &found {
        plan.set(core, *ask, None);
    }
    for (ask, option) in found {
        plan.set(core, ask, option);
    }
}

/// Class by class: prices from the bound, then the orders that need least at those prices.
fn greedy(part: Part) -> Plan {
    let core = part.core;
    let mut plan = Plan::empty(core);
    let mut prices = vec![0; core.curves.len()];
    for class in 0..core.classes.len() {
        let counts = plan.counts(core);
        let priced = relax::orders(part, &open(&counts, class), &prices, ROUNDS / 4, 0);
        prices = priced.prices;
        let mine = part.asks.iter().filter(|&&a| core.asks[a].class == class);
        let mut all: Vec<(i64, usize)> =
            mine.filter_map(|&a| relax::cheapest(&core.asks[a], &prices, 0).map(|(p, _)| (p, a))).collect();
        all.sort_unstable();
        for (_, a) in all {
            let options = &core.asks[a].options;
            let mut by_price: Vec<(i64, i64, usize)> =
                options.iter().enumerate().map(|(i, o)| (relax::price(o, &prices), o.other, i)).collect();
            by_price.sort_unstable();
            let _ = by_price.into_iter().any(|(_, _, o)| plan.set(core, a, Some(o)));
        }
    }
    plan
}

/// As many of the classes before as are, and all the others alike.
fn open(counts: &[u32], class: usize) -> Vec<Role> {
    counts.iter().enumerate().map(|(c, n)| if c < class { Role::Exactly(*n) } else { Role::Weight(1) }).collect()
}

/// By sort: what a module is worth to the number of orders, in the first class that is not served wholly.
fn worth(part: Part, counts: &[u32]) -> Vec<i64> {
    let zero = vec![0; part.core.curves.len()];
    let class = counts.iter().zip(&part.core.classes).position(|(n, all)| n < all).unwrap_or(0);
    relax::orders(part, &open(counts, class), &zero, ROUNDS, i64::from(counts[class])).prices
}

/// The same orders where a module costs what it is worth, and nothing else counts.
fn scarce(core: &Core, worth: &[i64]) -> Core {
    let line =
        |(curve, price): (&Vec<i64>, &i64)| (0..curve.len()).map(|n| price * i64::try_from(n).unwrap_or(0)).collect();
    let mut out = Core { curves: core.curves.iter().zip(worth).map(line).collect(), ..core.clone() };
    out.asks.iter_mut().flat_map(|a| &mut a.options).for_each(|o| o.other = 0);
    out
}

/// How many moves the annealing has.
fn moves(orders: usize, rounds_per_order: u32) -> u64 {
    let many = (orders as u64).min(MANY);
    u64::from(rounds_per_order) * many * many
}

/// How level 1 is annealed, where modules cost what they are worth.
fn serve_more(moves: u64) -> Course {
    Course { weight: COUNT, hot: COUNT / 8, cold: COUNT / 200, moves }
}

/// How level 2 is annealed: no order weighs less than all that is paid.
fn pay_less(cost: i64, orders: usize, moves: u64) -> Course {
    let mean = cost / i64::try_from(orders.max(1)).unwrap_or(i64::MAX);
    Course { weight: cost.max(1), hot: mean / 20, cold: mean / 1000, moves }
}

/// Gives each order its best option, the others staying. Did anything change?
fn sweep(core: &Core, plan: &mut Plan) -> bool {
    let mut changed = false;
    for ask in 0..core.asks.len() {
        let was = plan.pick[ask];
        plan.clear(core, ask);
        let cost = |o: usize| {
            let option = &core.asks[ask].options[o];
            let fits = option.needs.iter().all(|&(s, n)| n <= core.supply(s) - plan.used[s]);
            let steps = option.needs.iter().map(|&(s, n)| (s, plan.used[s], plan.used[s].saturating_add(n)));
            fits.then(|| option.other + steps.map(|(s, from, to)| core.step(s, from, to)).sum::<i64>())
        };
        let best = (0..core.asks[ask].options.len()).filter_map(|o| Some((cost(o)?, Some(o) != was, o))).min();
        let best = best.map(|(_, _, o)| o);
        plan.set(core, ask, best);
        changed |= best != was;
    }
    changed
}

/// The search by neighbourhoods.
struct Search<'a> {
    core: &'a Core,
    /// By sort: orders with an option that needs it.
    users: Vec<Vec<usize>>,
    by_orders: Vec<i64>,
    by_cost: Vec<i64>,
    dice: Dice,
}

impl<'a> Search<'a> {
    fn new(part: Part<'a>, plan: &Plan) -> Self {
        let core = part.core;
        let mut users = vec![Vec::new(); core.curves.len()];
        for (a, ask) in core.asks.iter().enumerate() {
            let mut sorts: Vec<usize> = ask.options.iter().flat_map(|o| &o.needs).map(|(s, _)| *s).collect();
            sorts.sort_unstable();
            sorts.dedup();
            for s in sorts {
                users[s].push(a);
            }
        }
        let counts = plan.counts(core);
        let by_cost = relax::cost(part, &counts, &margins(core, plan), ROUNDS / 2, plan.cost(core)).prices;
        let last = roles(&counts, counts.len().saturating_sub(1));
        let by_orders = relax::orders(part, &last, &vec![0; core.curves.len()], ROUNDS / 4, 0).prices;
        Self { core, users, by_orders, by_cost, dice: Dice(1) }
    }
    fn run(&mut self, plan: &mut Plan, rounds: usize) {
        if plan.pick.is_empty() {
            return;
        }
        for round in 0..rounds {
            let asks = self.near(plan, round);
            self.step(plan, &asks);
        }
    }
    /// A seed and orders that want what it wants, some of them unserved.
    fn near(&mut self, plan: &Plan, round: usize) -> Vec<usize> {
        let all = plan.pick.len();
        let size = (8 + self.dice.below(8)).min(all);
        let mut seed = self.dice.below(all);
        if round.is_multiple_of(2) {
            seed = (0..all).map(|i| (seed + i) % all).find(|&a| plan.pick[a].is_none()).unwrap_or(seed);
        }
        let mut out = vec![seed];
        let mut tries = 0;
        while out.len() < size && tries < size * 8 {
            tries += 1;
            let from = out[self.dice.below(out.len().min(3))];
            let options = &self.core.asks[from].options;
            let needs = options.get(self.dice.below(options.len())).map(|o| o.needs.as_slice()).unwrap_or_default();
            let Some((sort, _)) = needs.get(self.dice.below(needs.len())) else { continue };
            let next = self.user(plan, *sort, tries % 4 > 0, &out);
            if !out.contains(&next) {
                out.push(next);
            }
        }
        out.sort_unstable();
        out
    }
    /// An order that could use a sort; `now`, one that does and is not in `out`, if there is one: only it can give modules up.
    fn user(&mut self, plan: &Plan, sort: usize, now: bool, out: &[usize]) -> usize {
        let users = &self.users[sort];
        let from = self.dice.below(users.len());
        let option = |a: usize| plan.pick[a].map(|o| &self.core.asks[a].options[o]);
        let uses = |a: usize| option(a).is_some_and(|o| o.needs.iter().any(|n| n.0 == sort));
        let mut round = users[from..].iter().chain(&users[..from]).copied();
        round.find(|&a| now && uses(a) && !out.contains(&a)).unwrap_or(users[from])
    }
    /// Searches a neighbourhood.
    fn step(&mut self, plan: &mut Plan, asks: &[usize]) {
        let now: Vec<Option<usize>> = asks.iter().map(|&a| plan.pick[a]).collect();
        for &a in asks {
            plan.clear(self.core, a);
        }
        let part = Part { core: self.core, asks, base: &plan.used };
        let start = (self.by_orders.as_slice(), self.by_cost.as_slice());
        let found = Branch::new(part, &now, start, NEAR_ROUNDS, NEAR_STEPS).and_then(|b| b.improve().0);
        let chosen = found.unwrap_or_else(|| asks.iter().copied().zip(now).collect());
        for (a, option) in chosen {
            plan.set(self.core, a, option);
        }
    }
}
