//! Allocation against brute force, its answers checked apart, runs after one change, reasons, and input that makes no sense.

use domain::allocation::{Choice, Demand, Earlier, Offer, Order, Piece, Problem};
use domain::{Currency, Money};
use engine::allocate::{AllocateError, Answer, Change, Effort, Proof, Reason, allocate};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

pub fn eur() -> Currency {
    Currency::parse("EUR").unwrap()
}

pub fn money(minor: i64) -> Money {
    Money::from_minor(minor, eur())
}

pub fn piece(key: i64, sort: u32, part: u32, cost: i64, received: i64) -> Piece {
    Piece { key, sort, part, die: part / 2, cost: money(cost), received, count: 1 }
}

/// An order of one machine and one processor: options as other cost and (sort, count).
pub fn order(key: i64, priority: u8, options: &[(i64, &[(u32, u32)])]) -> Order {
    let demand = |&(sort, count): &(u32, u32)| Demand { group: 0, sort, count };
    let options = options
        .iter()
        .map(|(other, needs)| Choice { other_cost: money(*other), demands: needs.iter().map(demand).collect() })
        .collect();
    Order { key, priority, machines: 1, options }
}

pub fn problem(orders: Vec<Order>, stock: Vec<Piece>, offers: Vec<Offer>) -> Problem {
    Problem { currency: eur(), orders, stock, offers }
}

fn run(problem: &Problem, earlier: Option<&Earlier>) -> Answer {
    let answer = allocate(problem, earlier, Effort::default()).unwrap();
    hold(problem, &answer);
    answer
}

/// Holds an answer against its problem without the engine's own sums.
pub fn hold(problem: &Problem, answer: &Answer) {
    let stock: BTreeMap<i64, &Piece> = problem.stock.iter().map(|p| (p.key, p)).collect();
    let mut left: BTreeMap<i64, u32> = problem.stock.iter().map(|p| (p.key, p.count)).collect();
    let (mut cost, mut broken, mut days) = (0, 0, 0);
    for served in &answer.served {
        let order = problem.orders.iter().find(|o| o.key == served.order).unwrap();
        let choice = &order.options[served.choice];
        let mut wants: BTreeMap<(u32, u16, u32), u32> = BTreeMap::new();
        for d in choice.demands.iter().filter(|d| d.count > 0) {
            (0..order.machines).for_each(|m| *wants.entry((m, d.group, d.sort)).or_default() += d.count);
        }
        let mut sets: BTreeMap<(u32, u16, u32), Vec<&Piece>> = BTreeMap::new();
        let mut own = choice.other_cost.minor();
        for held in &served.pieces {
            let piece = stock[&held.piece];
            assert_eq!(piece.sort, held.sort);
            let left = left.get_mut(&held.piece).unwrap();
            *left = left.checked_sub(held.count).expect("no piece goes out twice");
            own += piece.cost.minor() * i64::from(held.count);
            days += piece.received * i64::from(held.count);
            let set = sets.entry((held.machine, held.group, held.sort)).or_default();
            set.extend((0..held.count).map(|_| piece));
        }
        let counts: BTreeMap<(u32, u16, u32), u32> = sets.iter().map(|(k, s)| (*k, s.len() as u32)).collect();
        assert_eq!(counts, wants, "order {} has what its option asks", served.order);
        let mine: u64 = sets.values().map(|s| breaks(s)).sum();
        assert_eq!((served.cost.minor(), u64::from(served.broken)), (own, mine));
        cost += own;
        broken += mine;
    }
    assert_eq!((answer.levels.cost.minor(), answer.levels.broken, answer.levels.days), (cost, broken, days));
    assert_eq!(answer.served.len() + answer.unserved.len(), problem.orders.len());
    assert!(answer.bounds.cost <= answer.levels.cost);
    for (bound, reached) in answer.bounds.served.iter().zip(&answer.levels.served) {
        let keys: BTreeSet<i64> = answer.served.iter().map(|s| s.order).collect();
        let mine = problem.orders.iter().filter(|o| o.priority == reached.priority && keys.contains(&o.key)).count();
        assert_eq!(reached.served as usize, mine);
        assert!(bound.served >= reached.served && bound.served <= reached.asked);
    }
}

