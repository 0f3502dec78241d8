//! The structures of one table, each handed to the reader of its type, into one snapshot.

use super::array::Arrays;
use super::checks;
use super::device::{self, Devices};
use super::locate::{Front, Located};
use super::range;
use super::structure::Structure;
use super::system;
use super::walk::Walked;
use domain::Snapshot;
use domain::snapshot::Note;

/// Fills the snapshot from the walked table.
pub(super) fn fill(walked: &Walked<'_>, located: &Located<'_>, snapshot: &mut Snapshot) {
    let base = located.offset;
    snapshot.notes.extend(walked.notes.iter().cloned());
    front(located, walked, &mut snapshot.notes);
    let structures = checks::without_copies(&walked.structures, base, &mut snapshot.notes);
    let arrays = Arrays::gather(&structures);
    let devices = Devices::new(&arrays, &structures);
    snapshot.slots.reserve_exact(structures.iter().filter(|s| s.kind == 17).count());
    snapshot.ranges.reserve_exact(structures.iter().filter(|s| matches!(s.kind, 19 | 20)).count());
    for structure in structures.iter() {
        match structure.kind {
            0..=2 => system::read(structure, snapshot),
            4 => snapshot.processors.extend(system::processor(structure, base, &mut snapshot.notes)),
            16 => snapshot.arrays.push(arrays.one(structure)),
            17 => devices.one(structure, base, &mut snapshot.slots, &mut snapshot.notes),
            19 | 20 => snapshot.ranges.extend(range::read(structure, base, &mut snapshot.notes)),
            _ => {}
        }
    }
    device::blanks(&structures, base, snapshot);
    device::clocks(snapshot);
    checks::all(&structures, walked, base, snapshot);
}

/// What the entry point or header says of the table, against what is there.
fn front(located: &Located<'_>, walked: &Walked<'_>, notes: &mut Vec<Note>) {
    let held = located.table.len() as u64;
    let mut note =
        |offset: usize, what: String| notes.push(Note { offset: u64::try_from(offset).ok(), place: None, what });
    match located.front {
        Front::Nothing => {}
        Front::Header { length } if length != held => {
            note(4, format!("the header states {length} bytes of table, and {held} are there"));
        }
        Front::Header { .. } => {}
        Front::Entry(entry) => {
            if !entry.sound {
                note(entry.at, "the checksum of the entry point is wrong".to_string());
            }
            // A 64-bit entry point states the most that the table may take; a table that ends is whole.
            if entry.length > held && (entry.exact || !walked.ended) {
                note(entry.at, format!("the entry point states {} bytes of table, and {held} are there", entry.length));
            }
            let count = walked.structures.len();
            if entry.structures.is_some_and(|stated| usize::from(stated) != count) {
                let stated = entry.structures.unwrap_or_default();
                note(entry.at, format!("the entry point states {stated} structures, and {count} were read"));
            }
        }
    }
}

/// The place of a note about a structure.
pub(super) fn note(structure: &Structure<'_>, base: usize, what: String) -> Note {
    Note {
        offset: u64::try_from(base + structure.at).ok(),
        place: Some(super::structure::handle(structure.handle).into()),
        what,
    }
}
