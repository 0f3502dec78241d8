//! Orders from the asking to the shipping, or cancelled.

use crate::{chosen, claims, each, euro, new_item, who};
use domain::Day;
use domain::item::Subject;
use domain::item::{ItemId, ItemState};
use domain::order::{Priced, Promise, Stage};
use store::{OrderFilter, Revision, StoreError, Swap};

fn three(store: &store::Store) -> Vec<ItemId> {
    let items = ["A1B2C301", "A1B2C302", "A1B2C303"].map(|s| new_item(Some(s), 1));
    store.take_in(&items, &who()).unwrap().iter().map(|t| t.id).collect()
}

#[test]
fn an_order_goes_its_way_and_its_modules_leave_the_stock() {
    each(|store| {
        let items = three(store);
        let order = chosen(store, 1);
        assert_eq!((order.number.as_str(), order.stage), ("O-00001", Stage::Chosen));
        let go = |to| store.advance(order.id, None, to, "", &who());
        store.reserve(order.id, None, &claims(&items[..2]), &who()).unwrap();
        assert!(matches!(go(Stage::Picked), Err(StoreError::NotNow { .. })), "nothing was picked yet");
        let first = store.pick(order.id, None, &items[..1], &who()).unwrap();
        assert_eq!((first.left, first.order.stage), (1, Stage::Reserved));
        assert!(store.pick(order.id, None, &items[2..], &who()).is_err(), "not of this order");
        let stale = store.pick(order.id, Some(first.order.version - 1), &items[1..2], &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        let last = store.pick(order.id, Some(first.order.version), &items[1..2], &who()).unwrap();
        assert_eq!((last.left, last.order.stage), (0, Stage::Picked));
        for stage in [Stage::Built, Stage::Verified, Stage::Shipped] {
            assert_eq!(go(stage).unwrap().stage, stage);
        }
        assert_eq!(store.item(items[0]).unwrap().state, ItemState::Shipped);
        assert_eq!(store.item(items[0]).unwrap().quantity, 0);
        assert_eq!(store.item(items[2]).unwrap().free(), 1);
        assert!(matches!(go(Stage::Cancelled), Err(StoreError::Stage { .. })));
        let steps: Vec<Stage> = store.steps(order.id).unwrap().iter().map(|s| s.stage).collect();
        assert_eq!(steps.len(), 7, "{steps:?}");
        // A module that left may come back, and is the same item.
        let back = store.take_in(&[new_item(Some("A1B2C301"), 1)], &who()).unwrap();
        assert!(back[0].again && back[0].id == items[0]);
        assert_eq!(store.item(items[0]).unwrap().free(), 1);
    });
}

#[test]
fn a_module_is_promised_once_and_a_refusal_promises_nothing() {
    each(|store| {
        let items = three(store);
        let (first, second) = (chosen(store, 1), chosen(store, 1));
        store.reserve(first.id, None, &claims(&items[..2]), &who()).unwrap();
        let Err(StoreError::Taken(taken)) = store.reserve(second.id, None, &claims(&items), &who()) else {
            panic!("promised twice")
        };
        assert_eq!(taken.iter().map(|t| t.item).collect::<Vec<_>>(), &items[..2]);
        assert_eq!(store.item(items[2]).unwrap().free(), 1);
        assert_eq!(store.order(second.id).unwrap().stage, Stage::Chosen);
        store.advance(first.id, None, Stage::Cancelled, "customer called", &who()).unwrap();
        store.reserve(second.id, None, &claims(&items), &who()).unwrap();
        assert!(store.reservations(first.id).unwrap().iter().all(|r| r.promise == Promise::Released));
    });
}

#[test]
fn choosing_again_lets_go_of_what_was_promised() {
    each(|store| {
        let items = three(store);
        let order = chosen(store, 1);
        let held = store.reserve(order.id, None, &claims(&items), &who()).unwrap();
        let stale = store.choose_build(order.id, Some(order.version), "{}", crate::priced(1), &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        store.choose_build(order.id, Some(held.version), "{\"other\":1}", crate::priced(1), &who()).unwrap();
        assert_eq!(store.item(items[0]).unwrap().free(), 1);
    });
}

#[test]
fn a_slot_takes_one_module_and_a_machine_must_be_of_the_order() {
    each(|store| {
        let items = three(store);
        let order = chosen(store, 1);
        let mut twice = claims(&items);
        twice[1].slot = twice[0].slot.clone();
        assert!(matches!(store.reserve(order.id, None, &twice, &who()), Err(StoreError::Refused(_))));
        let mut beyond = claims(&items);
        beyond[1].machine = 2;
        assert!(matches!(store.reserve(order.id, None, &beyond, &who()), Err(StoreError::Refused(_))));
        assert_eq!(store.item(items[0]).unwrap().free(), 1);
    });
}

#[test]
fn a_swap_at_the_bench_keeps_both_histories() {
    each(|store| {
        let items = three(store);
        let lot = store.take_in(&[new_item(None, 5)], &who()).unwrap()[0].id;
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[items[0], lot]), &who()).unwrap();
        store.pick(order.id, None, &[items[0], lot], &who()).unwrap();
        store.advance(order.id, None, Stage::Built, "", &who()).unwrap();
        let swap = |slot: &str, item| Swap {
            machine: 1,
            slot: slot.to_string(),
            item,
            faulty: true,
            why: "errors in every exercise".to_string(),
        };
        let (_, now) = store.swap(order.id, None, &swap("S0", items[1]), &who()).unwrap();
        let stale = store.swap(order.id, Some(now.version - 1), &swap("S1", items[2]), &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        store.swap(order.id, Some(now.version), &swap("S1", items[2]), &who()).unwrap();
        assert_eq!(store.item(items[0]).unwrap().state, ItemState::HeldBack);
        let lot = store.item(lot).unwrap();
        assert_eq!((lot.quantity, lot.reserved), (4, 0), "the faulty one became an item of its own");
        let now: Vec<_> = store.reservations(order.id).unwrap();
        let bound: Vec<_> = now.iter().filter(|r| r.promise.binds()).map(|r| (r.slot.as_str(), r.item.id)).collect();
        assert_eq!(bound, [("S0", items[1]), ("S1", items[2])]);
        assert!(now.iter().filter(|r| r.promise.binds()).all(|r| r.promise == Promise::BuiltIn));
        assert!(store.swap(order.id, None, &swap("S7", items[1]), &who()).is_err());
    });
}

#[test]
fn orders_are_listed_by_priority_and_found_by_number() {
    each(|store| {
        let (first, second) = (chosen(store, 1), chosen(store, 2));
        let first_of_all = Revision { priority: Some(0), ..Revision::default() };
        store.revise_order(second.id, None, &first_of_all, &who()).unwrap();
        let filter = OrderFilter { words: "curlew".to_string(), stage: None, open: true, skip: 0, most: 10 };
        let page = store.orders(&filter).unwrap();
        assert_eq!(page.list.iter().map(|o| o.id).collect::<Vec<_>>(), [second.id, first.id]);
        assert_eq!(store.order_by_number("2").unwrap().id, second.id);
        assert_eq!(store.order_by_number("o-00002").unwrap().id, second.id);
        assert!(matches!(store.order_by_number("O-9"), Err(StoreError::Absent { .. })));
    });
}

#[test]
fn priority_and_due_day_change_until_the_order_is_closed_and_stand_in_its_history() {
    each(|store| {
        let order = chosen(store, 1);
        let to = |priority, due, words: &str| Revision { priority, due, words: words.to_string() };
        let day = Day::from_days(20_800);
        let urgent = to(Some(1), Some(Some(day)), "priority 3 to 1");
        let now = store.revise_order(order.id, Some(order.version), &urgent, &who()).unwrap();
        assert_eq!((now.priority, now.due, now.version), (1, Some(day), order.version + 1));
        let last = store.history(Subject::Order(order.id.0)).unwrap().pop().unwrap();
        assert_eq!((last.act.as_str(), last.detail.as_str()), ("changed", "priority 3 to 1"));
        let stale = store.revise_order(order.id, Some(order.version), &to(Some(2), None, ""), &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        let far = store.revise_order(order.id, Some(i64::MAX), &to(Some(2), None, ""), &who());
        assert!(matches!(far, Err(StoreError::Changed { .. })), "{far:?}");
        for wrong in [to(Some(12), None, ""), to(Some(1), Some(Some(day)), ""), to(None, None, "")] {
            let refused = store.revise_order(order.id, None, &wrong, &who());
            assert!(matches!(refused, Err(StoreError::Refused(_))), "{refused:?}");
        }
        assert_eq!(store.revise_order(order.id, None, &to(None, Some(None), "no day"), &who()).unwrap().due, None);
        store.advance(order.id, None, Stage::Cancelled, "", &who()).unwrap();
        let closed = store.revise_order(order.id, None, &to(Some(0), None, ""), &who());
        assert!(matches!(closed, Err(StoreError::NotNow { .. })), "{closed:?}");
    });
}

#[test]
fn a_second_scan_and_an_exchange_say_how_things_stand() {
    each(|store| {
        let items = three(store);
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&items[..2]), &who()).unwrap();
        store.pick(order.id, None, &items[..1], &who()).unwrap();
        let twice = store.pick(order.id, None, &items[..1], &who()).unwrap_err();
        assert_eq!(twice.to_string(), format!("item {} (A1B2C301) is picked already for O-00001", items[0]));
        assert!(!twice.hint().contains("put it back"), "{}", twice.hint());
        let other = store.pick(order.id, None, &items[2..], &who()).unwrap_err();
        assert!(
            other.to_string().contains("is not one that O-00001 waits for") && other.hint().contains("put it back")
        );
        let swap = |item| Swap { machine: 1, slot: "S0".into(), item, faulty: false, why: "a scratch".into() };
        let own = store.swap(order.id, None, &swap(items[1]), &who()).unwrap_err();
        assert!(own.to_string().contains("it is promised to O-00001, machine 1, slot S1"), "{own}");
        store.pick(order.id, None, &items[1..2], &who()).unwrap();
        let last = store.pick(order.id, None, &items[1..2], &who()).unwrap_err();
        assert!(last.to_string().contains("is picked already for O-00001"), "{last}");
        for stage in [Stage::Built, Stage::Verified] {
            store.advance(order.id, None, stage, "", &who()).unwrap();
        }
        // What was verified was another machine.
        let (_, now) = store.swap(order.id, None, &swap(items[2]), &who()).unwrap();
        assert_eq!(now.stage, Stage::Built);
        assert!(matches!(store.advance(order.id, None, Stage::Shipped, "", &who()), Err(StoreError::Stage { .. })));
    });
}

