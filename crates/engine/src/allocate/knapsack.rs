//! A tighter bound than one price per module gives: every option has a price of its own at every sort it needs, and each
//! sort sells to the orders what pays best of what fits whole (Lagrangian decomposition; Guignard and Kim 1987, from
//! memory). What fits is found by dynamic programming over the modules used, so supplies that no set of orders can use up
//! are not counted as if one could.

use super::frame::Core;
use super::relax::{self, COUNT, MINOR, Role};
use std::collections::BTreeMap;

/// The highest price of a need: with fewer than 2^22 orders no sum passes 63 bits.
const DEAREST: i64 = 1 << 40;
/// Fields of all tables together that are filled at most, over all rounds; and of one table at a time.
const MOST_WORK: usize = 3_000_000_000;
const MOST_FIELDS: usize = 1 << 25;

/// One option's need of one sort, in modules and in units of the sort.
struct Need {
    sort: usize,
    count: u32,
    units: usize,
}

/// One sort: which needs it could serve, by order, of which it serves one at most.
struct Sort {
    /// All needs are multiples of so many modules.
    unit: u32,
    /// The supply in whole units.
    room: usize,
    groups: Vec<Vec<usize>>,
}

/// The needs of all options, and how each sort looks at them.
pub(super) struct Knapsacks<'a> {
    core: &'a Core,
    needs: Vec<Need>,
    /// By order and option: where its needs begin.
    first: Vec<Vec<usize>>,
    sorts: Vec<Sort>,
    /// Fields to fill in a round.
    fields: usize,
}