fn breaks(set: &[&Piece]) -> u64 {
    let parts: BTreeSet<u32> = set.iter().map(|p| p.part).collect();
    let dies: BTreeSet<u32> = set.iter().map(|p| p.die).collect();
    if parts.len() < 2 { 0 } else { dies.len().min(2) as u64 }
}

/// Cost, broken sets and days of the best way to fill sets from pieces, by trying every one.
fn fill(pieces: &[&Piece], sets: &[u32], used: &mut Vec<bool>, set: Vec<usize>, at: usize) -> Option<(i64, u64, i64)> {
    let Some(want) = sets.get(at) else { return Some((0, 0, 0)) };
    if set.len() == *want as usize {
        let mine: Vec<&Piece> = set.iter().map(|&i| pieces[i]).collect();
        let own = (
            mine.iter().map(|p| p.cost.minor()).sum::<i64>(),
            breaks(&mine),
            mine.iter().map(|p| p.received).sum::<i64>(),
        );
        let rest = fill(pieces, sets, used, Vec::new(), at + 1)?;
        return Some((own.0 + rest.0, own.1 + rest.1, own.2 + rest.2));
    }
    let mut best = None;
    for i in set.last().map_or(0, |l| l + 1)..pieces.len() {
        if used[i] {
            continue;
        }
        used[i] = true;
        let mut next = set.clone();
        next.push(i);
        if let Some(found) = fill(pieces, sets, used, next, at)
            && best.is_none_or(|b| found < b)
        {
            best = Some(found);
        }
        used[i] = false;
    }
    best
}

type Value = (Vec<i64>, i64, u64, i64);

/// The best levels there are (served counts negative, so that less is better), by trying every choice.
fn brute(problem: &Problem) -> Value {
    let classes: BTreeSet<u8> = problem.orders.iter().map(|o| o.priority).collect();
    let classes: Vec<u8> = classes.into_iter().collect();
    let mut memo = BTreeMap::new();
    let mut best: Option<Value> = None;
    let mut pick: Vec<usize> = vec![0; problem.orders.len()];
    loop {
        if let Some(value) = value(problem, &classes, &pick, &mut memo)
            && best.as_ref().is_none_or(|b| value < *b)
        {
            best = Some(value);
        }
        let Some(i) = (0..pick.len()).find(|&i| pick[i] < problem.orders[i].options.len()) else { break };
        pick[i] += 1;
        pick[..i].fill(0);
    }
    best.unwrap()
}

type Memo = BTreeMap<(u32, Vec<u32>), Option<(i64, u64, i64)>>;

fn value(problem: &Problem, classes: &[u8], pick: &[usize], memo: &mut Memo) -> Option<Value> {
    let mut out: Value = (vec![0; classes.len()], 0, 0, 0);
    let mut sets: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for (order, pick) in problem.orders.iter().zip(pick).filter(|(_, p)| **p > 0) {
        let choice = &order.options[pick - 1];
        out.0[classes.binary_search(&order.priority).unwrap()] -= 1;
        out.1 += choice.other_cost.minor();
        for d in &choice.demands {
            (0..order.machines).for_each(|_| sets.entry(d.sort).or_default().push(d.count));
        }
    }
    for (sort, mut wants) in sets {
        wants.sort_unstable();
        let pieces: Vec<&Piece> = problem.stock.iter().filter(|p| p.sort == sort).collect();
        let best = memo
            .entry((sort, wants.clone()))
            .or_insert_with(|| fill(&pieces, &wants, &mut vec![false; pieces.len()], Vec::new(), 0));
        let (cost, broken, days) = (*best)?;
        out = (out.0, out.1 + cost, out.2 + broken, out.3 + days);
    }
    Some(out)
}

