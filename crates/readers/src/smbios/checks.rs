//! What contradicts itself in a table, found when all of it is read.

use super::machine::note;
use super::structure::{Structure, handle};
use super::walk::Walked;
use domain::reading::Text;
use domain::snapshot::{ArrayRole, Note};
use domain::{Capacity, Snapshot};
use std::borrow::Cow;

/// The structures without exact copies under the same handle; a handle used twice otherwise is told.
pub(super) fn without_copies<'a, 's>(
    all: &'s [Structure<'a>],
    base: usize,
    notes: &mut Vec<Note>,
) -> Cow<'s, [Structure<'a>]> {
    // A bit a handle; sorting would cost more than all the rest of these checks.
    let mut seen = [0u64; 1024];
    let again = all.iter().any(|structure| {
        let Some(word) = seen.get_mut(usize::from(structure.handle >> 6)) else { return false };
        let bit = 1u64 << (structure.handle & 63);
        let met = *word & bit != 0;
        *word |= bit;
        met
    });
    if !again {
        return Cow::Borrowed(all);
    }
    let mut kept: Vec<Structure<'a>> = Vec::with_capacity(all.len());
    let mut first = vec![usize::MAX; 1 << 16];
    let mut copies = 0usize;
    for structure in all {
        let Some(place) = first.get_mut(usize::from(structure.handle)) else { continue };
        if let Some(earlier) = kept.get(*place) {
            if earlier.formatted == structure.formatted && earlier.text == structure.text {
                copies += 1;
                continue;
            }
            if earlier.kind == structure.kind && matches!(structure.kind, 4 | 16 | 17 | 19 | 20) && notes.len() < MOST {
                notes.push(note(
                    structure,
                    base,
                    format!("a second structure of type {} has this handle", structure.kind),
                ));
            }
        } else {
            *place = kept.len();
        }
        kept.push(*structure);
    }
    if copies > 0 {
        let what =
            format!("{copies} structures are there twice with the same handle and contents: each is counted once");
        notes.push(Note { offset: None, place: None, what });
    }
    Cow::Owned(kept)
}

/// Notes from which on a second structure of one handle is not told any more.
const MOST: usize = 100;

/// Every check of the whole.
pub(super) fn all(structures: &[Structure<'_>], walked: &Walked<'_>, base: usize, snapshot: &mut Snapshot) {
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
    arrays(structures, snapshot);
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

fn arrays(structures: &[Structure<'_>], snapshot: &mut Snapshot) {
    let mut notes = Vec::new();
    let of = |s: &Structure<'_>| s.word(0x04).filter(|h| *h < 0xFFFE);
    let devices: Vec<(u16, u64)> = structures
        .iter()
        .filter(|s| s.kind == 17)
        .zip(&snapshot.slots)
        .filter_map(|(s, slot)| {
            let held = slot.module.as_ref().and_then(|m| m.reading.capacity).map_or(0, Capacity::mib);
            Some((of(s)?, held))
        })
        .collect();
    let there: Vec<u16> = structures.iter().filter(|s| s.kind == 16).map(|s| s.handle).collect();
    let mut lost: Vec<u16> = devices.iter().map(|(array, _)| *array).filter(|a| !there.contains(a)).collect();
    lost.dedup();
    for wanted in lost {
        let count = devices.iter().filter(|(array, _)| *array == wanted).count();
        notes.push((handle(wanted), format!("named as their array by slots ({count}), but not in the table")));
    }
    for (own, array) in there.iter().zip(&snapshot.arrays) {
        let mine = devices.iter().filter(|(array, _)| array == own);
        let (count, held) = mine.fold((0usize, 0u64), |(n, sum), (_, mib)| (n + 1, sum.saturating_add(*mib)));
        if let Some(stated) = array.devices.filter(|d| usize::from(*d) != count) {
            notes.push((array.handle.clone(), format!("the array states {stated} devices, and {count} are listed")));
        }
        if let Some(most) = array.maximum.filter(|m| m.mib() < held) {
            let held = Capacity::from_mib(held);
            notes
                .push((array.handle.clone(), format!("holds {held}, more than the {most} that it states as its most")));
        }
    }
    for (place, what) in notes {
        tell(snapshot, Some(place.into()), what);
    }
}

fn names(snapshot: &mut Snapshot) {
    // A sum over name and bank, eight bytes a step: equal ones meet, and strangers so seldom that a count may bear it.
    // The constants of FNV-1a, and the length so that no end is taken for another.
    const START: u64 = 0xCBF2_9CE4_8422_2325;
    const PRIME: u64 = 0x0100_0000_01B3;
    let step = |sum: u64, word: u64| {
        let mixed = (sum ^ word).wrapping_mul(PRIME);
        mixed ^ mixed >> 29
    };
    let mix = |sum: u64, text: &str| {
        let (words, rest) = text.as_bytes().as_chunks::<8>();
        let sum = words.iter().fold(step(sum, text.len() as u64), |s, w| step(s, u64::from_le_bytes(*w)));
        step(sum, rest.iter().fold(0, |n, b| n << 8 | u64::from(*b)))
    };
    let mut names: Vec<u64> =
        snapshot.memory_slots().map(|s| mix(mix(START, &s.name), s.bank.as_deref().unwrap_or(""))).collect();
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
    let main = |handle: &Option<Text>| {
        let of = |h: &Text| snapshot.arrays.iter().find(|a| a.handle == *h).map(|a| a.role);
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
