//! `snapshot`: what this machine, or the file system under a root folder, says of its memory → one snapshot.

use crate::failure::Failure;
use crate::root::{self, Root};
use domain::reading::ModuleReading;
use domain::snapshot::{ErrorCounts, Note, SeenSlot};
use domain::{Origin, Snapshot};
use std::io::ErrorKind;
use std::path::PathBuf;

/// The table as the kernel offers it, and the entry point beside it.
pub const TABLE: &str = "sys/firmware/dmi/tables/DMI";
const ENTRY: &str = "sys/firmware/dmi/tables/smbios_entry_point";
/// The kernel's drivers of SPD memories: DDR4 and DDR5.
const SPD_DRIVERS: [&str; 2] = ["sys/bus/i2c/drivers/ee1004", "sys/bus/i2c/drivers/spd5118"];

/// Takes the snapshot; what is not there or may not be read is a note in it. `folder` is the root, this machine's if not
/// given.
///
/// # Errors
/// The root folder is not there.
pub fn take(folder: Option<PathBuf>) -> Result<Snapshot, Failure> {
    let here = folder.is_none();
    let root = Root::new(folder);
    if !root.is_there() {
        return Err(Failure::NoRoot { folder: root.path("") });
    }
    let mut snapshot = table(&root);
    snapshot.taken = here.then(root::now);
    let (counts, notes) = readers::edac::read(&root.counters());
    snapshot.errors = counts;
    for odd in notes {
        let file = odd.place.unwrap_or_default();
        note(&mut snapshot, format!("{}/{file}", root.path(readers::edac::FOLDER)), &odd.what);
    }
    match &snapshot.errors {
        ErrorCounts::NotRead => {
            note(&mut snapshot, root.path(readers::edac::FOLDER), "this kernel counts no memory errors (no EDAC)");
        }
        ErrorCounts::NoDriver => {
            let what = "no EDAC driver is loaded, so errors are not counted: that is not the same as no errors";
            note(&mut snapshot, root.path(readers::edac::FOLDER), what);
        }
        ErrorCounts::Read(_) => snapshot.origins.push(Origin::Edac),
    }
    contents(&root, &mut snapshot);
    Ok(snapshot)
}

/// This machine's error counters.
pub fn counters() -> ErrorCounts {
    readers::edac::read(&Root::new(None).counters()).0
}

/// Did any source say anything?
pub fn is_empty(snapshot: &Snapshot) -> bool {
    snapshot.origins.is_empty()
}

fn note(snapshot: &mut Snapshot, place: String, what: &str) {
    snapshot.notes.push(Note { offset: None, place: Some(place), what: what.to_string() });
}

fn table(root: &Root) -> Snapshot {
    let mut snapshot = Snapshot::default();
    let table = match root.bytes(TABLE) {
        Ok(table) => table,
        Err(error) => {
            let why = why(&error, "this machine has no SMBIOS table, or its kernel does not offer it");
            note(&mut snapshot, root.path(TABLE), &why);
            return snapshot;
        }
    };
    // With the entry point in front its length and checksum are checked too.
    let entry = root.bytes(ENTRY).unwrap_or_default();
    let both = readers::smbios::read(&[entry.as_slice(), &table].concat());
    match both.or_else(|_| readers::smbios::read(&table)) {
        Ok(read) => read,
        Err(error) => {
            note(&mut snapshot, root.path(TABLE), &format!("{error}; {}", error.hint()));
            snapshot
        }
    }
}

fn why(error: &std::io::Error, missing: &str) -> String {
    match error.kind() {
        ErrorKind::PermissionDenied => "only root may read this: run the command with sudo, or as root".to_string(),
        ErrorKind::NotFound => missing.to_string(),
        _ => format!("can't be read: {error}"),
    }
}