pub fn tiny() -> impl Strategy<Value = Problem> {
    let demand = (0_u16..2, 0_u32..2, 1_u32..4).prop_map(|(group, sort, count)| Demand { group, sort, count });
    let choice = (0_i64..3, prop::collection::vec(demand, 0..3)).prop_map(|(other, mut demands)| {
        demands.dedup_by_key(|d| (d.group, d.sort));
        demands.sort_by_key(|d| (d.group, d.sort));
        demands.dedup_by_key(|d| (d.group, d.sort));
        Choice { other_cost: money(other * 5), demands }
    });
    let order = (0_u8..2, 1_u32..3, prop::collection::vec(choice, 0..4));
    let module = (0_u32..2, 0_u32..4, 1_i64..4, 0_i64..5);
    let orders = prop::collection::vec(order, 0..5);
    (orders, prop::collection::vec(module, 0..14)).prop_map(|(orders, pieces)| {
        let order = |(i, (priority, machines, options))| Order { key: i as i64, priority, machines, options };
        let orders = orders.into_iter().enumerate().map(order).collect();
        let stock = pieces.into_iter().enumerate().map(|(i, (s, part, c, day))| piece(i as i64, s, part, c * 10, day));
        problem(orders, stock.collect(), vec![])
    })
}

fn piece_of(p: &Problem, key: i64) -> &Piece {
    p.stock.iter().find(|x| x.key == key).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn all_four_levels_are_those_of_brute_force(problem in tiny()) {
        let answer = run(&problem, None);
        prop_assert_eq!(answer.proof, Proof::Complete);
        let served: Vec<i64> = answer.levels.served.iter().map(|t| -i64::from(t.served)).collect();
        let found = (served, answer.levels.cost.minor(), answer.levels.broken, answer.levels.days);
        prop_assert_eq!(found, brute(&problem));
    }

    #[test]
    fn a_second_run_of_the_same_problem_moves_nothing(problem in tiny()) {
        let first = run(&problem, None);
        prop_assert_eq!(&first, &run(&problem, None));
        let again = run(&problem, Some(&first.as_earlier()));
        prop_assert_eq!(&again.served, &first.served);
        let moves = again.moves.unwrap();
        prop_assert!(moves.orders.is_empty() && moves.modules == 0);
        prop_assert_eq!(&moves.free, &first.levels);
        prop_assert_eq!(&moves.held, &first.levels);
    }

    #[test]
    fn after_one_change_levels_one_and_two_are_best_and_nothing_moves_that_need_not(
        problem in tiny(), which in 0_usize..3, at in 0_usize..20,
    ) {
        let first = run(&problem, None);
        let mut next = problem.clone();
        match which {
            0 if !next.orders.is_empty() => { let i = at % next.orders.len(); next.orders.remove(i); }
            1 if !next.stock.is_empty() => { let i = at % next.stock.len(); next.stock.remove(i); }
            _ => next.orders.push(order(99, 0, &[(0, &[(0, 1)])])),
        }
        let again = run(&next, Some(&first.as_earlier()));
        let best = brute(&next);
        let served: Vec<i64> = again.levels.served.iter().map(|t| -i64::from(t.served)).collect();
        prop_assert_eq!((served, again.levels.cost.minor()), (best.0, best.1));
        let moves = again.moves.clone().unwrap();
        // Where all could stay for the same orders and cost, only an order whose piece is gone moves, or fewer modules than it has.
        let here = |key: i64| next.stock.iter().any(|p| p.key == key);
        let hurt = first.served.iter().filter(|s| s.pieces.iter().any(|h| !here(h.piece)));
        let most: u64 = hurt.flat_map(|s| &s.pieces).map(|h| u64::from(h.count)).sum();
        if again.compare(&moves.held).is_eq() {
            prop_assert!(moves.modules <= most, "{} of {}", moves.modules, most);
        }
        for moved in moves.orders.iter().flat_map(|m| &m.gets) {
            prop_assert_eq!(piece_of(&next, moved.piece).sort, moved.sort);
        }
    }
}

