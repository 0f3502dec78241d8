//! A second answer beside an earlier one: what each order keeps, what moved, and what the orders would reach by all staying.

use super::answer::{AllocateError, Change, Effort, Levels, Moved, Tally};
use super::frame::Frame;
use super::improve::{self, Plan};
use super::lay::{Keep, Laid, Layer};
use super::levels;
use domain::allocation::{Earlier, EarlierOrder, Held, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// An earlier answer as far as its orders and pieces still are.
pub(super) struct Stay<'a> {
    earlier: &'a Earlier,
    /// By order of the problem: what it had.
    before: BTreeMap<usize, &'a EarlierOrder>,
    pub keep: Keep,
}

impl<'a> Stay<'a> {
    /// Finds the orders and pieces of an earlier answer in a problem.
    pub fn new(frame: &Frame, earlier: &'a Earlier) -> Self {
        let orders: BTreeMap<i64, usize> = frame.problem.orders.iter().enumerate().map(|(i, o)| (o.key, i)).collect();
        let pieces: BTreeMap<i64, usize> = frame.problem.stock.iter().enumerate().map(|(i, p)| (p.key, i)).collect();
        let mut before = BTreeMap::new();
        let mut keep = Keep::new();
        for had in &earlier.orders {
            let Some(&order) = orders.get(&had.key).filter(|o| !before.contains_key(*o)) else { continue };
            before.insert(order, had);
            for held in &had.held {
                let piece = pieces.get(&held.piece).filter(|&&p| frame.problem.stock[p].sort == held.sort);
                if let (Some(&piece), Some(sort)) = (piece, frame.sort_at(held.sort)) {
                    let set = keep.entry((order, held.machine, held.group, sort)).or_default();
                    set.push((piece, held.count));
                }
            }
        }
        Self { earlier, before, keep }
    }
    /// The earlier options, as far as the stock allows, in the orders' sequence.
    pub fn plan(&self, frame: &Frame) -> Plan {
        let mut plan = Plan::empty(&frame.core);
        for (&order, had) in &self.before {
            let option = frame.core.asks[order].options.iter().position(|o| o.choice == had.choice);
            plan.set(&frame.core, order, option);
        }
        plan
    }
    /// How many modules the orders of a plan had before, and so could keep.
    pub fn had(&self, plan: &Plan) -> u64 {
        let still = self.before.iter().filter(|(o, _)| plan.pick[**o].is_some());
        still.flat_map(|(_, had)| &had.held).map(|h| u64::from(h.count)).fold(0, u64::saturating_add)
    }
    /// How many orders have another option than before, or none.
    pub fn turned(&self, frame: &Frame, plan: &Plan) -> usize {
        let now = |order: usize| plan.pick[order].map(|o| frame.core.asks[order].options[o].choice);
        self.before.iter().filter(|(order, had)| now(**order) != Some(had.choice)).count()
    }
    /// What differs.
    pub fn moved(&self, frame: &Frame, plan: &Plan, laid: &Laid) -> Vec<Moved> {
        let mut out = Vec::new();
        for (i, order) in frame.problem.orders.iter().enumerate() {
            let now = plan.pick[i].map(|o| frame.core.asks[i].options[o].choice);
            let had = self.before.get(&i);
            let (gives, gets) = differ(had.map(|h| h.held.as_slice()).unwrap_or_default(), &laid.held[i]);
            let what = match (had, now) {
                (None, None) => continue,
                (None, Some(_)) => Change::Came,
                (Some(_), None) => Change::Left,
                (Some(h), Some(c)) if h.choice != c => Change::Choice,
                _ if gives.is_empty() && gets.is_empty() => continue,
                _ => Change::Modules,
            };
            out.push(Moved { order: order.key, what, gives, gets });
        }
        let open: BTreeSet<i64> = frame.problem.orders.iter().map(|o| o.key).collect();
        let gone = self.earlier.orders.iter().filter(|o| !open.contains(&o.key));
        out.extend(gone.map(|o| Moved { order: o.key, what: Change::Gone, gives: o.held.clone(), gets: Vec::new() }));
        out
    }
    /// The levels where every order that still can holds just what it had, and the rest is served from what is left.
    pub fn held(&self, frame: &Frame, effort: Effort) -> Result<Levels, AllocateError> {
        let problem = frame.problem;
        let mut left: Vec<u32> = problem.stock.iter().map(|p| p.count).collect();
        let mut fixed = Plan::empty(&frame.core);
        let mut keep = Keep::new();
        for (&order, had) in &self.before {
            let mine: Keep =
                self.keep.range((order, 0, 0, 0)..(order + 1, 0, 0, 0)).map(|(k, v)| (*k, v.clone())).collect();
            let option = frame.core.asks[order].options.iter().position(|o| o.choice == had.choice);
            let before = (left.clone(), fixed.clone());
            let whole = option.is_some_and(|o| fits(frame, order, o, &mine)) && fixed.set(&frame.core, order, option);
            if whole && mine.values().flatten().all(|&(p, n)| take(&mut left[p], n)) {
                keep.extend(mine);
            } else {
                (left, fixed) = before;
            }
        }
        let mut rest = Problem { orders: Vec::new(), offers: Vec::new(), ..problem.clone() };
        for (piece, n) in rest.stock.iter_mut().zip(&left) {
            piece.count = *n;
        }
        rest.orders =
            (0..problem.orders.len()).filter(|&i| fixed.pick[i].is_none()).map(|i| problem.orders[i].clone()).collect();
        let other = Frame::new(&rest)?;
        let (plan, _) = improve::solve(&other.core, None, effort.exact, effort.rounds_per_order);
        let none = Keep::new();
        let laid = Layer::new(&other, &none).lay(&plan);
        let more = levels(&other, &plan, &laid);
        Ok(join(frame, &fixed, &keep, more))
    }
}

