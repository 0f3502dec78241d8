//! Batches that come in with their items, and bins that are counted.

use crate::{chosen, claims, each, new_item, who};
use domain::Day;
use domain::item::{ItemState, Subject};
use store::{Bought, Counted, StoreError};

fn bought(reference: &str) -> Bought {
    Bought { supplier: "Whimbrel Trade".to_string(), reference: reference.to_string(), on: Day::from_days(20_000) }
}

#[test]
fn a_batch_comes_in_with_its_items_or_not_at_all() {
    each(|store| {
        let good = [(new_item(Some("B0000001"), 1), Some(bought("R-1"))), (new_item(None, 5), Some(bought("R-1")))];
        let took = store.take_in_bought(&good, &who()).unwrap();
        let batches = store.batches().unwrap();
        assert_eq!(batches.len(), 1);
        assert_eq!((batches[0].modules, batches[0].failed, &batches[0].bought), (6, 0, &bought("R-1")));
        assert_eq!(store.item(took[1].id).unwrap().batch, Some(batches[0].id));
        let bad = [(new_item(Some("B0000001"), 1), Some(bought("R-2")))];
        assert!(matches!(store.take_in_bought(&bad, &who()), Err(StoreError::Rows(f)) if f.len() == 1));
        assert_eq!(store.batches().unwrap().len(), 1, "the batch of a refused intake stays away");
        let until = store.set_warranty(batches[0].id, Day::from_days(20_365), "until some day", &who()).unwrap();
        assert_eq!(until.warranty_until, Some(Day::from_days(20_365)));
        assert_eq!(store.history(Subject::Batch(until.id.0)).unwrap().len(), 2);
    });
}

#[test]
fn a_count_moves_finds_again_and_marks_missing_all_at_once() {
    each(|store| {
        let in_bin = |serial: &str, bin: &str| {
            let mut item = new_item(Some(serial), 1);
            item.bin = bin.to_string();
            item
        };
        let items = [in_bin("C0000001", "A3"), in_bin("C0000002", "A3"), in_bin("C0000003", "B1")];
        let ids: Vec<_> = store.take_in(&items, &who()).unwrap().iter().map(|t| t.id).collect();
        assert_eq!(store.in_bin("A3").unwrap().iter().map(|i| i.id).collect::<Vec<_>>(), ids[..2]);
        let mut counted = Counted { bin: "A3".to_string(), here: vec![(ids[2], 1)], ..Counted::default() };
        counted.missing = vec![(ids[1], 1)];
        let take = store.accept_count(&counted, &who()).unwrap();
        assert_eq!(store.item(ids[1]).unwrap().state, ItemState::Missing);
        assert_eq!(store.item(ids[2]).unwrap().bin, "A3");
        assert_eq!(store.history(Subject::StockTake(take)).unwrap().len(), 1);
        let again = Counted { bin: "A3".to_string(), back: vec![(ids[1], 2)], ..Counted::default() };
        store.accept_count(&again, &who()).unwrap();
        assert_eq!(store.in_bin("A3").unwrap().len(), 3);
    });
}

#[test]
fn a_promised_module_is_not_counted_away() {
    each(|store| {
        let took = store.take_in(&[new_item(Some("D0000001"), 1), new_item(Some("D0000002"), 1)], &who()).unwrap();
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[took[1].id]), &who()).unwrap();
        let seen = |at: usize| (took[at].id, store.item(took[at].id).unwrap().version);
        let counted = Counted { bin: "A1".to_string(), missing: vec![seen(0), seen(1)], ..Counted::default() };
        assert!(matches!(store.accept_count(&counted, &who()), Err(StoreError::NotNow { .. })));
        assert_eq!(store.item(took[0].id).unwrap().state, ItemState::Shelf, "nothing of it was done");
    });
}
