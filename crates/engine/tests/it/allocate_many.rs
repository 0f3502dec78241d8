//! Allocation of more orders than are searched exactly: bounds that stand, and runs after one change in which little moves.

use super::allocate::{eur, hold, money, order, piece, problem, tiny};
use domain::allocation::{Choice, Demand, Order, Problem};
use engine::allocate::{Change, Effort, Proof, allocate};
use proptest::prelude::*;

/// Few rounds: these tests are about soundness, not about the last order.
const LITTLE: Effort = Effort { exact: 1, rounds_per_order: 2 };

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn bounds_hold_for_what_is_best_where_the_search_was_cut_short(problem in tiny()) {
        let cut = allocate(&problem, None, LITTLE).unwrap();
        hold(&problem, &cut);
        let best = allocate(&problem, None, Effort::default()).unwrap();
        prop_assert_eq!(best.proof, Proof::Complete);
        // Each bound is for what is reached on the levels before it.
        let classes = cut.levels.served.iter().zip(&best.levels.served).zip(&cut.bounds.served);
        let mut alike = true;
        for ((cut, best), bound) in classes {
            prop_assert!(!alike || (best.served <= bound.served && cut.served <= best.served));
            alike &= cut.served == best.served;
        }
        if alike {
            prop_assert!(cut.bounds.cost <= best.levels.cost && best.levels.cost <= cut.levels.cost);
        }
    }
}

#[test]
fn modules_that_make_no_whole_set_do_not_count_in_a_bound() {
    // Ten sorts, each three modules past a multiple of four; every order wants four of one of three sorts. By the piece 56 orders
    // could be served, in whole sets 49, and 50 ask.
    let count = |sort: i64| 4 * (if sort == 0 { 4 } else { 5 }) + 3;
    let stock: Vec<(u32, i64)> = (0..10).flat_map(|s| (0..count(s)).map(move |_| (s as u32, 100 + s))).collect();
    let stock = stock.into_iter().zip(0..).map(|((sort, cost), key)| piece(key, sort, sort, cost, 0)).collect();
    let orders = (0..50)
        .map(|i| {
            order(i, 0, &[(0, &[(i as u32 % 10, 4)]), (0, &[(i as u32 * 3 % 10, 4)]), (0, &[(i as u32 * 7 % 10, 4)])])
        })
        .collect();
    let given = problem(orders, stock, vec![]);
    let answer = allocate(&given, None, LITTLE).unwrap();
    hold(&given, &answer);
    assert_eq!((answer.levels.served[0].served, answer.bounds.served[0].served), (49, 49));
    assert!(matches!(answer.proof, Proof::Served | Proof::Cost), "{:?}", answer.proof);
}

/// Ninety orders of two priorities for twelve sorts, of which there are too few modules for all.
fn shop() -> Problem {
    let mut state = 7_u64;
    let mut below = |n: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 33) % n
    };
    let stock = (0..700)
        .map(|key| {
            let sort = below(12) as u32;
            piece(key, sort, sort * 4 + below(4) as u32, 1000 + 10 * below(40) as i64, below(300) as i64)
        })
        .collect();
    let orders = (0..90)
        .map(|key| {
            let options = (0..3).map(|_| {
                let (sort, count) = (below(12) as u32, [4, 6, 8][below(3) as usize]);
                let demands = (0..2).map(|group| Demand { group, sort, count }).collect();
                Choice { other_cost: money(500 * below(10) as i64), demands }
            });
            Order { key, options: options.collect(), priority: (key % 2) as u8, machines: 1 }
        })
        .collect();
    Problem { currency: eur(), orders, stock, offers: vec![] }
}

#[test]
fn after_one_change_among_many_orders_few_move() {
    let before = shop();
    let first = allocate(&before, None, LITTLE).unwrap();
    hold(&before, &first);
    assert!(!first.unserved.is_empty(), "there is something to gain by moving");
    let earlier = first.as_earlier();
    let mut added = before.clone();
    added.orders.push(Order { key: 500, priority: 0, ..before.orders[45].clone() });
    let mut withdrawn = before.clone();
    withdrawn.orders.retain(|o| o.key != first.served[3].order);
    let mut scrapped = before.clone();
    scrapped.stock.retain(|p| p.key != first.served[3].pieces[0].piece);
    for (what, next) in
        [("nothing", before.clone()), ("added", added), ("withdrawn", withdrawn), ("scrapped", scrapped)]
    {
        let again = allocate(&next, Some(&earlier), LITTLE).unwrap();
        hold(&next, &again);
        let moves = again.moves.as_ref().unwrap();
        let turned = moves.orders.iter().filter(|m| !matches!(m.what, Change::Came | Change::Gone)).count();
        // A gain is worth some moves; a tenth of all orders is more than any of these changes is worth.
        assert!(turned <= 9, "{what}: {turned} orders moved of {}", first.served.len());
        assert!(again.compare(&moves.held).is_ge(), "{what}: moving is never for less than staying reaches");
    }
}
