//! Taking in, searching, changing.

use crate::{chosen, claims, each, new_item, who};
use domain::item::{ItemState, Screened, Search, Subject};
use domain::{Condition, Currency, Money};
use store::{Bought, Correction, ItemChange, StoreError};

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

#[test]
fn counts_and_currencies_that_would_stop_the_shop_are_refused_at_the_door() {
    each(|store| {
        let said = |item: &domain::item::NewItem| match store.take_in(std::slice::from_ref(item), &who()) {
            Err(StoreError::Rows(faults)) => faults[0].why.clone(),
            other => panic!("{other:?}"),
        };
        for (serial, count) in [(None, 100_001), (None, u32::MAX), (None, 0), (Some("AA01"), 2)] {
            assert!(said(&new_item(serial, count)).contains(&format!("its count is {count}")));
        }
        store.take_in(&[new_item(None, 100_000)], &who()).unwrap();
        let dollars = Money::from_minor(6000, Currency::parse("USD").unwrap());
        let foreign = domain::item::NewItem { cost: dollars, ..new_item(Some("AA01"), 1) };
        assert!(said(&foreign).contains("in EUR"));
        // What could not be taken in is told without taking anything in.
        let rows = [new_item(Some("AA01"), 1), foreign, new_item(None, 0)];
        let faults: Vec<usize> = store.refusals(&rows).unwrap().iter().map(|f| f.row).collect();
        assert_eq!(faults, [1, 2]);
        assert!(store.items_by_serial("AA01").unwrap().is_empty());
    });
}

#[test]
fn a_module_whose_maker_is_known_to_one_side_only_does_not_come_in_twice() {
    each(|store| {
        let unknown = |serial: &str| {
            let mut item = new_item(Some(serial), 1);
            item.model.maker = None;
            item
        };
        store.take_in(&[unknown("AA01"), new_item(Some("AA02"), 1)], &who()).unwrap();
        let twice = [new_item(Some("AA01"), 1), unknown("AA02")];
        let Err(StoreError::Rows(faults)) = store.take_in(&twice, &who()) else { panic!("was taken in") };
        assert!(faults.iter().all(|f| f.why.contains("another maker's")) && faults.len() == 2, "{faults:?}");
        // Two makers that are known may share a serial.
        let mut other = new_item(Some("AA02"), 1);
        other.model.maker = Some("Another".to_string());
        assert!(!store.take_in(&[other], &who()).unwrap()[0].again);
        // One that left comes back as what it was, and its maker is known from then on.
        let id = store.items_by_serial("AA01").unwrap()[0].id;
        let scrap = ItemChange { state: Some(ItemState::Scrapped), ..ItemChange::default() };
        store.change_item(id, None, &scrap, &who()).unwrap();
        let back = store.take_in(&[new_item(Some("AA01"), 1)], &who()).unwrap();
        assert_eq!((back[0].id, back[0].again), (id, true));
        assert_eq!(store.item(id).unwrap().model.maker.as_deref(), Some("Avocet Modules"));
    });
}