/// Do the kept modules make up an option wholly?
fn fits(frame: &Frame, order: usize, option: usize, mine: &Keep) -> bool {
    let mut wants: BTreeMap<(usize, u32, u16, usize), u64> = BTreeMap::new();
    for demand in frame.choice(order, option).demands.iter().filter(|d| d.count > 0) {
        let Some(sort) = frame.sort_at(demand.sort) else { return false };
        for machine in 0..frame.problem.orders[order].machines {
            *wants.entry((order, machine, demand.group, sort)).or_default() += u64::from(demand.count);
        }
    }
    let has: BTreeMap<_, u64> =
        mine.iter().map(|(k, set)| (*k, set.iter().map(|(_, n)| u64::from(*n)).sum())).collect();
    wants == has
}

fn take(left: &mut u32, n: u32) -> bool {
    let some = left.checked_sub(n);
    *left = some.unwrap_or(*left);
    some.is_some()
}

/// Levels of orders that hold what they had, joined with the levels of the rest.
fn join(frame: &Frame, fixed: &Plan, keep: &Keep, more: Levels) -> Levels {
    let stock = &frame.problem.stock;
    let counts = fixed.counts(&frame.core);
    let served = frame.priorities.iter().zip(&frame.core.classes).zip(counts).map(|((&priority, &asked), n)| {
        let others = more.served.iter().find(|t| t.priority == priority).map_or(0, |t| t.served);
        Tally { priority, served: n + others, asked }
    });
    let (mut cost, mut broken, mut days) = (more.cost.minor(), more.broken, more.days);
    for (order, option) in fixed.pick.iter().enumerate().filter_map(|(i, p)| p.map(|o| (i, o))) {
        cost += frame.core.asks[order].options[option].other;
    }
    for set in keep.values() {
        broken += super::sets::breaks(set, |p| (stock[p].part, stock[p].die));
        for &(piece, n) in set {
            cost += stock[piece].cost.minor() * i64::from(n);
            days += stock[piece].received * i64::from(n);
        }
    }
    Levels { served: served.collect(), cost: frame.money(cost), broken, days }
}

/// What the first has and the second has not, and the other way round.
fn differ(before: &[Held], now: &[Held]) -> (Vec<Held>, Vec<Held>) {
    let minus = |a: &[Held], b: &[Held]| {
        let mut out = Vec::new();
        for held in a {
            let same = |h: &&Held| Held { count: 0, ..**h } == Held { count: 0, ..*held };
            let n = b.iter().filter(same).map(|h| h.count).fold(0, u32::saturating_add);
            if held.count > n {
                out.push(Held { count: held.count - n, ..*held });
            }
        }
        out
    };
    (minus(before, now), minus(now, before))
}
