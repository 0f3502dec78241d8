//! What no allocation can pass, each level given those before it as reached: prices by sort first, then by need (`knapsack`) for
//! the levels that those leave open.

use super::frame::Core;
use super::improve::{Plan, ROUNDS};
use super::knapsack::Knapsacks;
use super::relax::{self, COUNT, MINOR, Part, Role};

/// Rounds of prices by need.
const FINE_ROUNDS: usize = 1000;

/// Bounds of levels 1 and 2, each given what is reached before it, and what is proved.
#[derive(Debug, Clone)]
pub(super) struct Limits {
    pub orders: Vec<u32>,
    pub cost: i64,
    pub proved_orders: bool,
    pub proved_cost: bool,
}

/// The limits of a plan; `whole`, that nothing is better on levels 1 and 2.
pub(super) fn limits(core: &Core, plan: &Plan, whole: bool) -> Limits {
    let (counts, cost) = (plan.counts(core), plan.cost(core));
    if whole {
        return Limits { orders: counts, cost, proved_orders: true, proved_cost: true };
    }
    let all: Vec<usize> = (0..core.asks.len()).collect();
    let base = vec![0; core.curves.len()];
    let part = Part { core, asks: &all, base: &base };
    let knapsacks = Knapsacks::new(core);
    let (orders, least) = std::thread::scope(|scope| {
        let least = scope.spawn(|| least(part, knapsacks.as_ref(), &counts, &margins(core, plan), cost));
        let orders: Vec<u32> = (0..counts.len()).map(|class| most(part, knapsacks.as_ref(), &counts, class)).collect();
        (orders, least.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
    });
    let proved_orders = orders == counts;
    Limits { orders, cost: least, proved_orders, proved_cost: proved_orders && least == cost }
}

/// How many orders of a class can be served at most.
fn most(part: Part, knapsacks: Option<&Knapsacks>, counts: &[u32], class: usize) -> u32 {
    let (reached, all) = (counts[class], part.core.classes[class]);
    if reached == all {
        return all;
    }
    let roles = roles(counts, class);
    let whole = |bound: i64| u32::try_from(bound.div_euclid(COUNT)).unwrap_or(reached).clamp(reached, all);
    let priced = relax::orders(part, &roles, &vec![0; part.base.len()], ROUNDS, i64::from(reached));
    let bound = whole(priced.bound);
    match knapsacks {
        Some(k) if bound > reached => {
            bound.min(whole(k.most_orders(&roles, &priced.prices, FINE_ROUNDS, i64::from(reached))))
        }
        _ => bound,
    }
}

/// What so many orders of each class cost at least. `reached` is what some answer costs, `start` are prices to start from.
fn least(part: Part, knapsacks: Option<&Knapsacks>, counts: &[u32], start: &[i64], reached: i64) -> i64 {
    let whole = |bound: i64| (bound + MINOR - 1).div_euclid(MINOR).clamp(0, reached);
    let priced = relax::cost(part, counts, start, ROUNDS * 2, reached);
    let bound = whole(priced.bound);
    match knapsacks {
        Some(k) if bound < reached => bound.max(whole(k.least_cost(counts, &priced.prices, FINE_ROUNDS, reached))),
        _ => bound,
    }
}

/// What is asked of each class where the ones before stay as reached and the ones after do not count.
pub(super) fn roles(counts: &[u32], class: usize) -> Vec<Role> {
    let role = |(c, n): (usize, &u32)| match c.cmp(&class) {
        std::cmp::Ordering::Less => Role::Exactly(*n),
        std::cmp::Ordering::Equal => Role::Weight(1),
        std::cmp::Ordering::Greater => Role::Weight(0),
    };
    counts.iter().enumerate().map(role).collect()
}

/// By sort: what the last module taken costs.
pub(super) fn margins(core: &Core, plan: &Plan) -> Vec<i64> {
    let last = |s: usize, n: u32| if n == 0 { 0 } else { core.step(s, n - 1, n) * MINOR };
    plan.used.iter().enumerate().map(|(s, n)| last(s, *n).min(1 << 36)).collect()
}
