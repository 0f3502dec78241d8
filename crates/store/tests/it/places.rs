//! Opening, backing up, and what is not a store.

use crate::{Room, new_item, rooms, who};
use store::{OrderFilter, Place, Store, StoreError};

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

/// One store of every schema that was released is kept, for both databases, and comes forward with what is in it. A new step of the
/// schema adds one of each.
#[test]
fn stores_of_earlier_schemas_come_forward_with_their_data() {
    let kept = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/kept");
    let (mut files, mut dumps) = (0, 0);
    for file in std::fs::read_dir(kept).unwrap() {
        let file = file.unwrap().path();
        if file.extension().is_some_and(|e| e == "sql") {
            let Some(room) = Room::server() else { continue };
            let Place::Server(url) = &room.place else { unreachable!() };
            crate::sql(url, &std::fs::read_to_string(file).unwrap());
            came_forward(&room);
            dumps += 1;
        } else {
            let room = Room::file();
            let Place::File(path) = &room.place else { unreachable!() };
            std::fs::copy(file, path).unwrap();
            came_forward(&room);
            files += 1;
        }
    }
    assert!(files > 0 && (dumps == files || Room::server().is_none()), "{files} files, {dumps} dumps");
}

fn came_forward(room: &Room) {
    let store = room.open();
    assert_eq!(store.faults().unwrap(), Vec::<String>::new());
    let serial = store.items_by_serial("4A5B6C01").unwrap();
    assert_eq!((serial.len(), serial[0].bin.as_str(), serial[0].cost.minor()), (1, "B1", 9200));
    let order = store.order_by_number("1").unwrap();
    assert_eq!((order.customer.as_str(), order.stage), ("Plover", domain::order::Stage::Reserved));
    assert_eq!(store.reservations(order.id).unwrap().len(), 12);
    let filter = OrderFilter { words: "PLOVER".to_string(), stage: None, open: true, skip: 0, most: 9 };
    assert_eq!(store.orders(&filter).unwrap().found, 1);
    // What comes next gets numbers of its own.
    let took = store.take_in(&[crate::new_item(Some("4A5B6CFF"), 1)], &crate::who()).unwrap();
    assert!(!took[0].again && took[0].id > serial[0].id);
}
