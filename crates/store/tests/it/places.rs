//! Opening, backing up, and what is not a store.

use crate::{Room, new_item, rooms, who};
use store::{Place, Store, StoreError};

#[test]
fn a_store_is_opened_again_with_what_was_in_it() {
    for room in rooms() {
        let id = room.open().take_in(&[new_item(Some("KEEP0001"), 1)], &who()).unwrap()[0].id;
        assert_eq!(room.open().item(id).unwrap().serial.as_deref(), Some("KEEP0001"));
    }
}

#[test]
fn a_backup_is_a_whole_store_and_never_writes_over_a_file() {
    let room = Room::file();
    let Place::File(path) = &room.place else { unreachable!() };
    let store = room.open();
    let id = store.take_in(&[new_item(Some("SAFE0001"), 1)], &who()).unwrap()[0].id;
    let copy = path.with_file_name("copy.db");
    store.backup(&copy).unwrap();
    assert_eq!(Store::open(&Place::File(copy.clone())).unwrap().item(id).unwrap().bin, "A1");
    assert!(matches!(store.backup(&copy), Err(StoreError::Refused(_))));
}

#[test]
fn what_is_no_store_is_refused_and_left_alone() {
    let room = Room::file();
    let Place::File(path) = &room.place else { unreachable!() };
    std::fs::write(
        path,
        "this is a letter, not a database, and longer than a header of one hundred bytes is: so it goes on.",
    )
    .unwrap();
    let error = Store::open(&room.place).unwrap_err();
    assert!(error.to_string().contains("it is no SQLite file"), "{error}");
    assert!(std::fs::read_to_string(path).unwrap().starts_with("this is a letter"));
    let nowhere = Place::parse("postgres://nobody@127.0.0.1:1/none");
    assert!(matches!(Store::open(&nowhere), Err(StoreError::Open { .. })));
}
