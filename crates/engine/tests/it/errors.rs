//! Logged errors and counters: which module they point to, and when it is to be replaced.

use domain::snapshot::{
    ErrorController, ErrorCounts, ErrorModule, Location, SeenModule, SeenRange, SeenSlot, SlotState,
};
use domain::{Capacity, ErrorEvent, ErrorPlace, Gravity, Origin, Snapshot};
use engine::errors::{Setting, Sureness, by_address, setting, suspects};

fn slot(handle: &str, name: &str) -> SeenSlot {
    let mut module = SeenModule::default();
    module.reading.capacity = Some(Capacity::from_gib(1));
    SeenSlot {
        origin: Origin::Smbios,
        handle: handle.into(),
        array: None,
        name: format!("{name} ").into(),
        bank: None,
        location: Location::default(),
        processor: None,
        state: SlotState::Filled,
        module: Some(module),
    }
}

fn range(handle: &str, first: u64, last: u64) -> SeenRange {
    let slot = Some(handle.to_string());
    SeenRange { handle: "0x1400".into(), first, last, array: None, slot: slot.map(Into::into), width_or_position: None }
}

fn machine() -> Snapshot {
    let ranges =
        vec![range("0x1100", 0, 99), range("0x110A", 100, 199), range("0x1100", 200, 299), range("0x110A", 200, 299)];
    Snapshot { slots: vec![slot("0x1100", "west-1"), slot("0x110A", "west-2")], ranges, ..Snapshot::default() }
}

fn event(place: ErrorPlace, gravity: Gravity, hour: u64) -> ErrorEvent {
    let at = Some(hour * 3600);
    ErrorEvent { origin: Origin::Cper, at, gravity, what: String::new(), place, notes: Vec::new(), offset: 0 }
}

fn by_handle(handle: u16) -> ErrorPlace {
    ErrorPlace { handle: Some(handle), ..ErrorPlace::default() }
}

fn day() -> Setting {
    setting("day-of-24").unwrap()
}

#[test]
fn a_handle_names_the_slot_and_an_address_only_where_one_slot_holds_it() {
    let machine = machine();
    let address = |address| ErrorPlace { address: Some(address), ..ErrorPlace::default() };
    let one = |place: ErrorPlace, machine: Option<&Snapshot>| {
        let found = suspects(&[event(place, Gravity::Corrected, 0)], machine, day()).swap_remove(0);
        (found.module, found.sureness)
    };
    assert_eq!(one(by_handle(0x110A), Some(&machine)), ("west-2".to_string(), Sureness::Handle));
    assert_eq!(one(by_handle(0x110A), None), ("handle 4362".to_string(), Sureness::Numbers));
    assert_eq!(one(address(150), Some(&machine)), ("west-2".to_string(), Sureness::Range));
    assert_eq!(one(address(250), Some(&machine)).1, Sureness::Nowhere);
    assert!(by_address(&machine, 250).is_none() && by_address(&machine, 900).is_none());
    let named = ErrorPlace { name: Some("west-9".to_string()), address: Some(5), ..ErrorPlace::default() };
    assert_eq!(one(named, Some(&machine)), ("west-9".to_string(), Sureness::Named));
}

#[test]
fn lost_data_a_full_threshold_or_a_cell_that_errs_again_mean_replace() {
    let machine = machine();
    let all = |events: &[ErrorEvent], setting| suspects(events, Some(&machine), setting);
    let corrected =
        |n: u64, hours: u64, handle| (0..n).map(move |i| event(by_handle(handle), Gravity::Corrected, i * hours));
    let day_full: Vec<ErrorEvent> = corrected(24, 1, 0x1100).collect();
    assert!(all(&day_full, day())[0].replace);
    assert!(!all(&day_full[1..], day())[0].replace);
    // The published rule holds for one module that errs alone.
    let two: Vec<ErrorEvent> = day_full.iter().cloned().chain(corrected(1, 1, 0x110A)).collect();
    assert!(all(&two, day()).iter().all(|s| !s.replace));
    // A module of 1 GiB: ten at once fill the bucket, one a fortnight never does.
    let leak = setting("leak-by-size").unwrap();
    assert!(all(&corrected(10, 0, 0x1100).collect::<Vec<_>>(), leak)[0].replace);
    assert!(!all(&corrected(30, 336, 0x1100).collect::<Vec<_>>(), leak)[0].replace);
    assert!(all(&[event(by_handle(0x1100), Gravity::Uncorrected, 0)], day())[0].replace);
    let cell = ErrorPlace { bank: Some(1), row: Some(2), column: Some(3), ..by_handle(0x1100) };
    let again = [event(cell.clone(), Gravity::Corrected, 0), event(cell, Gravity::Corrected, 500)];
    let found = all(&again, day());
    assert!(found[0].replace && found[0].repeated == ["bank 1 row 2 column 3, 2 times"], "{found:?}");
    assert!(all(&[event(by_handle(0x1100), Gravity::Notice, 0)], day()).is_empty());
}

#[test]
fn the_kernels_counters_join_the_log_and_the_worst_comes_first() {
    let module = |label: &str, corrected, uncorrected| ErrorModule {
        label: Some(label.to_string()),
        corrected: Some(corrected),
        uncorrected: Some(uncorrected),
        ..ErrorModule::default()
    };
    let modules = vec![module("west-1", 40, 0), module("west-2", 0, 1), module("west-3", 0, 0)];
    let errors = ErrorCounts::Read(vec![ErrorController { modules, ..ErrorController::default() }]);
    let machine = Snapshot { errors, ..machine() };
    let logged = [event(by_handle(0x1100), Gravity::Corrected, 0)];
    let found = suspects(&logged, Some(&machine), day());
    let told: Vec<_> = found.iter().map(|s| (s.module.as_str(), s.corrected, s.uncorrected)).collect();
    assert_eq!(told, [("west-2", 0, 1), ("west-1", 40, 0)]);
    let many = (0..3).map(|i| event(by_handle(i), Gravity::Uncorrected, 0)).collect::<Vec<_>>();
    assert!(suspects(&many, None, day()).iter().all(|s| s.advice.contains("share first")));
}
