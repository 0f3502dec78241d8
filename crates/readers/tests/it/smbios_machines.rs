//! Every kept machine: what is read agrees with the records that its table was written from, and is written back.

use crate::smbios_kept::{machines, raw};
use domain::module::{Generation, Kind};
use domain::snapshot::{ArrayRole, SeenSlot, Snapshot};
use domain::snapshot::{ReportedField, SlotState};
use domain::{Capacity, DataRate};
use readers::smbios::write::{Device, write};
use readers::smbios::{self};

fn read(bytes: &[u8]) -> Snapshot {
    smbios::read(bytes).expect("a table")
}

/// Size of a record in MiB, by the standard's words.
fn mib(device: &Device) -> Option<u64> {
    match device.size {
        0 | 0xFFFF => None,
        0x7FFF => Some(u64::from(device.extended_size)),
        kib if kib >= 0x8000 => Some(u64::from(kib - 0x8000) / 1024),
        mib => Some(u64::from(mib)),
    }
}

fn agrees(id: &str, device: &Device, slot: &SeenSlot) {
    let place = format!("{id} {}", slot.handle);
    assert_eq!(slot.handle, format!("0x{:04X}", device.handle), "{place}");
    assert_eq!(slot.name, device.locator.clone().unwrap_or_default(), "{place}");
    assert_eq!(slot.bank, device.bank.clone().map(Into::into), "{place}");
    if device.size == 0 {
        assert!(matches!(slot.state, SlotState::Empty | SlotState::NotMemory) && slot.module.is_none(), "{place}");
        return;
    }
    if slot.state == SlotState::NotMemory {
        assert_eq!(device.kind, 9, "{place}: only flash is no memory though it has a size");
        return;
    }
    assert_eq!(slot.state, SlotState::Filled, "{place}");
    let module = slot.module.as_ref().expect("a module");
    assert_eq!(module.reading.capacity.map(Capacity::mib), mib(device), "{place}");
    let generation = match device.kind {
        0x18 => Some(Generation::Ddr3),
        0x1A => Some(Generation::Ddr4),
        0x22 => Some(Generation::Ddr5),
        _ => None,
    };
    assert_eq!(module.reading.generation, generation, "{place}");
    let ranks = (device.length >= 28 && device.attributes != 0).then_some(device.attributes);
    assert_eq!(module.reading.package_ranks, ranks, "{place}");
    let told = |speed: u32, least: u8| (device.length >= least && speed != 0).then_some(speed);
    assert_eq!(module.rated.map(|r| r.raw), told(device.speed, 23), "{place}");
    assert_eq!(module.running.map(|r| r.raw), told(device.configured, 34), "{place}");
    let kept = module.reported.iter().find(|r| r.field == ReportedField::PartNumber).map(|r| r.text.clone());
    let part = if device.length >= 27 { device.part.clone() } else { None };
    assert_eq!(kept.or(module.reading.part_number.clone()), part.map(Into::into), "{place}");
}

#[test]
fn every_slot_of_every_machine_is_read_as_its_record_says() {
    let mut slots = 0;
    for machine in machines() {
        let snapshot = read(&machine.table.bytes());
        assert_eq!(snapshot.slots.len(), machine.table.devices.len(), "{}", machine.id);
        assert_eq!(snapshot.processors.len(), machine.table.processors.len(), "{}", machine.id);
        assert_eq!(snapshot.arrays.len(), machine.table.arrays.len(), "{}", machine.id);
        for (device, slot) in machine.table.devices.iter().zip(&snapshot.slots) {
            agrees(&machine.id, device, slot);
            slots += 1;
        }
    }
    assert!(slots > 4000, "{slots}");
}

#[test]
fn what_is_no_slot_for_memory_is_told_apart_with_and_without_its_array() {
    for mut machine in machines() {
        for as_system in [false, true] {
            if as_system {
                machine.table.arrays.iter_mut().for_each(|a| a.used = 3);
            }
            let snapshot = read(&machine.table.bytes());
            let found = snapshot.slots.iter().filter(|s| s.state == SlotState::NotMemory).map(|s| s.handle.to_string());
            let found: Vec<String> = found.collect();
            if let Some(truth) = &machine.truth {
                assert_eq!(found, truth.not_memory_slots, "{} {as_system}", machine.id);
            }
        }
    }
}

