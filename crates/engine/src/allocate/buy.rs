//! What to buy so that the orders left over are served: the same search over them, with what is left of the stock for nothing
//! and the offers behind it.

use super::answer::{AllocateError, Buy, Effort, Purchase};
use super::frame::{self, Frame};
use super::improve::{self, Plan};
use domain::Money;
use std::collections::BTreeMap;

/// Something to take from: how many are left of it.
#[derive(Debug, Clone, Copy)]
enum Source {
    Stock(u64),
    Offer(usize, u64),
}

/// By order what to buy (for the unserved ones), and all of it.
pub(super) fn buy(
    frame: &Frame,
    plan: &Plan,
    effort: Effort,
) -> Result<(BTreeMap<usize, Buy>, Purchase), AllocateError> {
    let problem = frame.problem;
    let mut sources = sources(frame, plan);
    let who: Vec<usize> = (0..problem.orders.len()).filter(|&i| plan.pick[i].is_none()).collect();
    let at: BTreeMap<u32, usize> = frame.sorts.iter().enumerate().map(|(i, s)| (*s, i)).collect();
    let run = |s: &Source| match *s {
        Source::Stock(n) => (0, n),
        Source::Offer(i, n) => (problem.offers[i].each.minor(), n),
    };
    let runs: Vec<Vec<(i64, u64)>> = sources.iter().map(|s| s.iter().map(run).collect()).collect();
    let core = frame::core(problem, &who, &at, &frame.priorities, &runs)?;
    let (found, limits) = improve::solve(&core, None, effort.exact, effort.rounds_per_order);
    let mut order: Vec<usize> = (0..who.len()).collect();
    order.sort_by_key(|&i| (core.asks[i].class, i));
    let mut buys = BTreeMap::new();
    let mut items: BTreeMap<usize, u32> = BTreeMap::new();
    for i in order {
        let Some(option) = found.pick[i] else { continue };
        let option = &core.asks[i].options[option];
        let mut one = Buy {
            choice: option.choice,
            from_stock: Vec::new(),
            items: Vec::new(),
            price: frame.money(0),
            other_cost: frame.money(option.other),
        };
        for &(sort, n) in &option.needs {
            take(frame, sort, n, &mut sources[sort], &mut one);
        }
        for (offer, n) in &one.items {
            *items.entry(*offer).or_default() += n;
        }
        buys.insert(who[i], one);
    }
    let price = buys.values().map(|b| b.price.minor()).sum();
    let outlay = frame.money(found.cost(&core));
    let (least, proved) = (frame.money(limits.cost), limits.proved_cost);
    Ok((buys, Purchase { items: items.into_iter().collect(), price: frame.money(price), outlay, least, proved }))
}

/// By sort: what is left, then the offers from the cheapest on.
fn sources(frame: &Frame, plan: &Plan) -> Vec<Vec<Source>> {
    let problem = frame.problem;
    let mut out = Vec::with_capacity(frame.sorts.len());
    for (sort, shelf) in frame.shelves.iter().enumerate() {
        let have: u64 = shelf.iter().map(|&i| u64::from(problem.stock[i].count)).sum();
        let mut all = vec![Source::Stock(have.saturating_sub(u64::from(plan.used[sort])))];
        let mut offers: Vec<usize> =
            (0..problem.offers.len()).filter(|&i| problem.offers[i].sort == frame.sorts[sort]).collect();
        offers.sort_by_key(|&i| (problem.offers[i].each.minor(), i));
        let limit = |i: usize| problem.offers[i].limit.map_or(u64::from(u32::MAX), u64::from);
        all.extend(offers.into_iter().map(|i| Source::Offer(i, limit(i))));
        out.push(all);
    }
    out
}

fn take(frame: &Frame, sort: usize, mut want: u32, sources: &mut [Source], out: &mut Buy) {
    for source in sources {
        let left = match source {
            Source::Stock(n) | Source::Offer(_, n) => n,
        };
        let n = want.min(u32::try_from(*left).unwrap_or(u32::MAX));
        *left -= u64::from(n);
        want -= n;
        if n == 0 {
            continue;
        }
        match *source {
            Source::Stock(_) => out.from_stock.push((frame.sorts[sort], n)),
            Source::Offer(i, _) => {
                out.items.push((i, n));
                let price = frame.problem.offers[i].each.minor() * i64::from(n);
                out.price = Money::from_minor(out.price.minor() + price, out.price.currency());
            }
        }
    }
}