impl<'a> Knapsacks<'a> {
    /// Of all orders; `None` where that is too much to work on.
    pub fn new(core: &'a Core) -> Option<Self> {
        let mut needs = Vec::new();
        let mut first = Vec::with_capacity(core.asks.len());
        let mut unit = vec![0; core.curves.len()];
        let mut groups: Vec<Vec<Vec<usize>>> = vec![Vec::new(); core.curves.len()];
        for ask in &core.asks {
            let mut mine: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            let mut starts = Vec::with_capacity(ask.options.len());
            for option in &ask.options {
                starts.push(needs.len());
                for &(sort, count) in &option.needs {
                    unit[sort] = gcd(unit[sort], count);
                    mine.entry(sort).or_default().push(needs.len());
                    needs.push(Need { sort, count, units: 0 });
                }
            }
            first.push(starts);
            mine.into_iter().for_each(|(sort, group)| groups[sort].push(group));
        }
        for need in &mut needs {
            need.units = (need.count / unit[need.sort]) as usize;
        }
        let sort = |(s, groups): (usize, Vec<Vec<usize>>)| {
            let unit = unit[s].max(1);
            Sort { unit, room: (core.supply(s) / unit) as usize, groups }
        };
        let sorts: Vec<Sort> = groups.into_iter().enumerate().map(sort).collect();
        let of = |s: &Sort| (s.room + 1).saturating_mul(s.groups.iter().map(Vec::len).sum());
        let fields = sorts.iter().map(of).fold(1, usize::saturating_add);
        let marks = sorts.iter().flat_map(|s| &s.groups).all(|g| g.len() < usize::from(u16::MAX));
        let most = sorts.iter().map(of).max().unwrap_or(0);
        (marks && most <= MOST_FIELDS).then_some(Self { core, needs, first, sorts, fields })
    }
    /// How many orders (by weight) nothing can exceed, scaled. Prices by sort to start from.
    pub fn most_orders(&self, roles: &[Role], start: &[i64], rounds: usize, reached: i64) -> i64 {
        let free = |_: &Sort, _: &[i64], _: usize| 0;
        let eval = |prices: &[i64], slope: &mut [i64]| self.value(roles, prices, 0, free, slope);
        -relax::climb(&self.spread(start), self.rounds(rounds), -reached * COUNT, DEAREST as f64, eval).bound
    }
    /// What no cost for so many orders of each class can be below, in minor units, scaled. Prices by sort to start from.
    pub fn least_cost(&self, counts: &[u32], start: &[i64], rounds: usize, reached: i64) -> i64 {
        let roles: Vec<Role> = counts.iter().map(|n| Role::Exactly(*n)).collect();
        let cost = |sort: &Sort, curve: &[i64], n: usize| curve[n * sort.unit as usize] * MINOR;
        let eval = |prices: &[i64], slope: &mut [i64]| self.value(&roles, prices, MINOR, cost, slope);
        relax::climb(&self.spread(start), self.rounds(rounds), reached * MINOR, DEAREST as f64, eval).bound
    }
    fn rounds(&self, rounds: usize) -> usize {
        rounds.min(MOST_WORK / self.fields)
    }
    /// The prices by sort as prices by need.
    fn spread(&self, prices: &[i64]) -> Vec<i64> {
        self.needs.iter().map(|n| prices[n.sort].saturating_mul(i64::from(n.count)).min(DEAREST)).collect()
    }
    /// A bound from below at prices by need, and how it changes with each.
    fn value(
        &self,
        roles: &[Role],
        prices: &[i64],
        other: i64,
        cost: impl Fn(&Sort, &[i64], usize) -> i64,
        slope: &mut [i64],
    ) -> i64 {
        let mut sum = 0;
        for (class, role) in roles.iter().enumerate() {
            sum += self.orders(class, *role, prices, other, slope);
        }
        let mut table = Table::default();
        for (sort, curve) in self.sorts.iter().zip(&self.core.curves) {
            sum += self.sell(sort, prices, |n| cost(sort, curve, n), &mut table, slope);
        }
        sum
    }
    /// The orders of a class that pay least: the sum less their weight, and 1 for each of their needs.
    fn orders(&self, class: usize, role: Role, prices: &[i64], other: i64, slope: &mut [i64]) -> i64 {
        let asks = &self.core.asks;
        let range = |a: usize, o: usize| self.first[a][o]..self.first[a][o] + asks[a].options[o].needs.len();
        let price = |a: usize, o: usize| asks[a].options[o].other * other + prices[range(a, o)].iter().sum::<i64>();
        let cheapest = |a: usize| (0..asks[a].options.len()).map(|o| (price(a, o), a, o)).min();
        let all = (0..asks.len()).filter(|&a| asks[a].class == class).filter_map(cheapest).collect();
        let mut sum = 0;
        for (least, a, o) in relax::chosen(all, role) {
            sum += if let Role::Weight(w) = role { least - w * COUNT } else { least };
            slope[range(a, o)].iter_mut().for_each(|g| *g += 1);
        }
        sum
    }
    /// The least of cost less what is paid for the needs that a sort serves, and -1 for each of those.
    fn sell(
        &self,
        sort: &Sort,
        prices: &[i64],
        cost: impl Fn(usize) -> i64,
        table: &mut Table,
        slope: &mut [i64],
    ) -> i64 {
        table.clear(sort.room + 1, sort.groups.len());
        // A need that pays less than the cheapest modules cost is never served.
        let least = cost(sort.room.min(1));
        for (g, group) in sort.groups.iter().enumerate() {
            let mut any = false;
            for (mark, &n) in (1..).zip(group) {
                let units = self.needs[n].units;
                if prices[n] > least * units as i64 && units <= sort.room {
                    table.add(g, units, prices[n], mark);
                    any = true;
                }
            }
            if any {
                table.now.copy_from_slice(&table.next);
            }
        }
        let all = table.now.iter().enumerate().map(|(n, paid)| (cost(n) - paid, n));
        let (sum, mut left) = all.min().unwrap_or((0, 0));
        for (g, group) in sort.groups.iter().enumerate().rev() {
            if let Some(at) = usize::from(table.took[g * (sort.room + 1) + left]).checked_sub(1) {
                slope[group[at]] -= 1;
                left -= self.needs[group[at]].units;
            }
        }
        sum
    }
}

/// Nothing pays this: so low that all prices together do not lift it.
const NEVER: i64 = i64::MIN / 4;

/// By units used: the most that is paid, without and with the order under way; by order and units, which need is served.
#[derive(Default)]
struct Table {
    now: Vec<i64>,
    next: Vec<i64>,
    took: Vec<u16>,
}

impl Table {
    fn clear(&mut self, wide: usize, orders: usize) {
        self.now.clear();
        self.now.resize(wide, NEVER);
        self.now[0] = 0;
        self.next.clone_from(&self.now);
        self.took.clear();
        self.took.resize(wide * orders, 0);
    }
    fn add(&mut self, order: usize, units: usize, price: i64, mark: u16) {
        let wide = self.now.len();
        let took = &mut self.took[order * wide + units..(order + 1) * wide];
        for ((next, now), took) in self.next[units..].iter_mut().zip(&self.now).zip(took) {
            if now + price > *next {
                *next = now + price;
                *took = mark;
            }
        }
    }
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}
