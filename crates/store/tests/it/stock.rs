//! Taking in, searching, changing.

use crate::{chosen, claims, each, new_item, who};
use domain::Condition;
use domain::item::{ItemState, Screened, Search, Subject};
use store::{Bought, ItemChange, StoreError};

fn search(words: &str) -> Search {
    Search { words: words.to_string(), most: 50, ..Search::default() }
}

#[test]
fn what_is_taken_in_is_read_back_with_its_history() {
    each(|store| {
        let items = [new_item(Some("4A5B6C01"), 1), new_item(None, 12)];
        let took = store.take_in(&items, &who()).unwrap();
        let single = store.item(took[0].id).unwrap();
        assert_eq!((single.serial.as_deref(), single.quantity, single.free()), (Some("4A5B6C01"), 1, 1));
        assert_eq!((single.model, single.made), (items[0].model.clone(), Some((2020, 14))));
        assert_eq!(store.item(took[1].id).unwrap().free(), 12);
        let history = store.history(Subject::Item(took[0].id.0)).unwrap();
        assert_eq!(history.len(), 1);
        assert_eq!((history[0].act.as_str(), &history[0].who), ("taken in", &who()));
    });
}

#[test]
fn an_intake_is_all_or_nothing_and_names_every_bad_row() {
    each(|store| {
        store.take_in(&[new_item(Some("AA000001"), 1)], &who()).unwrap();
        let rows = [
            new_item(Some("AA000002"), 1),
            new_item(Some("AA000001"), 1),
            new_item(Some("AA000002"), 1),
            new_item(None, 0),
        ];
        let Err(StoreError::Rows(faults)) = store.take_in(&rows, &who()) else { panic!("was taken in") };
        assert_eq!(faults.iter().map(|f| f.row).collect::<Vec<_>>(), [1, 2, 3]);
        assert!(faults[0].why.contains("serial AA000001 is in stock already: item "), "{}", faults[0].why);
        assert!(store.items_by_serial("AA000002").unwrap().is_empty());
    });
}

#[test]
fn a_serial_is_found_in_any_case_and_by_its_end() {
    each(|store| {
        let took = store.take_in(&[new_item(Some("4A5B6C01"), 1), new_item(Some("4A5B6C02"), 1)], &who()).unwrap();
        assert_eq!(store.items_by_serial("4a5b6c02").unwrap()[0].id, took[1].id);
        let ids = |words: &str| store.items(&search(words)).unwrap().list.iter().map(|i| i.id).collect::<Vec<_>>();
        assert_eq!(ids("6c02"), [took[1].id]);
        assert_eq!(ids("4a5b"), [took[1].id, took[0].id]);
        assert_eq!(ids("32gb 2rx4"), [took[1].id, took[0].id]);
        assert_eq!(ids("32gb 6c01"), [took[0].id]);
        assert_eq!(ids("a1"), [took[1].id, took[0].id]);
        assert_eq!(ids("64gb"), []);
        assert_eq!(ids("100%_\\"), []);
    });
}

#[test]
fn the_shelf_counts_free_reserved_and_held_back() {
    each(|store| {
        let mut bad = new_item(Some("BAD00001"), 1);
        bad.screened = Screened::Reject;
        let took = store.take_in(&[new_item(None, 10), bad], &who()).unwrap();
        assert_eq!(store.item(took[1].id).unwrap().state, ItemState::HeldBack);
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[took[0].id; 4]), &who()).unwrap();
        let page = store.shelf(&search("2933")).unwrap();
        assert_eq!(page.found, 1);
        let shelf = &page.list[0];
        assert_eq!((shelf.free, shelf.reserved, shelf.held_back, shelf.condition), (6, 4, 1, Condition::Used));
        let lots = store.free_lots().unwrap();
        assert_eq!(lots.iter().map(|l| l.count).collect::<Vec<_>>(), [6]);
        assert_eq!(store.free_items().unwrap()[0].count, 6);
        assert!(store.shelf(&search("nothing like it")).unwrap().list.is_empty());
    });
}

#[test]
fn a_bin_and_a_batch_show_their_models_however_many_there_are() {
    each(|store| {
        let item = |n: u32, bin: &str| {
            let mut item = new_item(None, n);
            item.model.part_number = Some(format!("DEMO-{n:03}"));
            item.bin = bin.to_string();
            item
        };
        let mut all: Vec<_> = (1..=30).map(|n| (item(n, "A1"), None)).collect();
        let on = domain::Day::from_days(20_000);
        let bought = Bought { supplier: "Whimbrel".to_string(), reference: "R7".to_string(), on };
        all.push((item(31, "Z9"), Some(bought)));
        store.take_in_bought(&all, &who()).unwrap();
        let few = |words: &str| Search { most: 10, ..search(words) };
        for words in ["z9", "r7", "z9 r7", "2933 z9", "demo-031"] {
            let page = store.shelf(&few(words)).unwrap();
            assert_eq!((page.found, page.list.len()), (1, 1), "{words}");
            assert_eq!(
                (page.list[0].free, page.list[0].model.part_number.as_deref()),
                (31, Some("DEMO-031")),
                "{words}"
            );
        }
        assert_eq!(store.shelf(&few("a1 r7")).unwrap().found, 0);
        let page = store.shelf(&Search { skip: 30, ..few("2933") }).unwrap();
        assert_eq!((page.found, page.list.len()), (31, 1));
    });
}

#[test]
fn a_change_needs_the_version_that_was_seen_and_spares_what_is_promised() {
    each(|store| {
        let took = store.take_in(&[new_item(Some("C0FFEE01"), 1)], &who()).unwrap()[0].id;
        let seen = store.item(took).unwrap().version;
        let move_to = |bin: &str| ItemChange { bin: Some(bin.to_string()), ..ItemChange::default() };
        let moved = store.change_item(took, Some(seen), &move_to("B2"), &who()).unwrap();
        assert_eq!(moved.bin, "B2");
        let late = store.change_item(took, Some(seen), &move_to("B3"), &who());
        assert!(matches!(late, Err(StoreError::Changed { .. })), "{late:?}");
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[took]), &who()).unwrap();
        let scrap = ItemChange { state: Some(ItemState::Scrapped), ..ItemChange::default() };
        assert!(matches!(store.change_item(took, None, &scrap, &who()), Err(StoreError::NotNow { .. })));
        assert_eq!(store.history(Subject::Item(took.0)).unwrap()[1].detail, "bin `A1` to `B2`");
    });
}
