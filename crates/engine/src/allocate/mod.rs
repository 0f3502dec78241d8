//! Many orders, one stock: which option each order gets and from which modules, most orders served by priority, then least cost,
//! then fewest broken sets, then the oldest stock. `frame` lays the problem out, `improve` chooses options by prices (`relax`) and
//! exact search (`branch`), `sets`, `shelf` and `lay` choose pieces, `why`, `buy` and `stay` say the rest.

mod anneal;
mod answer;
mod branch;
mod buy;
mod frame;
mod improve;
mod knapsack;
mod lay;
mod limits;
mod relax;
mod sets;
mod shelf;
mod stay;
mod why;

pub use answer::{
    AllocateError, Answer, Bounds, Buy, Change, Effort, Levels, Moved, Moves, Passed, Proof, Purchase, Reason, Served,
    Short, Tally, Unserved,
};

use domain::allocation::{Earlier, Problem};
use frame::Frame;
use improve::Plan;
use lay::{Keep, Laid, Layer};
use limits::Limits;
use stay::Stay;
use std::cmp::Reverse;
use why::Reasons;

/// Plans alike on levels 1 and 2 that are compared on the others.
const MOST_TIES: u32 = 20_000;
/// Where orders are many: that one more is served is worth another option for so many others.
const MOVES_FOR_AN_ORDER: usize = 10;

/// Allocates. With an earlier answer an order gives up a module or an option only where levels 1 and 2 gain (where orders are many,
/// another answer as a whole is taken only where the orders that it serves more are worth its moves); of the ways to that gain that were looked at, the one with the fewest modules given up is taken, and what moves is placed by levels 3 and 4.
///
/// # Errors
/// Amounts in two currencies or below 0, keys that come twice, an order of no machines, a part with two dies, and numbers past
/// what can be summed.
pub fn allocate(problem: &Problem, earlier: Option<&Earlier>, effort: Effort) -> Result<Answer, AllocateError> {
    let frame = Frame::new(problem)?;
    let none = Keep::new();
    let (free, limits) = improve::solve(&frame.core, None, effort.exact, effort.rounds_per_order);
    let Some(earlier) = earlier else {
        let (plan, laid, whole) = finish(&frame, free, &limits, effort, &none, |_| 0);
        return answer(&frame, &plan, &laid, limits, whole, effort);
    };
    let stay = Stay::new(&frame, earlier);
    let start = stay.plan(&frame);
    let (near, near_limits) = improve::solve(&frame.core, Some(start), effort.exact, effort.rounds_per_order);
    // Where the whole is not searched exactly, another answer as a whole has to serve so many more that it is worth its moves.
    let better = if frame.core.asks.len() > improve::FEW {
        let more = gain(&free.counts(&frame.core), &near.counts(&frame.core));
        more > 0 && stay.turned(&frame, &free) <= stay.turned(&frame, &near) + more * MOVES_FOR_AN_ORDER
    } else {
        free.score(&frame.core) > near.score(&frame.core)
    };
    let (plan, limits) = if better { (free.clone(), limits) } else { (near.clone(), near_limits) };
    let base = if better { free } else { near };
    let (loose, loose_laid, _) = finish(&frame, base, &limits, effort, &none, |_| 0);
    let (plan, laid, _) = finish(&frame, plan, &limits, effort, &stay.keep, |p| stay.had(p));
    let moves = Moves {
        orders: stay.moved(&frame, &plan, &laid),
        modules: stay.had(&plan).saturating_sub(laid.kept),
        free: levels(&frame, &loose, &loose_laid),
        held: stay.held(&frame, effort)?,
    };
    let mut out = answer(&frame, &plan, &laid, limits, false, effort)?;
    out.moves = Some(moves);
    Ok(out)
}

/// How many more the first serves in the first class where they differ; 0 where that is fewer.
fn gain(one: &[u32], other: &[u32]) -> usize {
    one.iter().zip(other).find(|(a, b)| a != b).map_or(0, |(a, b)| a.saturating_sub(*b) as usize)
}

