//! Many workers on one stock: no module is promised twice, and every attempt has a clear answer. `ROUNDS` says how many each (3).

use crate::{chosen, claims, new_item, rooms, who};
use domain::item::ItemId;
use domain::order::Stage;
use std::collections::BTreeSet;
use std::sync::Barrier;
use store::StoreError;

#[test]
fn sixteen_workers_never_promise_a_module_twice() {
    const WORKERS: usize = 16;
    let rounds: usize = std::env::var("ROUNDS").ok().and_then(|r| r.parse().ok()).unwrap_or(3);
    for room in rooms() {
        let stores: Vec<_> = (0..WORKERS).map(|_| room.open()).collect();
        let serials: Vec<String> = (0..40).map(|n| format!("WORK{n:04}")).collect();
        let items: Vec<_> = serials.iter().map(|s| new_item(Some(s), 1)).collect();
        let ids: Vec<ItemId> = stores[0].take_in(&items, &who()).unwrap().iter().map(|t| t.id).collect();
        let start = Barrier::new(WORKERS);
        let (ids, start) = (&ids, &start);
        let won: Vec<(usize, usize)> = std::thread::scope(|scope| {
            let worker = |(number, store): (usize, &store::Store)| {
                let mut tally = (0, 0);
                start.wait();
                for round in 0..rounds {
                    let order = chosen(store, 1);
                    let from = (number * 7 + round * 11) % (ids.len() - 8);
                    match store.reserve(order.id, None, &claims(&ids[from..from + 8]), &who()) {
                        Ok(_) => {
                            tally.0 += 1;
                            if round % 2 == 0 {
                                store.advance(order.id, None, Stage::Cancelled, "", &who()).unwrap();
                            }
                        }
                        Err(StoreError::Taken(_)) => tally.1 += 1,
                        Err(other) => panic!("no clear answer: {other}"),
                    }
                }
                tally
            };
            let threads: Vec<_> = stores.iter().enumerate().map(|pair| scope.spawn(move || worker(pair))).collect();
            threads.into_iter().map(|t| t.join().unwrap()).collect()
        });
        assert_eq!(won.iter().map(|t| t.0 + t.1).sum::<usize>(), WORKERS * rounds);
        let sums = won.iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1));
        println!("{:?}: {} orders got their modules, {} were told who was faster", room.place, sums.0, sums.1);
        assert!(won.iter().any(|t| t.0 > 0) && won.iter().any(|t| t.1 > 0), "{won:?}");
        assert_eq!(stores[0].faults().unwrap(), Vec::<String>::new());
        let numbers: BTreeSet<String> = (1..=WORKERS * rounds).map(|n| format!("O-{n:05}")).collect();
        let filter = store::OrderFilter { words: String::new(), stage: None, open: false, skip: 0, most: 1000 };
        let listed: BTreeSet<String> = stores[0].orders(&filter).unwrap().list.into_iter().map(|o| o.number).collect();
        assert_eq!(listed, numbers, "no number is lost or given twice");
    }
}
