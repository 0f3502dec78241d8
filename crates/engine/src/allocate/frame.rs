//! The problem checked and made dense: sorts by index with a convex curve of cost, orders with totals by sort, classes of priority.

use super::answer::AllocateError;
use domain::allocation::{Choice, Order, Piece, Problem};
use domain::{Currency, Money};
use std::collections::{BTreeMap, BTreeSet};

/// Modules that all pieces of all sorts may stand for together; a curve holds one figure each.
const MOST_UNITS: u64 = 1 << 22;
/// The sum of all amounts that a problem may reach, in minor units: what a scaled sum of them in 64 bits allows.
const MOST_MONEY: i128 = 1 << 46;
/// Days of receipt are within this of day 0.
const MOST_DAYS: i64 = 1_000_000_000;

/// One option of an order, all its machines together.
#[derive(Debug, Clone)]
pub(super) struct Opt {
    /// Which of the problem's options.
    pub choice: usize,
    /// Its cost besides modules, minor units.
    pub other: i64,
    /// Sort and count, by sort, each once and above 0.
    pub needs: Vec<(usize, u32)>,
}

/// An order as the search sees it.
#[derive(Debug, Clone)]
pub(super) struct Ask {
    /// Its class of priority, 0 first, none empty.
    pub class: usize,
    /// Options that the whole stock could serve.
    pub options: Vec<Opt>,
}

/// What the search over options knows: no piece, only curves.
#[derive(Debug, Clone)]
pub(super) struct Core {
    /// By sort: the cost of the n cheapest modules, at n.
    pub curves: Vec<Vec<i64>>,
    pub asks: Vec<Ask>,
    /// How many orders are in each class.
    pub classes: Vec<u32>,
}

impl Core {
    /// How many modules of a sort there are.
    pub fn supply(&self, sort: usize) -> u32 {
        u32::try_from(self.curves[sort].len() - 1).unwrap_or(u32::MAX)
    }
    /// What modules `from..to` of a sort cost.
    pub fn step(&self, sort: usize, from: u32, to: u32) -> i64 {
        self.curves[sort][to as usize] - self.curves[sort][from as usize]
    }
}

/// A problem whose numbers are checked, with its indices.
pub(super) struct Frame<'a> {
    pub problem: &'a Problem,
    /// Sort ids by index.
    pub sorts: Vec<u32>,
    /// Priorities by class.
    pub priorities: Vec<u8>,
    /// By sort: the pieces, cheapest first, then oldest, then by key.
    pub shelves: Vec<Vec<usize>>,
    pub core: Core,
}

impl<'a> Frame<'a> {
    /// Checks and lays out.
    pub fn new(problem: &'a Problem) -> Result<Self, AllocateError> {
        check(problem)?;
        let sorts = sorts(problem);
        let at: BTreeMap<u32, usize> = sorts.iter().enumerate().map(|(i, s)| (*s, i)).collect();
        let priorities: Vec<u8> =
            problem.orders.iter().map(|o| o.priority).collect::<BTreeSet<_>>().into_iter().collect();
        let mut shelves = vec![Vec::new(); sorts.len()];
        for (i, piece) in problem.stock.iter().enumerate().filter(|(_, p)| p.count > 0) {
            if let Some(&sort) = at.get(&piece.sort) {
                shelves[sort].push(i);
            }
        }
        for shelf in &mut shelves {
            shelf.sort_by_key(|&i| {
                let p = &problem.stock[i];
                (p.cost.minor(), p.received, p.key)
            });
        }
        let runs: Vec<Vec<(i64, u64)>> = shelves
            .iter()
            .map(|s| s.iter().map(|&i| (problem.stock[i].cost.minor(), u64::from(problem.stock[i].count))).collect())
            .collect();
        let who: Vec<usize> = (0..problem.orders.len()).collect();
        let core = core(problem, &who, &at, &priorities, &runs)?;
        Ok(Self { problem, sorts, priorities, shelves, core })
    }
    /// An amount in the problem's currency.
    pub fn money(&self, minor: i64) -> Money {
        Money::from_minor(minor, self.problem.currency)
    }
    /// The option of the problem behind an option of the search.
    pub fn choice(&self, order: usize, option: usize) -> &'a Choice {
        &self.problem.orders[order].options[self.core.asks[order].options[option].choice]
    }
    /// The index of a sort.
    pub fn sort_at(&self, id: u32) -> Option<usize> {
        self.sorts.binary_search(&id).ok()
    }
}

