//! Many workers on one stock: no module is promised twice, no change is lost, and every attempt has a clear answer. `LASTS` says
//! for how long on each database (2).

use crate::{chosen, claims, new_item, rooms, who};
use domain::item::ItemId;
use domain::order::{OrderId, Stage};
use std::collections::BTreeSet;
use std::sync::Barrier;
use std::time::{Duration, Instant};
use store::{ItemChange, Store, StoreError};

const WORKERS: usize = 16;

/// What a worker's attempts came to.
#[derive(Debug, Default)]
struct Tally {
    orders: usize,
    won: usize,
    late: usize,
    cancelled: usize,
    noted: i64,
    outdated: usize,
    held: Vec<(OrderId, Vec<ItemId>)>,
}

/// Eight modules for an order, or one given up again.
fn promise(store: &Store, ids: &[ItemId], at: usize, tally: &mut Tally) {
    if tally.held.len() > at % 2 {
        let (order, _) = tally.held.remove(0);
        store.advance(order, None, Stage::Cancelled, "", &who()).unwrap();
        tally.cancelled += 1;
        return;
    }
    let order = chosen(store, 1);
    tally.orders += 1;
    let from = at * 7 % (ids.len() - 8);
    let wanted = &ids[from..from + 8];
    match store.reserve(order.id, None, &claims(wanted), &who()) {
        Ok(_) => {
            tally.won += 1;
            tally.held.push((order.id, wanted.to_vec()));
        }
        Err(StoreError::Taken(_)) => tally.late += 1,
        Err(other) => panic!("no clear answer: {other}"),
    }
}

/// One more on the note of an item that all workers change.
fn note(store: &Store, shared: ItemId, tally: &mut Tally) {
    let now = store.item(shared).unwrap();
    let count: i64 = now.note.parse().unwrap_or(0);
    let change = ItemChange { note: Some((count + 1).to_string()), ..ItemChange::default() };
    match store.change_item(shared, Some(now.version), &change, &who()) {
        Ok(_) => tally.noted += 1,
        Err(StoreError::Changed { .. }) => tally.outdated += 1,
        Err(other) => panic!("no clear answer: {other}"),
    }
}

#[test]
fn sixteen_workers_never_promise_a_module_twice_and_lose_no_change() {
    let seconds = std::env::var("LASTS").ok().and_then(|r| r.parse().ok()).unwrap_or(2);
    for room in rooms() {
        let stores: Vec<_> = (0..WORKERS).map(|_| room.open()).collect();
        let mut items: Vec<_> = (0..64).map(|n| new_item(Some(&format!("WORK{n:04}")), 1)).collect();
        items.push(new_item(None, 5));
        let mut ids: Vec<ItemId> = stores[0].take_in(&items, &who()).unwrap().iter().map(|t| t.id).collect();
        let shared = ids.pop().unwrap();
        let (ids, start) = (&ids, &Barrier::new(WORKERS));
        let tallies: Vec<Tally> = std::thread::scope(|scope| {
            let worker = |(number, store): (usize, &Store)| {
                let mut tally = Tally::default();
                start.wait();
                let end = Instant::now() + Duration::from_secs(seconds);
                let mut at = number;
                while Instant::now() < end {
                    promise(store, ids, at, &mut tally);
                    note(store, shared, &mut tally);
                    at += 11;
                }
                tally
            };
            let threads: Vec<_> = stores.iter().enumerate().map(|pair| scope.spawn(move || worker(pair))).collect();
            threads.into_iter().map(|t| t.join().unwrap()).collect()
        });
        let sum = |of: fn(&Tally) -> usize| tallies.iter().map(of).sum::<usize>();
        let (orders, won, late) = (sum(|t| t.orders), sum(|t| t.won), sum(|t| t.late));
        println!(
            "{:?}, {seconds} s: {orders} orders, {won} got their modules, {late} were told who was faster, {} gave them back; \
             {} changes of one item, {} told that it had changed",
            room.place,
            sum(|t| t.cancelled),
            tallies.iter().map(|t| t.noted).sum::<i64>(),
            sum(|t| t.outdated)
        );
        assert!(won > 0 && late > 0 && sum(|t| t.outdated) > 0, "nobody met anybody: {tallies:?}");
        let noted: i64 = tallies.iter().map(|t| t.noted).sum();
        assert_eq!(stores[0].item(shared).unwrap().note, noted.to_string(), "no change is lost");
        let held: Vec<ItemId> = tallies.iter().flat_map(|t| t.held.iter().flat_map(|(_, i)| i.clone())).collect();
        assert_eq!(held.iter().collect::<BTreeSet<_>>().len(), held.len(), "no module is held twice");
        for (order, items) in tallies.iter().flat_map(|t| &t.held) {
            let bound = stores[0].reservations(*order).unwrap().iter().filter(|r| r.promise.binds()).count();
            assert_eq!(bound, items.len(), "what was acknowledged is there");
        }
        assert_eq!(stores[0].faults().unwrap(), Vec::<String>::new());
        let filter = store::OrderFilter { words: String::new(), stage: None, open: false, skip: 0, most: 1 };
        assert_eq!(stores[0].orders(&filter).unwrap().found, orders as u64, "no order is lost");
        let last = stores[0].order_by_number(&orders.to_string()).unwrap();
        assert_eq!(last.number, format!("O-{orders:05}"), "no number is lost or given twice");
    }
}