/// Of the plans that tie on levels 1 and 2: the fewest modules given up, then levels 3 and 4. Is that proved?
fn finish(
    frame: &Frame,
    plan: Plan,
    limits: &Limits,
    effort: Effort,
    keep: &Keep,
    had: impl Fn(&Plan) -> u64,
) -> (Plan, Laid, bool) {
    let mut layer = Layer::new(frame, keep);
    let mut best = plan.clone();
    let mut whole = false;
    if limits.proved_cost {
        let (mut seen, mut exact) = (0, true);
        let (kept, broken, days, _) = layer.rate(&plan);
        let mut value = (had(&plan).saturating_sub(kept), broken, days);
        whole = improve::ties(&frame.core, &plan, effort.exact, &mut |tie| {
            let (kept, broken, days, sure) = layer.rate(tie);
            exact &= sure;
            let next = (had(tie).saturating_sub(kept), broken, days);
            if next < value {
                value = next;
                best = tie.clone();
            }
            seen += 1;
            seen < MOST_TIES
        }) && exact;
    }
    let laid = layer.lay(&best);
    (best, laid, whole)
}

/// The four levels of a plan.
fn levels(frame: &Frame, plan: &Plan, laid: &Laid) -> Levels {
    Levels {
        served: tallies(frame, &plan.counts(&frame.core)),
        cost: frame.money(plan.cost(&frame.core)),
        broken: laid.broken,
        days: laid.days,
    }
}

fn tallies(frame: &Frame, served: &[u32]) -> Vec<Tally> {
    let all = frame.priorities.iter().zip(&frame.core.classes).zip(served);
    all.map(|((&priority, &asked), &served)| Tally { priority, served, asked }).collect()
}

fn answer(
    frame: &Frame,
    plan: &Plan,
    laid: &Laid,
    limits: Limits,
    whole: bool,
    effort: Effort,
) -> Result<Answer, AllocateError> {
    let reasons = Reasons::new(frame, plan);
    let (mut buys, purchase) = buy::buy(frame, plan, effort)?;
    let (mut served, mut unserved) = (Vec::new(), Vec::new());
    for (i, order) in frame.problem.orders.iter().enumerate() {
        let Some(option) = plan.pick[i] else {
            let (nearest, short) = reasons.nearest(i).map_or((None, Vec::new()), |(c, s)| (Some(c), s));
            unserved.push(Unserved { order: order.key, nearest, short, buy: buys.remove(&i) });
            continue;
        };
        let option = &frame.core.asks[i].options[option];
        let (modules, broken) = laid.by_order[i];
        served.push(Served {
            order: order.key,
            choice: option.choice,
            pieces: laid.held[i].clone(),
            cost: frame.money(modules + option.other),
            broken: u32::try_from(broken).unwrap_or(u32::MAX),
            why: reasons.passed(i),
        });
    }
    let proof = match (limits.proved_orders, limits.proved_cost, whole) {
        (_, true, true) => Proof::Complete,
        (_, true, false) => Proof::Cost,
        (true, false, _) => Proof::Served,
        _ => Proof::Open,
    };
    Ok(Answer {
        served,
        unserved,
        purchase,
        levels: levels(frame, plan, laid),
        bounds: Bounds { served: tallies(frame, &limits.orders), cost: frame.money(limits.cost) },
        proof,
        moves: None,
    })
}

impl Answer {
    /// This answer as the earlier one of a next run.
    pub fn as_earlier(&self) -> Earlier {
        let order =
            |s: &Served| domain::allocation::EarlierOrder { key: s.order, choice: s.choice, held: s.pieces.clone() };
        Earlier { orders: self.served.iter().map(order).collect() }
    }
    /// Are levels 1 and 2 better than, as good as, or worse than another's?
    pub fn compare(&self, other: &Levels) -> std::cmp::Ordering {
        let key = |l: &Levels| (l.served.iter().map(|t| t.served).collect::<Vec<_>>(), Reverse(l.cost.minor()));
        key(&self.levels).cmp(&key(other))
    }
}