#[test]
fn what_is_short_is_what_binds() {
    let stock = (0..4).map(|i| piece(i, 7, 0, 100, i)).chain((4..6).map(|i| piece(i, 8, 0, 100, i))).collect();
    let orders = vec![order(1, 0, &[(0, &[(7, 3)])]), order(2, 1, &[(0, &[(7, 2), (8, 2)])]), order(3, 1, &[])];
    let mut given = problem(orders, stock, vec![Offer { sort: 7, each: money(150), limit: Some(5) }]);
    let answer = run(&given, None);
    let out = &answer.unserved[0];
    assert_eq!((out.order, out.nearest, out.short.len()), (2, Some(0), 1));
    let short = &out.short[0];
    assert_eq!((short.sort, short.needed, short.free, short.missing()), (7, 2, 1, 1));
    assert_eq!(short.taken, [(1, 3)]);
    let buy = out.buy.as_ref().unwrap();
    assert_eq!((buy.items.as_slice(), buy.price), ([(0, 1)].as_slice(), money(150)));
    assert_eq!(buy.from_stock, [(7, 1), (8, 2)]);
    assert!(answer.purchase.proved && answer.purchase.price == money(150));
    assert_eq!((answer.unserved[1].nearest, &answer.unserved[1].buy), (None, &None));
    given.stock.push(piece(9, 7, 0, 100, 9));
    assert_eq!(run(&given, None).served.len(), 2, "with what was short the order is served");
}

#[test]
fn a_cheaper_option_is_passed_for_a_reason() {
    let stock = (0..4).map(|i| piece(i, 1, 0, 100, i)).chain((4..8).map(|i| piece(i, 2, 0, 300, i))).collect();
    let orders = vec![order(1, 0, &[(0, &[(1, 4)])]), order(2, 0, &[(0, &[(1, 4)]), (0, &[(2, 4)])])];
    let answer = run(&problem(orders, stock, vec![]), None);
    let why = &answer.served[1].why;
    assert_eq!((answer.served[1].choice, why.len(), why[0].choice), (1, 1, 0));
    let Reason::Missing(short) = &why[0].reason else { panic!("the first order has them") };
    assert_eq!((short[0].sort, short[0].missing(), short[0].taken.as_slice()), (1, 4, [(1, 4)].as_slice()));

    let stock = vec![piece(0, 1, 0, 100, 0), piece(1, 1, 0, 500, 0), piece(2, 2, 0, 200, 0)];
    let orders = vec![order(1, 0, &[(0, &[(1, 1)])]), order(2, 0, &[(0, &[(1, 1)]), (0, &[(2, 1)])])];
    let answer = run(&problem(orders, stock, vec![]), None);
    assert_eq!(answer.served[1].why[0].reason, Reason::Dearer(money(300)));
}

#[test]
fn buying_chooses_the_option_that_costs_least_to_buy() {
    let orders = vec![order(1, 0, &[(0, &[(1, 4)]), (100, &[(2, 2)])]), order(2, 0, &[(0, &[(3, 1)])])];
    let offers = vec![
        Offer { sort: 1, each: money(100), limit: None },
        Offer { sort: 2, each: money(90), limit: Some(1) },
        Offer { sort: 2, each: money(120), limit: None },
    ];
    let answer = run(&problem(orders, vec![piece(5, 2, 0, 400, 0)], offers), None);
    let buy = answer.unserved[0].buy.as_ref().unwrap();
    assert_eq!((buy.choice, buy.items.as_slice(), buy.price.minor()), (1, [(1, 1)].as_slice(), 90));
    assert_eq!(answer.purchase.outlay, money(190));
    assert_eq!(answer.unserved[1].buy, None, "nobody offers that sort");
}

#[test]
fn an_order_gives_up_modules_only_where_orders_or_cost_gain() {
    let stock = (0..4).map(|i| piece(i, 1, i as u32, 100, 10 - i)).collect();
    let orders = vec![order(1, 0, &[(0, &[(1, 2)])]), order(2, 0, &[(0, &[(1, 2)])])];
    let mut given = problem(orders, stock, vec![]);
    let first = run(&given, None);
    let gone = given.orders.remove(0);
    let again = run(&given, Some(&first.as_earlier()));
    assert_eq!(again.served, first.served[1..], "the others keep theirs, though older modules came free");
    let moves = again.moves.unwrap();
    assert_eq!((moves.orders.len(), moves.orders[0].order, moves.orders[0].what), (1, gone.key, Change::Gone));
    assert!(moves.free.days <= again.levels.days);
    // A cheaper module is worth one move, and no more.
    given.stock.push(piece(9, 1, 0, 50, 20));
    let third = run(&given, Some(&first.as_earlier()));
    let moves = third.moves.unwrap();
    assert_eq!((moves.modules, moves.held.cost.minor() - third.levels.cost.minor()), (1, 50));
}