/// Reads the modules' own memories, and puts what they say to the slot with the same serial number.
fn contents(root: &Root, snapshot: &mut Snapshot) {
    let mut found = false;
    for driver in SPD_DRIVERS {
        for device in root.names(driver).unwrap_or_default() {
            let path = format!("{driver}/{device}/eeprom");
            let bytes = match root.bytes(&path) {
                Ok(bytes) => bytes,
                Err(error) if error.kind() == ErrorKind::NotFound => continue,
                Err(error) => {
                    note(snapshot, root.path(&path), &why(&error, ""));
                    continue;
                }
            };
            found = true;
            match readers::spd::read(&bytes) {
                Ok(spd) => place(&spd.reading(), &root.path(&path), snapshot),
                Err(error) => note(snapshot, root.path(&path), &format!("no SPD contents: {error}")),
            }
        }
    }
    if !found {
        let what = "no SPD memories are offered: the driver ee1004 (DDR4) or spd5118 (DDR5) is not loaded, or the board hides them";
        note(snapshot, root.path("sys/bus/i2c/drivers"), what);
    }
}

fn place(spd: &ModuleReading, path: &str, snapshot: &mut Snapshot) {
    let same = |slot: &SeenSlot| {
        let seen = slot.module.as_ref().map(|m| &m.reading);
        let serials = seen.and_then(|r| r.serial.as_deref()).zip(spd.serial.as_deref());
        serials.is_some_and(|(a, b)| a.eq_ignore_ascii_case(b))
    };
    let slots: Vec<usize> = snapshot.slots.iter().enumerate().filter(|(_, s)| same(s)).map(|(i, _)| i).collect();
    if !snapshot.origins.contains(&Origin::Spd) {
        snapshot.origins.push(Origin::Spd);
    }
    let module = match slots.as_slice() {
        [one] => snapshot.slots.get_mut(*one).and_then(|slot| slot.module.as_mut()),
        _ => None,
    };
    match module {
        Some(module) => fill(&mut module.reading, spd),
        None => {
            let known = [spd.label.as_deref(), spd.part_number.as_deref(), spd.serial.as_deref()];
            let words: Vec<&str> = known.into_iter().flatten().collect();
            let count = slots.len();
            let what =
                format!("a module's own memory ({}), whose serial number {count} slots report", words.join(", "));
            note(snapshot, path.to_string(), &what);
        }
    }
}

/// Adds what the machine's report lacks; what it says stays.
fn fill(seen: &mut ModuleReading, spd: &ModuleReading) {
    macro_rules! lacking {
        ($($field:ident)*) => { $(if seen.$field.is_none() { seen.$field.clone_from(&spd.$field); })* };
    }
    lacking!(generation kind form capacity package_ranks stack_height dual_die device_width ecc_bits die_density rate
        clocks grade voltage height raw_card spd_revision temperature_range thermal_sensor dram_rows maker dram_maker
        register_maker part_number made location label);
    seen.rates.clone_from(&spd.rates);
    seen.checksums.clone_from(&spd.checksums);
    seen.oddities.extend(spd.oddities.iter().cloned());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_spd_goes_to_the_slot_with_its_serial_number() {
        let seen = |serial: &str| SeenSlot {
            origin: Origin::Smbios,
            handle: serial.into(),
            array: None,
            name: String::new().into(),
            bank: None,
            location: domain::snapshot::Location::default(),
            processor: None,
            state: domain::snapshot::SlotState::Filled,
            module: Some(domain::snapshot::SeenModule {
                reading: ModuleReading {
                    serial: Some(serial.into()),
                    package_ranks: Some(1),
                    ..ModuleReading::default()
                },
                ..domain::snapshot::SeenModule::default()
            }),
        };
        let mut snapshot = Snapshot { slots: vec![seen("1a2b"), seen("3c4d")], ..Snapshot::default() };
        let spd = ModuleReading {
            serial: Some("3C4D".into()),
            device_width: Some(4),
            package_ranks: Some(2),
            ..ModuleReading::default()
        };
        place(&spd, "x", &mut snapshot);
        let widths: Vec<_> = snapshot.slots.iter().flat_map(|s| &s.module).map(|m| m.reading.device_width).collect();
        assert_eq!(widths, [None, Some(4)]);
        let kept = snapshot.slots.get(1).and_then(|s| s.module.as_ref()).and_then(|m| m.reading.package_ranks);
        assert_eq!(kept, Some(1));
        place(&ModuleReading { serial: Some("FFFF".into()), ..spd }, "y", &mut snapshot);
        assert!(snapshot.notes.iter().any(|n| n.what.contains("0 slots report")));
    }
}
