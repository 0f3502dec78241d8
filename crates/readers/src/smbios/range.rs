//! Types 19 and 20: which addresses an array or a device serves.

use super::machine::note;
use super::structure::{Structure, handle};
use domain::snapshot::{Note, SeenRange};

/// A range of addresses; `None` where it states none.
pub(super) fn read(structure: &Structure<'_>, base: usize, notes: &mut Vec<Note>) -> Option<SeenRange> {
    let (start, end) = (structure.double(0x04)?, structure.double(0x08)?);
    let (extended, position) = if structure.kind == 19 { (0x0F, 0x0E) } else { (0x13, 0x11) };
    // Addresses in KiB; all ones mean: see the extended fields in bytes (DSP0134 3.7, 7.20, 7.21).
    let (first, last) = if start == u32::MAX {
        (structure.quad(extended)?, structure.quad(extended + 8)?)
    } else {
        (u64::from(start) << 10, (u64::from(end) << 10) + 0x3FF)
    };
    if last < first {
        notes.push(note(structure, base, format!("the range ends before it begins ({first:#x} to {last:#x})")));
        return None;
    }
    if last - first <= 0x3FF && start != u32::MAX {
        // Start and end both 0: firmware that fills nothing in.
        return None;
    }
    let target = structure.word(0x0C).filter(|h| *h != 0xFFFF).map(handle);
    let (array, slot) = if structure.kind == 19 { (target, None) } else { (None, target) };
    let told = structure.byte(position).filter(|p| *p != 0xFF);
    Some(SeenRange { handle: handle(structure.handle), first, last, array, slot, width_or_position: told })
}
