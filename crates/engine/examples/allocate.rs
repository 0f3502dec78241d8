//! Makes seeded allocation problems, solves them, and prints problem and answer as JSON for `bench/allocate/`.
//! `allocate small SEED` makes one that a general solver can prove; `allocate large SEED ROUNDS` has 1,000 orders and 20,000 modules,
//! `allocate change SEED ROUNDS` solves that one again after one change.

use domain::allocation::{Choice, Demand, Order, Piece, Problem};
use domain::{Currency, Money};
use engine::allocate::{Answer, Effort, allocate};
use std::fmt::Display;
use std::time::Instant;

/// splitmix64 (Steele, Lea, Flood 2014).
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % n
    }
    fn pick(&mut self, from: &[u32]) -> u32 {
        from[self.below(from.len() as u64) as usize]
    }
}

struct Size {
    orders: i64,
    modules: i64,
    sorts: u64,
    options: u64,
    priorities: u64,
    counts: &'static [u32],
}

const SMALL: Size = Size { orders: 4, modules: 16, sorts: 3, options: 3, priorities: 2, counts: &[1, 2, 3, 4] };
const LARGE: Size =
    Size { orders: 1000, modules: 20_000, sorts: 60, options: 10, priorities: 3, counts: &[4, 6, 8, 12] };

/// Prices are invented. Used modules of a sort vary in price, part and age; popular sorts are asked for more than they are there.
fn make(size: &Size, seed: u64) -> Problem {
    let mut dice = Dice(seed);
    let currency = Currency::parse("EUR").unwrap_or_else(|| unreachable!("three letters"));
    let money = |minor: u64| Money::from_minor(minor as i64, currency);
    let base: Vec<u64> = (0..size.sorts).map(|_| 20 + dice.below(200)).collect();
    let piece = |key: i64, dice: &mut Dice| {
        let sort = dice.below(size.sorts);
        let die = sort * 4 + dice.below(3);
        let cost = (base[sort as usize] * (80 + 5 * dice.below(9))) / 5 * 5;
        let part = (die * 3 + dice.below(3)) as u32;
        Piece {
            key,
            sort: sort as u32,
            part,
            die: die as u32,
            cost: money(cost),
            received: dice.below(700) as i64,
            count: 1,
        }
    };
    let stock = (0..size.modules).map(|key| piece(key, &mut dice)).collect();
    let orders = (0..size.orders).map(|key| order(size, key, &mut dice, &money)).collect();
    Problem { currency, orders, stock, offers: Vec::new() }
}

fn order(size: &Size, key: i64, dice: &mut Dice, money: &impl Fn(u64) -> Money) -> Order {
    let machines = 1 + dice.below(if size.orders > 100 { 4 } else { 2 }) as u32;
    let sockets = if dice.below(4) == 0 { 1 } else { 2 };
    let options = (0..size.options.min(3) + dice.below(size.options.saturating_sub(2).max(1)))
        .map(|_| {
            let sort = dice.below(size.sorts) as u32;
            let count = dice.pick(size.counts);
            let second = (dice.below(4) == 0).then(|| (dice.below(size.sorts) as u32, dice.pick(size.counts)));
            let mut demands = Vec::new();
            for group in 0..sockets {
                demands.push(Demand { group, sort, count });
                if let Some((other, count)) = second.filter(|(s, _)| *s != sort) {
                    demands.push(Demand { group, sort: other, count });
                }
            }
            Choice { other_cost: money(dice.below(40) * 500), demands }
        })
        .collect();
    Order { key, priority: dice.below(size.priorities) as u8, machines, options }
}

fn list<T>(items: impl IntoIterator<Item = T>, text: impl Fn(T) -> String) -> String {
    let all: Vec<String> = items.into_iter().map(text).collect();
    format!("[{}]", all.join(","))
}

fn row(items: &[&dyn Display]) -> String {
    list(items, |i| i.to_string())
}

/// The problem: orders as [priority, machines, [[other, [[group, sort, count]]]]], pieces as [sort, part, die, cost, received].
fn print_problem(problem: &Problem) -> String {
    let choice = |c: &Choice| {
        let demands = list(&c.demands, |d| row(&[&d.group, &d.sort, &d.count]));
        row(&[&c.other_cost.minor(), &demands])
    };
    let orders = list(&problem.orders, |o| row(&[&o.priority, &o.machines, &list(&o.options, choice)]));
    let stock = list(&problem.stock, |p| row(&[&p.sort, &p.part, &p.die, &p.cost.minor(), &p.received]));
    format!("{{\"orders\":{orders},\"stock\":{stock}}}")
}

fn print_answer(answer: &Answer, seconds: f64) -> String {
    let levels = &answer.levels;
    let served = list(&levels.served, |t| t.served.to_string());
    let most = list(&answer.bounds.served, |t| t.served.to_string());
    let pick = list(&answer.served, |s| row(&[&s.order, &s.choice]));
    format!(
        "{{\"served\":{served},\"cost\":{},\"broken\":{},\"days\":{},\"served_bound\":{most},\"cost_bound\":{},\"proof\":\"{:?}\",\"seconds\":{seconds:.2},\"pick\":{pick}}}",
        levels.cost.minor(),
        levels.broken,
        levels.days,
        answer.bounds.cost.minor(),
        answer.proof,
    )
}

/// Solves again after each of three changes, and prints what moved.
fn changes(problem: &Problem, effort: Effort) -> Result<(), Box<dyn std::error::Error>> {
    let earlier = allocate(problem, None, effort)?.as_earlier();
    let mut added = problem.clone();
    let order = added.orders[added.orders.len() / 2].clone();
    added.orders.push(Order { key: i64::MAX, priority: 0, ..order });
    let mut cancelled = problem.clone();
    cancelled.orders.retain(|o| o.key != earlier.orders[0].key);
    let mut gone = problem.clone();
    gone.stock.retain(|p| p.key != earlier.orders[0].held[0].piece);
    for (name, next) in [("one order more", added), ("one order cancelled", cancelled), ("one module gone", gone)] {
        let start = Instant::now();
        let answer = allocate(&next, Some(&earlier), effort)?;
        let seconds = start.elapsed().as_secs_f64();
        let (orders, modules) = answer.moves.as_ref().map_or((0, 0), |m| (m.orders.len(), m.modules));
        let served = list(&answer.levels.served, |t| t.served.to_string());
        let cost = answer.levels.cost.minor();
        println!("{name}: {orders} orders and {modules} modules moved, served {served}, cost {cost}, {seconds:.1} s");
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let number = |i: usize| words.get(i).and_then(|w| w.parse().ok());
    let size = match words.first().map(String::as_str) {
        Some("small") => &SMALL,
        Some("large" | "change") => &LARGE,
        _ => return Err("say `small SEED`, `large SEED ROUNDS` or `change SEED ROUNDS`".into()),
    };
    let problem = make(size, number(1).unwrap_or(1));
    let mut effort = Effort::default();
    if let Some(rounds) = number(2) {
        effort.rounds_per_order = u32::try_from(rounds)?;
    }
    if words[0] == "change" {
        return changes(&problem, effort);
    }
    let start = Instant::now();
    let answer = allocate(&problem, None, effort)?;
    let seconds = start.elapsed().as_secs_f64();
    println!("{{\"problem\":{},\"answer\":{}}}", print_problem(&problem), print_answer(&answer, seconds));
    Ok(())
}
