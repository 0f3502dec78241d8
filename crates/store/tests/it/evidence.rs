//! What failed, what went back to its supplier, and what is kept as evidence.

use crate::{each, new_item, who};
use domain::failure::{CountedBy, FailureState, NewFailure};
use domain::item::{ItemId, ItemState, Subject};
use domain::order::Stage;
use domain::{Day, Stamp};
use store::{Bought, Closing, NewAttachment, Record, Sending, Store, StoreError, Swap};

fn bought(supplier: &str) -> Option<Bought> {
    Some(Bought { supplier: supplier.to_string(), reference: "2026-07".to_string(), on: Day::from_days(20_500) })
}

fn failure(item: ItemId) -> NewFailure {
    NewFailure { item, order: None, reason: "errors in one bank, in two slots".to_string(), record: None }
}

fn sending(failures: Vec<domain::failure::FailureId>) -> Sending {
    Sending { failures, reference: "R-17".to_string(), note: String::new(), late: false }
}

fn close(store: &Store, id: domain::failure::FailureId, to: FailureState) -> Result<FailureState, StoreError> {
    store.close_failure(&Closing { id, to, note: "as told".to_string() }, &who()).map(|f| f.state)
}

#[test]
fn a_failure_goes_its_way_to_the_supplier_and_back() {
    each(|store| {
        let items = [(new_item(Some("BAD00001"), 1), bought("Mill Lane")), (new_item(None, 5), bought("Mill Lane"))];
        let took = store.take_in_bought(&items, &who()).unwrap();
        let one = store.report_failure(&failure(took[0].id), None, &who()).unwrap();
        assert_eq!((one.state, one.item.state), (FailureState::Found, ItemState::HeldBack));
        assert_eq!(one.bought, Some(("Mill Lane".to_string(), "2026-07".to_string())));
        let record = Record { name: "record.json", media_type: "application/json", bytes: b"{}" };
        let two = store.report_failure(&failure(took[1].id), Some(record), &who()).unwrap();
        let kept = store.attachments(Subject::Item(two.item.id.0)).unwrap();
        assert_eq!(two.record.as_ref(), kept.first().map(|a| &a.hash), "the record goes with the module that failed");
        assert_ne!(two.item.id, took[1].id, "one of a lot becomes an item of its own");
        assert_eq!((store.item(took[1].id).unwrap().quantity, two.item.quantity), (4, 1));
        let again = store.report_failure(&failure(took[0].id), None, &who()).unwrap_err();
        assert!(again.to_string().contains("open failure already"), "{again}");
        assert!(store.report_failure(&failure(took[0].id), Some(record), &who()).is_err());
        assert!(store.attachments(Subject::Item(took[0].id.0)).unwrap().is_empty(), "nothing is half done");
        assert!(close(store, one.id, FailureState::Credited).is_err(), "it is still here");
        let sent = store.send_back(&sending(vec![one.id, two.id]), &who()).unwrap();
        assert!(sent.iter().all(|f| f.item.state == ItemState::SentBack && f.reference == "R-17"));
        assert_eq!(close(store, one.id, FailureState::Credited).unwrap(), FailureState::Credited);
        assert_eq!(close(store, two.id, FailureState::Refused).unwrap(), FailureState::Refused);
        let back = store.failure(two.id).unwrap();
        assert_eq!(back.item.state, ItemState::HeldBack, "what was refused comes back");
        assert_eq!(store.failures("open", None, 0, 10).unwrap(), [back]);
        assert_eq!(close(store, two.id, FailureState::Scrapped).unwrap(), FailureState::Scrapped);
        let counted = store.failed(CountedBy::Supplier).unwrap();
        assert_eq!(counted.len(), 1);
        assert_eq!((counted[0].received, counted[0].failed, counted[0].made_good), (6, 2, 1));
        let batch = &store.batches().unwrap()[0];
        assert_eq!((batch.modules, batch.failed), (6, 2));
        let acts: Vec<String> =
            store.history(Subject::Item(took[0].id.0)).unwrap().into_iter().map(|e| e.act).collect();
        assert_eq!(acts, ["taken in", "failed", "sent back", "credited"]);
    });
}

