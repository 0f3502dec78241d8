//! What contradicts itself in a table, found when all of it is read.

use super::machine::note;
use super::structure::Structure;
use super::walk::Walked;
use domain::snapshot::{ArrayRole, Note};
use domain::{Capacity, Snapshot};

/// The structures without exact copies under the same handle; a handle used twice otherwise is told.
pub(super) fn without_copies<'a>(all: &[Structure<'a>], base: usize, notes: &mut Vec<Note>) -> Vec<Structure<'a>> {
    let mut seen = vec![0u64; 1024];
    let mut kept: Vec<Structure<'a>> = Vec::with_capacity(all.len());
    let mut copies = 0usize;
    for structure in all {
        let (word, bit) = (usize::from(structure.handle >> 6), 1u64 << (structure.handle & 63));
        let Some(word) = seen.get_mut(word) else { continue };
        if *word & bit != 0 {
            let same = |s: &&Structure<'a>| s.handle == structure.handle;
            if kept.iter().filter(same).any(|s| s.formatted == structure.formatted && s.text == structure.text) {
                copies += 1;
                continue;
            }
            if kept.iter().filter(same).any(|s| s.kind == structure.kind) {
                notes.push(note(
                    structure,
                    base,
                    format!("a second structure of type {} has this handle", structure.kind),
                ));
            }
        }
        *word |= bit;
        kept.push(*structure);
    }
    if copies > 0 {
        let what =
            format!("{copies} structures are there twice with the same handle and contents: each is counted once");
        notes.push(Note { offset: None, place: None, what });
    }
    kept
}

/// Every check of the whole.
pub(super) fn all(walked: &Walked<'_>, base: usize, snapshot: &mut Snapshot) {
    if snapshot.slots.is_empty() {
        let end = walked.structures.last().map_or(base, |s| base + s.at);
        let what = if walked.notes.is_empty() {
            "no memory device (type 17) is listed".to_string()
        } else {
            "no memory device (type 17) was reached before the damage: this table says nothing of the memory"
                .to_string()
        };
        snapshot.notes.push(Note { offset: u64::try_from(end).ok(), place: None, what });
        return;
    }
    twice(snapshot);
    arrays(snapshot);
    names(snapshot);
    faster(snapshot);
    ranges(snapshot);
}

fn tell(snapshot: &mut Snapshot, place: Option<String>, what: String) {
    snapshot.notes.push(Note { offset: None, place, what });
}

/// The same modules listed again under other handles: the serial numbers, which differ from one another, tell.
fn twice(snapshot: &mut Snapshot) {
    let half = snapshot.slots.len() / 2;
    if half == 0 || !snapshot.slots.len().is_multiple_of(2) {
        return;
    }
    let (first, second) = snapshot.slots.split_at(half);
    let alike = first.iter().zip(second).all(|(a, b)| {
        (&a.name, &a.bank, a.state, &a.module.as_ref().map(|m| (&m.reading.serial, &m.reading.part_number)))
            == (&b.name, &b.bank, b.state, &b.module.as_ref().map(|m| (&m.reading.serial, &m.reading.part_number)))
    });
    if !alike {
        return;
    }
    let mut serials: Vec<&str> = first.iter().filter_map(|s| s.module.as_ref()?.reading.serial.as_deref()).collect();
    let count = serials.len();
    serials.sort_unstable();
    serials.dedup();
    if count >= 2 && serials.len() == count {
        snapshot.slots.truncate(half);
        tell(
            snapshot,
            None,
            format!("all {half} slots are listed twice with the same serial numbers: each is counted once"),
        );
    }
}

fn arrays(snapshot: &mut Snapshot) {
    let mut notes = Vec::new();
    let mut lost: Vec<&str> = Vec::new();
    for wanted in snapshot.slots.iter().filter_map(|s| s.array.as_deref()) {
        if !lost.contains(&wanted) && snapshot.arrays.iter().all(|a| a.handle != wanted) {
            lost.push(wanted);
        }
    }
    for wanted in lost {
        let count = snapshot.slots.iter().filter(|s| s.array.as_deref() == Some(wanted)).count();
        notes.push((wanted.to_string(), format!("named as their array by slots ({count}), but not in the table")));
    }
    for array in &snapshot.arrays {
        let of = || snapshot.slots.iter().filter(|s| s.array.as_ref() == Some(&array.handle));
        let count = of().count();
        if let Some(stated) = array.devices.filter(|d| usize::from(*d) != count) {
            notes.push((array.handle.clone(), format!("the array states {stated} devices, and {count} are listed")));
        }
        let held: u64 = of().filter_map(|s| s.module.as_ref()?.reading.capacity).map(Capacity::mib).sum();
        if let Some(most) = array.maximum.filter(|m| m.mib() < held) {
            let held = Capacity::from_mib(held);
            notes
                .push((array.handle.clone(), format!("holds {held}, more than the {most} that it states as its most")));
        }
    }
    for (place, what) in notes {
        tell(snapshot, Some(place), what);
    }
}

fn names(snapshot: &mut Snapshot) {
    let mut names: Vec<(&str, &str)> =
        snapshot.memory_slots().map(|s| (s.name.as_str(), s.bank.as_deref().unwrap_or(""))).collect();
    let count = names.len();
    names.sort_unstable();
    names.dedup();
    let lost = count - names.len();
    if lost > 0 {
        let what =
            format!("slots share name and bank with others ({lost} of {count}): only the handle tells them apart");
        tell(snapshot, None, what);
    }
}

fn faster(snapshot: &mut Snapshot) {
    let modules = snapshot.slots.iter().filter_map(|s| s.module.as_ref());
    let count =
        modules.filter_map(|m| Some((m.running?, m.rated?))).filter(|(now, rated)| now.rate > rated.rate).count();
    if count > 0 {
        tell(snapshot, None, format!("modules reported to run faster than they are rated: {count}"));
    }
}

/// Type 19 ranges of main memory, overlaps counted once, against the modules.
fn ranges(snapshot: &mut Snapshot) {
    let main = |handle: &Option<String>| {
        let of = |h: &String| snapshot.arrays.iter().find(|a| a.handle == *h).map(|a| a.role);
        !matches!(handle.as_ref().and_then(of), Some(ArrayRole::Flash | ArrayRole::Other))
    };
    let mapped = snapshot.ranges.iter().filter(|r| r.slot.is_none() && main(&r.array));
    let mut spans: Vec<(u64, u64)> = mapped.map(|r| (r.first, r.last)).collect();
    if spans.is_empty() {
        return;
    }
    spans.sort_unstable();
    let (mut bytes, mut upto) = (0u64, None::<u64>);
    for (first, last) in spans {
        let from = upto.map_or(first, |u| first.max(u.saturating_add(1)));
        if last >= from {
            bytes = bytes.saturating_add((last - from).saturating_add(1));
        }
        upto = Some(upto.map_or(last, |u| u.max(last)));
    }
    let total = Capacity::from_mib(bytes >> 20);
    snapshot.total = Some(total);
    let installed = snapshot.installed();
    // Firmware rounds and leaves holes below 4 GiB; two hundredths are no sign of anything.
    if installed.mib().abs_diff(total.mib()) > installed.mib() / 50 {
        let what = format!(
            "the address ranges sum up to {total}, the modules to {installed}: mirroring, sparing, a hole in the map, \
             non-volatile modules or a module that is not in use"
        );
        tell(snapshot, None, what);
    }
}