#[test]
fn many_orders_are_annealed_to_the_same_sound_answer_each_time() {
    // The second half could take what the first half can have from sort 1 alone.
    let stock = (0..180).map(|i| piece(i, 1 + (i % 3) as u32, (i % 4) as u32, 100 + i * 7 % 40, i)).collect();
    let orders = (0..60)
        .map(|i| {
            let n = 1 + (i % 4) as u32;
            let both: [(i64, &[(u32, u32)]); 3] = [(0, &[(1, n)]), (500, &[(2, n), (3, 1)]), (900, &[(3, n + 1)])];
            order(i, (i % 2) as u8, if i < 30 { &both[..1] } else { &both })
        })
        .collect();
    let given = problem(orders, stock, vec![]);
    let effort = Effort { rounds_per_order: 2, ..Effort::default() };
    let answer = allocate(&given, None, effort).unwrap();
    hold(&given, &answer);
    assert_eq!(answer, allocate(&given, None, effort).unwrap());
    // The first half asks 73 of the 60 modules of sort 1, at most 4 an order: 4 orders go without, and the rest can be served.
    let served: Vec<u32> = answer.levels.served.iter().map(|t| t.served).collect();
    assert_eq!(served, [30, 26]);
}

#[test]
fn input_that_makes_no_sense_is_told() {
    let good = problem(vec![order(1, 0, &[(0, &[(1, 1)])])], vec![piece(1, 1, 0, 5, 0)], vec![]);
    let told = |change: &dyn Fn(&mut Problem)| {
        let mut bad = good.clone();
        change(&mut bad);
        let error = allocate(&bad, None, Effort::default()).unwrap_err();
        assert!(!error.hint().is_empty());
        error
    };
    let usd = Money::from_minor(1, Currency::parse("USD").unwrap());
    assert!(matches!(told(&|p| p.stock[0].cost = usd), AllocateError::Currency { .. }));
    assert!(matches!(told(&|p| p.orders[0].options[0].other_cost = usd), AllocateError::Currency { .. }));
    assert!(matches!(told(&|p| p.stock[0].cost = money(-1)), AllocateError::Negative { .. }));
    assert!(matches!(told(&|p| p.orders[0].machines = 0), AllocateError::NoMachines { order: 1 }));
    assert!(matches!(told(&|p| p.stock.push(p.stock[0].clone())), AllocateError::Twice { .. }));
    assert!(matches!(told(&|p| p.orders.push(p.orders[0].clone())), AllocateError::Twice { .. }));
    assert!(matches!(told(&|p| p.stock[0].received = i64::MIN), AllocateError::Day { .. }));
    assert!(matches!(told(&|p| p.stock[0].cost = money(i64::MAX)), AllocateError::TooMuch { .. }));
    let lots = |p: &mut Problem| {
        p.stock[0].count = u32::MAX;
        p.orders[0].machines = u32::MAX;
    };
    assert!(matches!(told(&lots), AllocateError::TooMuch { .. }));
    let two = |p: &mut Problem| p.stock.push(Piece { key: 2, die: 9, ..p.stock[0].clone() });
    assert!(matches!(told(&two), AllocateError::Dies { .. }));
}

#[test]
fn nothing_and_too_much_to_ask_are_answered() {
    let nothing = run(&problem(vec![], vec![], vec![]), None);
    assert_eq!((nothing.proof, nothing.levels.cost.minor()), (Proof::Complete, 0));
    let mut absurd = problem(vec![order(1, 9, &[(0, &[(1, u32::MAX)])])], vec![piece(1, 1, 0, 5, 0)], vec![]);
    absurd.orders[0].machines = u32::MAX;
    let answer = run(&absurd, None);
    assert_eq!((answer.unserved[0].short[0].needed, answer.unserved[0].short[0].free), (u32::MAX, 1));
    let free = order(1, 9, &[(0, &[])]);
    let answer = run(&problem(vec![Order { machines: u32::MAX, ..free }], vec![], vec![]), None);
    assert_eq!((answer.served.len(), answer.served[0].pieces.len()), (1, 0));
}