#[test]
fn a_customer_is_found_whatever_the_size_of_letters() {
    each(|store| {
        let new = domain::order::NewOrder {
            customer: "Müller & Öhmann".to_string(),
            priority: 3,
            machines: 1,
            due: None,
            need: String::new(),
            quote: None,
        };
        store.new_order(&new, &who()).unwrap();
        for words in ["müller", "MÜLLER", "Öhm", "öhm", "o-1"] {
            let filter = OrderFilter { words: words.to_string(), stage: None, open: true, skip: 0, most: 9 };
            assert_eq!(store.orders(&filter).unwrap().found, u64::from(words != "o-1"), "{words}");
        }
    });
}

#[test]
fn an_order_keeps_its_price_and_what_its_modules_cost() {
    each(|store| {
        let order = chosen(store, 1);
        assert_eq!((order.price, order.cost), (Some(euro(90_000)), None));
        let sold = Priced { price: euro(120_000), cost: Some(euro(90_000)) };
        let order = store.choose_build(order.id, None, "{}", sold, &who()).unwrap();
        assert_eq!((order.price, order.cost, order.quoted), (Some(euro(120_000)), Some(euro(90_000)), false));
        let dollar = domain::Money::from_minor(1, domain::Currency::parse("USD").unwrap());
        let mixed = Priced { cost: Some(dollar), ..sold };
        let mixed = store.choose_build(order.id, None, "{}", mixed, &who());
        assert!(matches!(mixed, Err(StoreError::Refused(_))), "{mixed:?}");
        assert_eq!(store.order(order.id).unwrap().version, order.version);
    });
}

#[test]
fn the_head_of_the_newest_proposal_is_that_of_its_document() {
    each(|store| {
        assert_eq!(store.newest_allocation_head().unwrap(), None);
        let order = chosen(store, 1);
        let first = store.propose("{\"a\":1}", &[order.id], &who()).unwrap();
        let second = store.propose("{\"b\":2}", &[order.id], &who()).unwrap();
        let head = store.newest_allocation_head().unwrap().unwrap();
        let whole = store.newest_allocation().unwrap().unwrap();
        assert_eq!((head.number, &head.state), (whole.number, &whole.state));
        assert_eq!((head.number, head.made, head.state.as_str()), (second, who().at.seconds(), "proposed"));
        assert_eq!(store.allocation(head.number).unwrap().answer, "{\"b\":2}");
        assert_eq!(store.allocation(first).unwrap().state, "withdrawn");
        assert_eq!(store.waiting_of(second).unwrap(), [(order.id, order.version)]);
    });
}