#[test]
fn what_is_read_is_written_and_read_back_the_same() {
    for machine in machines() {
        let first = read(&machine.table.bytes());
        let again = read(&write(&first));
        let plain = |mut s: Snapshot| {
            s.notes.clear();
            s.arrays.iter_mut().for_each(|a| a.devices = a.devices.or(Some(0)));
            for module in s.slots.iter_mut().filter_map(|slot| slot.module.as_mut()) {
                module.reading.oddities.iter_mut().for_each(|o| o.offset = None);
            }
            s
        };
        let (again, first) = (plain(again), plain(first));
        for (a, b) in again.slots.iter().zip(&first.slots) {
            assert_eq!(a, b, "{}", machine.id);
        }
        assert!(again == first, "{}", machine.id);
    }
}

#[test]
fn makers_given_as_codes_get_their_names_and_keep_the_code() {
    let (mut coded, mut named) = (0, 0);
    for machine in machines() {
        for slot in read(&machine.table.bytes()).slots {
            let Some(module) = slot.module else { continue };
            let Some(raw) = module.reported.iter().find(|r| r.field == ReportedField::Maker) else { continue };
            let digits = raw.text.trim().trim_start_matches("0x");
            if digits.len() >= 4 && digits.bytes().all(|b| b.is_ascii_hexdigit()) && digits.bytes().any(|b| b != b'F') {
                coded += 1;
                named += usize::from(module.reading.maker.is_some_and(|m| m.name.is_some() && m.id.is_some()));
            }
        }
    }
    assert!(coded > 300, "{coded} coded makers");
    assert_eq!(named, coded);
}

#[test]
fn raw_servers_are_read_whole() {
    let cases = [
        // file, processors with one in, slots, GiB, rated, running
        ("2s-24slot-ddr4.bin", 1, 24, 32, 2400, Some(1866)),
        ("2s-16slot-ddr3.bin", 2, 16, 64, 1333, Some(1333)),
        ("4s-32slot-ddr3.bin", 4, 32, 128, 1333, None),
        ("1s-4slot-ddr4.bin", 1, 4, 64, 2400, Some(2400)),
        ("1s-2slot-ddr5-sm3.bin", 1, 2, 16, 5600, Some(4800)),
        ("1s-2slot-winheader.bin", 1, 2, 16, 2400, Some(2400)),
    ];
    for (file, processors, slots, gib, rated, running) in cases {
        let snapshot = read(&raw(file));
        assert_eq!(snapshot.processors.iter().filter(|p| p.present == Some(true)).count(), processors, "{file}");
        assert_eq!((snapshot.slots.len(), snapshot.installed()), (slots, Capacity::from_gib(gib)), "{file}");
        assert_eq!(snapshot.total, Some(Capacity::from_gib(gib)), "{file}");
        for module in snapshot.slots.iter().filter_map(|s| s.module.as_ref()) {
            assert_eq!(module.rated.map(|r| r.rate), Some(DataRate::from_mts(rated)), "{file}");
            assert_eq!(module.running.map(|r| r.rate.mts()), running, "{file}");
        }
        assert!(snapshot.arrays.iter().all(|a| a.role == ArrayRole::System), "{file}");
    }
    let registered = read(&raw("4s-32slot-ddr3.bin"));
    let module = registered.slots.first().and_then(|s| s.module.as_ref()).expect("a module");
    assert_eq!((module.reading.kind, module.rated.map(|r| r.raw)), (Some(Kind::Rdimm), Some(667)));
}

#[test]
fn a_table_out_of_step_says_so_and_is_read_where_it_is_in_step_again() {
    let snapshot = read(&raw("vm-odd.bin"));
    assert!(
        snapshot.notes.iter().any(|n| n.offset == Some(478) && n.what.contains("out of step")),
        "{:?}",
        snapshot.notes
    );
    assert!(snapshot.notes.iter().all(|n| !n.what.contains("no memory device")));
    assert_eq!(snapshot.installed(), Capacity::from_gib(4));
}