#[test]
fn what_was_written_wrong_is_corrected_and_the_history_keeps_both() {
    each(|store| {
        let took =
            store.take_in(&[new_item(Some("AA01"), 1), new_item(Some("AA02"), 1), new_item(None, 8)], &who()).unwrap();
        let (single, lot) = (took[0].id, took[2].id);
        let why = || Correction { why: "misread".to_string(), ..Correction::default() };
        let to = Correction {
            serial: Some(Some("AA10".to_string())),
            condition: Some(Condition::New),
            cost: Some(crate::euro(3_990)),
            bought: Some(Bought { supplier: "Mill Lane".to_string(), reference: "7".to_string(), on: who().at.day() }),
            ..why()
        };
        let now = store.correct_item(single, Some(1), &to, &who()).unwrap();
        assert_eq!(
            (now.serial.as_deref(), now.condition, now.cost, now.version),
            (Some("AA10"), Condition::New, crate::euro(3_990), 2)
        );
        assert_eq!(store.items_by_serial("aa10").unwrap()[0].id, single);
        assert!(store.items_by_serial("AA01").unwrap().is_empty());
        assert_eq!(store.batch(now.batch.unwrap()).unwrap().modules, 1);
        let told = store.history(Subject::Item(single.0)).unwrap().pop().unwrap();
        assert_eq!(told.act, "corrected");
        assert!(told.detail.starts_with("serial `AA01` to `AA10`; condition `used` to `new`"), "{}", told.detail);
        let refused = |id, to: &Correction| store.correct_item(id, None, to, &who()).unwrap_err().to_string();
        assert!(refused(single, &to).contains("says that already"));
        assert!(refused(single, &Correction { serial: Some(Some("AA02".to_string())), ..why() }).contains("already"));
        assert!(refused(single, &Correction { quantity: Some(2), ..why() }).contains("counts 1"));
        let dollars = Money::from_minor(1, Currency::parse("USD").unwrap());
        assert!(refused(single, &Correction { cost: Some(dollars), ..why() }).contains("in EUR"));
        let never =
            store.correct_item(single, Some(i64::MAX), &Correction { cost: Some(crate::euro(1)), ..why() }, &who());
        assert!(matches!(never, Err(StoreError::Changed { .. })), "{never:?}");
        let stale = store.correct_item(single, Some(1), &Correction { cost: Some(crate::euro(1)), ..why() }, &who());
        assert!(matches!(stale, Err(StoreError::Changed { .. })), "{stale:?}");
        // Of a lot, what is promised stays as it is.
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[lot, lot, lot]), &who()).unwrap();
        assert!(refused(lot, &Correction { quantity: Some(2), ..why() }).contains("promised"));
        assert!(refused(lot, &Correction { condition: Some(Condition::New), ..why() }).contains("promised"));
        assert_eq!(
            store.correct_item(lot, None, &Correction { quantity: Some(3), ..why() }, &who()).unwrap().free(),
            0
        );
    });
}

#[test]
fn a_part_of_a_lot_moves_or_is_set_aside_as_an_item_of_its_own() {
    each(|store| {
        let lot = store.take_in(&[new_item(None, 10)], &who()).unwrap()[0].id;
        let order = chosen(store, 1);
        store.reserve(order.id, None, &claims(&[lot, lot]), &who()).unwrap();
        let move_part = |n| ItemChange { bin: Some("B2".to_string()), part: Some(n), ..ItemChange::default() };
        let moved = store.change_item(lot, None, &move_part(3), &who()).unwrap();
        assert_eq!((moved.quantity, moved.bin.as_str(), moved.reserved), (3, "B2", 0));
        assert_ne!(moved.id, lot);
        let left = store.item(lot).unwrap();
        assert_eq!((left.quantity, left.reserved, left.bin.as_str()), (7, 2, "A1"));
        for count in [0, 6, 8] {
            let refused = store.change_item(lot, None, &move_part(count), &who());
            assert!(matches!(refused, Err(StoreError::NotNow { .. })), "{count}: {refused:?}");
        }
        let lost = ItemChange {
            state: Some(ItemState::Missing),
            part: Some(5),
            why: "counted".to_string(),
            ..ItemChange::default()
        };
        assert_eq!(store.change_item(lot, None, &lost, &who()).unwrap().quantity, 5);
        assert_eq!(store.item(lot).unwrap().free(), 0);
        let told: Vec<String> = store.history(Subject::Item(moved.id.0)).unwrap().into_iter().map(|e| e.act).collect();
        assert_eq!(told, ["parted", "changed"]);
    });
}

#[test]
fn a_failed_module_goes_back_to_the_shelf_only_when_its_failure_is_closed_as_sound() {
    use domain::failure::{CountedBy, FailureState, NewFailure};
    each(|store| {
        let id = store.take_in(&[new_item(Some("AA01"), 1)], &who()).unwrap()[0].id;
        let new = NewFailure { item: id, order: None, reason: "one error".to_string(), record: None };
        let failure = store.report_failure(&new, None, &who()).unwrap();
        for state in [ItemState::Shelf, ItemState::Scrapped] {
            let to = ItemChange { state: Some(state), why: "looks fine".to_string(), ..ItemChange::default() };
            assert!(matches!(store.change_item(id, None, &to, &who()), Err(StoreError::NotNow { .. })), "{state}");
        }
        let failed = |store: &store::Store| store.failed(CountedBy::Model).unwrap()[0].failed;
        assert_eq!(failed(store), 1);
        let sound = store::Closing { id: failure.id, to: FailureState::Sound, note: "a bad slot".to_string() };
        assert_eq!(store.close_failure(&sound, &who()).unwrap().state, FailureState::Sound);
        assert_eq!((store.item(id).unwrap().free(), failed(store)), (1, 0));
    });
}