#[test]
fn nothing_goes_back_to_two_suppliers_at_once_or_after_its_warranty() {
    each(|store| {
        let items = [
            (new_item(Some("ONE"), 1), bought("Mill Lane")),
            (new_item(Some("TWO"), 1), bought("North Quay")),
            (new_item(Some("THREE"), 1), None),
        ];
        let took = store.take_in_bought(&items, &who()).unwrap();
        let ids: Vec<_> = took.iter().map(|t| store.report_failure(&failure(t.id), None, &who()).unwrap().id).collect();
        let said = |ids: &[domain::failure::FailureId]| {
            store.send_back(&sending(ids.to_vec()), &who()).unwrap_err().to_string()
        };
        assert!(said(&ids[..2]).contains("others of Mill Lane"), "{}", said(&ids[..2]));
        assert!(said(&ids[2..]).contains("not bought in a batch"));
        assert_eq!(store.failure(ids[0]).unwrap().state, FailureState::Found, "all or none");
        let newest = store.newest_batches(1).unwrap();
        assert_eq!(
            (newest.found, newest.list[0].bought.supplier.as_str(), newest.list[0].failed),
            (2, "North Quay", 1)
        );
        let batch = store.batches().unwrap().into_iter().find(|b| b.bought.supplier == "Mill Lane").unwrap();
        store.set_warranty(batch.id, Day::from_days(who().at.day().days() - 1), "until yesterday", &who()).unwrap();
        assert!(said(&ids[..1]).contains("warranty"));
        let late = Sending { late: true, ..sending(vec![ids[0]]) };
        assert_eq!(store.send_back(&late, &who()).unwrap()[0].state, FailureState::SentBack);
    });
}

#[test]
fn shipped_modules_still_count_among_those_that_came_in() {
    each(|store| {
        let items = [(new_item(Some("GONE0001"), 1), bought("Mill Lane")), (new_item(None, 3), bought("Mill Lane"))];
        let took = store.take_in_bought(&items, &who()).unwrap();
        let order = crate::chosen(store, 1);
        let claims = crate::claims(&[took[0].id, took[1].id]);
        let order = store.reserve(order.id, None, &claims, &who()).unwrap();
        store.pick(order.id, None, &[took[0].id, took[1].id], &who()).unwrap();
        for stage in [Stage::Built, Stage::Verified, Stage::Shipped] {
            store.advance(order.id, None, stage, "", &who()).unwrap();
        }
        assert_eq!(store.batches().unwrap()[0].modules, 4);
        let later = domain::item::Who { name: "desk".to_string(), at: Stamp::from_seconds(1_795_000_000) };
        let found = store.report_failure(&failure(took[0].id), None, &later).unwrap();
        assert_eq!((found.item.state, found.item.quantity), (ItemState::HeldBack, 1), "the customer sent it back");
        let model = &store.failed(CountedBy::Model).unwrap()[0];
        assert_eq!((model.received, model.failed), (4, 1));
    });
}

#[test]
fn a_module_taken_out_as_faulty_is_a_failure_of_its_order() {
    each(|store| {
        let took = store.take_in(&[new_item(None, 2), new_item(Some("SPARE"), 1)], &who()).unwrap();
        let order = crate::chosen(store, 1);
        let order = store.reserve(order.id, None, &crate::claims(&[took[0].id]), &who()).unwrap();
        let swap =
            Swap { machine: 1, slot: "S0".to_string(), item: took[1].id, faulty: true, why: "not seen".to_string() };
        store.swap(order.id, None, &swap, &who()).unwrap();
        let failures = store.failures("", None, 0, 10).unwrap();
        assert_eq!(failures.len(), 1);
        assert_eq!(
            (failures[0].order.as_deref(), failures[0].reason.as_str()),
            (Some(order.number.as_str()), "not seen")
        );
        assert_eq!(store.failed(CountedBy::Batch).unwrap()[0].received, 3);
    });
}

#[test]
fn evidence_is_kept_once_by_its_sum_and_given_back_as_it_was() {
    each(|store| {
        let item = store.take_in(&[new_item(Some("PHOTO1"), 1)], &who()).unwrap()[0].id;
        let photo =
            |name| NewAttachment { subject: Subject::Item(item.0), name, media_type: "text/plain", bytes: b"abc" };
        let kept = store.attach(&photo("pins.txt"), &who()).unwrap();
        // FIPS 180-4's example of SHA-256 for the three letters abc.
        assert_eq!(kept.hash, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(store.attach(&photo("again.txt"), &who()).unwrap().hash, kept.hash);
        let names: Vec<String> = store.attachments(kept.subject).unwrap().into_iter().map(|a| a.name).collect();
        assert_eq!(names, ["pins.txt", "again.txt"]);
        assert_eq!(store.content(&kept.hash).unwrap().bytes, b"abc");
        assert!(matches!(store.content("00"), Err(StoreError::Absent { .. })));
        let said = |new: &NewAttachment<'_>| store.attach(new, &who()).unwrap_err().to_string();
        assert!(said(&NewAttachment { bytes: b"", ..photo("empty") }).contains("is empty"));
        assert!(said(&photo("../etc/passwd")).contains("no name of a file"));
        let nowhere = NewAttachment { subject: Subject::Item(999), ..photo("x") };
        assert_eq!(said(&nowhere), "there is no item 999");
        let big = vec![0; store::ATTACHMENT_MOST + 1];
        assert!(said(&NewAttachment { bytes: &big, ..photo("big") }).contains("16 MiB"));
    });
}
