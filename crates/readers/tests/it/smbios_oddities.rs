//! The odd things that real tables say, each in the smallest table that says it.

use domain::module::{Generation, Kind};
use domain::snapshot::{SeenModule, SlotState, Snapshot};
use domain::{Capacity, DataRate};
use readers::smbios;
use readers::smbios::write::{Array, Device, Mapped, Table};

fn device() -> Device {
    Device {
        handle: 0x11,
        array: 0x10,
        total_width: 72,
        data_width: 64,
        size: 16384,
        form: 9,
        locator: Some("A1".into()),
        kind: 0x1A,
        detail: 1 << 13,
        speed: 2666,
        configured: 2666,
        ..Device::default()
    }
}

fn table(devices: Vec<Device>) -> Table {
    let count = u16::try_from(devices.len()).unwrap_or(u16::MAX);
    Table {
        arrays: vec![Array { handle: 0x10, correction: 6, devices: count, ..Array::default() }],
        devices,
        ..Table::default()
    }
}

fn read(table: &Table) -> Snapshot {
    smbios::read(&table.bytes()).expect("a table")
}

fn one(device: Device) -> (SeenModule, Snapshot) {
    let snapshot = read(&table(vec![device]));
    let module = snapshot.slots.first().and_then(|s| s.module.clone()).expect("a module");
    (module, snapshot)
}

fn tells(snapshot: &Snapshot, words: &str) -> bool {
    snapshot.notes.iter().any(|n| n.what.contains(words))
}

#[test]
fn sizes_in_every_form() {
    let gib = |device| one(device).0.reading.capacity.map(Capacity::mib);
    assert_eq!(gib(Device { size: 0x7FFF, extended_size: 131_072, ..device() }), Some(131_072));
    assert_eq!(gib(Device { size: 0x8000 | 2048, ..device() }), Some(2));
    let (module, snapshot) = one(Device { size: 0xFFFF, ..device() });
    assert_eq!(module.reading.capacity, None);
    assert!(tells(&snapshot, "size is not known"));
    let (module, snapshot) = one(Device { size: 0x7FFF, length: 23, ..device() });
    assert_eq!(module.reading.capacity, None);
    assert!(tells(&snapshot, "extended size"));
}

#[test]
fn a_slot_is_empty_by_its_size_alone() {
    let named = Device { size: 0, maker: Some("Samsung".into()), part: Some("M393A2G40DB0-CPB".into()), ..device() };
    let slot = read(&table(vec![named])).slots.remove(0);
    assert_eq!((slot.state, slot.module), (SlotState::Empty, None));
}

#[test]
fn placeholders_and_blanks_are_kept_beside_the_reading() {
    let padded = Device {
        maker: Some("NO DIMM   ".into()),
        part: Some("ABC-1   ".into()),
        serial: Some("  ".into()),
        ..device()
    };
    let module = one(padded).0;
    assert_eq!((module.reading.maker, module.reading.serial), (None, None));
    assert_eq!(module.reading.part_number.as_deref(), Some("ABC-1"));
    let texts: Vec<&str> = module.reported.iter().map(|r| r.text.as_str()).collect();
    assert_eq!(texts, ["NO DIMM   ", "  ", "ABC-1   "]);
}

#[test]
fn eighteen_digit_serials_hold_maker_date_and_place() {
    let module = one(Device { kind: 0x22, serial: Some("80AD012335A1B2C3D4".into()), ..device() }).0;
    assert_eq!(module.reading.serial.as_deref(), Some("A1B2C3D4"));
    assert_eq!(module.reading.made.map(|m| (m.year, m.week)), Some((2023, 35)));
    assert_eq!(module.reading.maker.and_then(|m| m.name).as_deref(), Some("SK Hynix"));
}

#[test]
fn kinds_are_told_by_the_type_detail() {
    let kind = |detail: u16| one(Device { detail, ..device() }).0.reading.kind;
    assert_eq!(kind(1 << 7 | 1 << 13), Some(Kind::Rdimm));
    assert_eq!(kind(1 << 14), Some(Kind::Udimm));
    assert_eq!(kind(1 << 15), Some(Kind::Lrdimm));
    assert_eq!(kind(1 << 13 | 1 << 15), Some(Kind::Lrdimm));
    assert_eq!(kind(1 << 13 | 1 << 14), None);
    assert_eq!(kind(1 << 7), None);
    let multiplexed = one(Device { kind: 0x25, speed: 8800, ..device() }).0.reading;
    assert_eq!((multiplexed.generation, multiplexed.kind), (Some(Generation::Ddr5), Some(Kind::Mrdimm)));
}

#[test]
fn memory_newer_than_its_table_has_no_generation() {
    let module = one(Device { kind: 1, length: 27, ..device() }).0;
    assert_eq!((module.reading.generation, module.running), (None, None));
    assert_eq!(module.reading.rate, Some(DataRate::from_mts(2666)));
}

#[test]
fn non_volatile_modules_are_never_counted_and_carry_the_caution() {
    let ways = [
        Device { kind: 0x1F, ..device() },
        Device { technology: 4, ..device() },
        Device { technology: 7, ..device() },
        Device { detail: 1 << 12, ..device() },
        Device { nonvolatile: 16 << 30, ..device() },
        Device { kind: 9, ..device() },
    ];
    for way in ways {
        let (module, snapshot) = one(way.clone());
        assert!(module.nonvolatile, "{way:?}");
        assert_eq!(module.reading.kind, Some(Kind::Nonvolatile));
        assert_eq!(snapshot.installed(), Capacity::ZERO);
        assert!(tells(&snapshot, "customer's data"));
    }
}