/// The search's view of some orders over runs of modules (each, count), cheapest first.
pub(super) fn core(
    problem: &Problem,
    who: &[usize],
    at: &BTreeMap<u32, usize>,
    priorities: &[u8],
    runs: &[Vec<(i64, u64)>],
) -> Result<Core, AllocateError> {
    let have: Vec<u64> = runs.iter().map(|r| r.iter().map(|(_, n)| n).sum()).collect();
    let mut classes = vec![0; priorities.len()];
    let mut most = vec![0_u64; runs.len()];
    let mut asks = Vec::with_capacity(who.len());
    for &i in who {
        let order = &problem.orders[i];
        let class = priorities.binary_search(&order.priority).unwrap_or(0);
        classes[class] += 1;
        let options: Vec<Opt> = (0..order.options.len()).filter_map(|c| option(order, c, at, &have)).collect();
        let mut top: BTreeMap<usize, u32> = BTreeMap::new();
        for (sort, n) in options.iter().flat_map(|o| &o.needs) {
            let best = top.entry(*sort).or_default();
            *best = (*best).max(*n);
        }
        for (sort, n) in top {
            most[sort] = most[sort].saturating_add(u64::from(n));
        }
        asks.push(Ask { class, options });
    }
    let units: u64 = most.iter().zip(&have).fold(0, |sum, (m, h)| sum.saturating_add(*m.min(h)));
    if units > MOST_UNITS {
        return Err(AllocateError::TooMuch { what: format!("a stock of {units} modules for these orders") });
    }
    let curves: Vec<Vec<i64>> = runs.iter().zip(&most).map(|(runs, most)| curve(runs, *most)).collect();
    let modules: i128 = curves.iter().map(|c| i128::from(c.last().copied().unwrap_or(0))).sum();
    let other: i128 = asks.iter().map(|a| a.options.iter().map(|o| i128::from(o.other)).max().unwrap_or(0)).sum();
    if modules + other > MOST_MONEY {
        return Err(AllocateError::TooMuch { what: "the sum of all amounts".to_string() });
    }
    Ok(Core { curves, asks, classes })
}

/// An option with its totals; `None` where the whole stock can't serve it.
fn option(order: &Order, choice: usize, at: &BTreeMap<u32, usize>, have: &[u64]) -> Option<Opt> {
    let found = &order.options[choice];
    let mut totals: BTreeMap<usize, u64> = BTreeMap::new();
    for demand in found.demands.iter().filter(|d| d.count > 0) {
        let sum = totals.entry(*at.get(&demand.sort)?).or_default();
        *sum = sum.saturating_add(u64::from(demand.count).saturating_mul(u64::from(order.machines)));
    }
    let mut needs = Vec::with_capacity(totals.len());
    for (sort, n) in totals {
        if n > have[sort] {
            return None;
        }
        needs.push((sort, u32::try_from(n).ok()?));
    }
    Some(Opt { choice, other: found.other_cost.minor(), needs })
}

/// The cost of the n cheapest modules for n up to `most`. Runs are cheapest first.
fn curve(runs: &[(i64, u64)], most: u64) -> Vec<i64> {
    let mut out = vec![0];
    let mut sum = 0_i64;
    let mut left = most;
    for &(each, count) in runs {
        for _ in 0..count.min(left) {
            sum = sum.saturating_add(each);
            out.push(sum);
        }
        left -= count.min(left);
    }
    out
}

/// Every sort that a piece, an offer or a demand names, in order.
fn sorts(problem: &Problem) -> Vec<u32> {
    let demands = problem.orders.iter().flat_map(|o| &o.options).flat_map(|c| &c.demands).map(|d| d.sort);
    let stock = problem.stock.iter().map(|p| p.sort);
    let offers = problem.offers.iter().map(|o| o.sort);
    demands.chain(stock).chain(offers).collect::<BTreeSet<_>>().into_iter().collect()
}

fn check(problem: &Problem) -> Result<(), AllocateError> {
    let mut parts: BTreeMap<u32, u32> = BTreeMap::new();
    let mut keys = BTreeSet::new();
    for piece in &problem.stock {
        amount(problem.currency, piece.cost, || format!("piece {}", piece.key))?;
        check_piece(piece, &mut parts)?;
        if !keys.insert(piece.key) {
            return Err(AllocateError::Twice { what: format!("piece {}", piece.key) });
        }
    }
    for (i, offer) in problem.offers.iter().enumerate() {
        amount(problem.currency, offer.each, || format!("offer {}", i + 1))?;
    }
    let mut keys = BTreeSet::new();
    for order in &problem.orders {
        if order.machines == 0 {
            return Err(AllocateError::NoMachines { order: order.key });
        }
        if !keys.insert(order.key) {
            return Err(AllocateError::Twice { what: format!("order {}", order.key) });
        }
        for choice in &order.options {
            amount(problem.currency, choice.other_cost, || format!("order {}", order.key))?;
        }
    }
    Ok(())
}

fn check_piece(piece: &Piece, parts: &mut BTreeMap<u32, u32>) -> Result<(), AllocateError> {
    if piece.received.unsigned_abs() > MOST_DAYS.unsigned_abs() {
        return Err(AllocateError::Day { piece: piece.key, day: piece.received });
    }
    let die = *parts.entry(piece.part).or_insert(piece.die);
    if die == piece.die {
        return Ok(());
    }
    Err(AllocateError::Dies { part: piece.part, one: die, other: piece.die })
}

fn amount(wanted: Currency, found: Money, what: impl Fn() -> String) -> Result<(), AllocateError> {
    if found.currency() != wanted {
        return Err(AllocateError::Currency { what: what(), found: found.currency(), wanted });
    }
    if found.minor() < 0 {
        return Err(AllocateError::Negative { what: what(), amount: found });
    }
    if i128::from(found.minor()) > MOST_MONEY {
        return Err(AllocateError::TooMuch { what: format!("the amount {found} of {}", what()) });
    }
    Ok(())
}