#[test]
fn flash_and_blank_entries_are_no_slots() {
    let flash =
        Device { handle: 0x12, array: 0x20, kind: 9, form: 1, size: 8, locator: Some("BIOS".into()), ..device() };
    let blank = Device { handle: 0x13, size: 0, form: 2, kind: 2, locator: None, ..device() };
    let unfitted = Device { handle: 0x14, size: 0, ..device() };
    let snapshot = read(&table(vec![device(), flash, blank.clone(), unfitted]));
    let states: Vec<SlotState> = snapshot.slots.iter().map(|s| s.state).collect();
    assert_eq!(states, [SlotState::Filled, SlotState::NotMemory, SlotState::NotMemory, SlotState::Empty]);
    // A machine that names none of its slots has slots all the same.
    let nameless = read(&table(vec![Device { locator: None, ..device() }, blank]));
    assert!(nameless.slots.iter().all(|s| s.state != SlotState::NotMemory));
}

#[test]
fn a_table_told_twice_is_counted_once() {
    let bytes = table(vec![device()]).bytes();
    let body = bytes.get(..bytes.len() - 6).unwrap_or_default();
    let doubled = smbios::read(&[body, bytes.as_slice()].concat()).expect("a table");
    assert_eq!((doubled.slots.len(), doubled.installed()), (1, Capacity::from_gib(16)));
    assert!(tells(&doubled, "there twice"));

    let numbered = |handle: u16, serial: &str| Device { handle, serial: Some(serial.into()), ..device() };
    let again = vec![numbered(1, "11AA"), numbered(2, "22BB"), numbered(3, "11AA"), numbered(4, "22BB")];
    let snapshot = read(&table(again));
    assert_eq!(snapshot.slots.len(), 2);
    assert!(tells(&snapshot, "listed twice"));
    // Without serial numbers nothing tells two alike modules from one told twice.
    let alike = (1..=4).map(|handle| Device { handle, ..device() }).collect();
    assert_eq!(read(&table(alike)).slots.len(), 4);
}

#[test]
fn contradictions_are_told() {
    let mut odd =
        table(vec![Device { array: 0x99, ..device() }, Device { handle: 0x12, configured: 3200, ..device() }]);
    odd.arrays[0].maximum_mib = 1024;
    odd.mapped_arrays = vec![Mapped { handle: 0x30, last: (8 << 30) - 1, of: 0x10, ..Mapped::default() }];
    let snapshot = read(&odd);
    for words in [
        "not in the table",
        "states 2 devices, and 1 are listed",
        "more than the 1 GiB",
        "ranges sum up to 8 GiB",
        "faster than",
        "share name",
    ] {
        assert!(tells(&snapshot, words), "{words}: {:?}", snapshot.notes);
    }
    let twice = read(&table(vec![device(), Device { locator: Some("B1".into()), ..device() }]));
    assert!(tells(&twice, "has this handle") && twice.slots.len() == 2);
}

#[test]
fn one_sure_clock_makes_all_speeds_clocks() {
    let slow = |handle: u16, speed: u32| Device { handle, kind: 0x18, speed, configured: 0, ..device() };
    let snapshot = read(&table(vec![slow(1, 667), slow(2, 800)]));
    let rates: Vec<u32> = snapshot.slots.iter().filter_map(|s| Some(s.module.as_ref()?.rated?.rate.mts())).collect();
    assert_eq!(rates, [1333, 1600]);
    assert!(tells(&snapshot, "given as clocks"));
    let snapshot = read(&table(vec![slow(2, 800)]));
    assert_eq!(snapshot.slots[0].module.as_ref().and_then(|m| m.rated).map(|r| r.rate.mts()), Some(800));
}

#[test]
fn an_entry_point_or_header_in_front_is_checked_against_the_table() {
    let bytes = table(vec![device()]).bytes();
    let length = u32::try_from(bytes.len()).unwrap_or_default();
    let header = |stated: u32| [&[0u8, 3, 2, 0][..], &stated.to_le_bytes(), &bytes].concat();
    let good = smbios::read(&header(length)).expect("a table");
    assert_eq!((good.slots.len(), good.notes.len()), (1, 0));
    assert!(tells(&smbios::read(&header(length + 20)).expect("a table"), "header states"));

    let entry = |stated: u32, address: u64| {
        let mut point = b"_SM3_\x00\x18\x03\x02\x00\x01\x00".to_vec();
        point.extend(stated.to_le_bytes());
        point.extend(address.to_le_bytes());
        point[5] = point.iter().fold(0u8, |s, b| s.wrapping_sub(*b));
        [point, bytes.clone()].concat()
    };
    let good = smbios::read(&entry(length, 0xE_1000)).expect("a table");
    assert_eq!((good.slots.len(), good.notes.len()), (1, 0), "{:?}", good.notes);
    let mut wrong = entry(length, 0xE_1000);
    wrong[7] = 9;
    assert!(tells(&smbios::read(&wrong).expect("a table"), "checksum of the entry point"));

    // A dump of the legacy area: the entry point somewhere, the table at its address.
    let mut dump = vec![0xFFu8; 0x1_0000];
    let point = entry(length, 0xF_2000);
    dump[0x400..0x418].copy_from_slice(&point[..24]);
    dump[0x2000..0x2000 + bytes.len()].copy_from_slice(&bytes);
    assert_eq!(smbios::read(&dump).expect("a table").slots.len(), 1);
}
