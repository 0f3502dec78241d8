//! Types 0 to 2, which name the machine and its firmware, and type 4, the processor sockets.

use super::machine::note;
use super::placeholder;
use super::structure::{Structure, handle};
use domain::reading::Text;
use domain::snapshot::{Note, SeenProcessor};
use domain::{Origin, Snapshot};

/// Firmware (type 0), system (1), board (2): the first of each counts, and the board only where the system says nothing.
pub(super) fn read(structure: &Structure<'_>, snapshot: &mut Snapshot) {
    match structure.kind {
        0 if snapshot.firmware.is_none() => snapshot.firmware = meaning(structure, 0x05),
        1 => {
            let named = product(structure);
            if named.is_some() {
                snapshot.system = named;
            }
        }
        2 if snapshot.system.is_none() => snapshot.system = product(structure),
        _ => {}
    }
}

fn product(structure: &Structure<'_>) -> Option<String> {
    let (maker, product) = (meaning(structure, 0x04), meaning(structure, 0x05)?);
    Some(match maker {
        Some(maker) => format!("{maker} {product}"),
        None => product,
    })
}

fn meaning(structure: &Structure<'_>, at: usize) -> Option<String> {
    let text = structure.string(at)?;
    let trimmed = text.trim();
    (!placeholder::is(trimmed)).then(|| trimmed.to_string())
}

/// A processor socket; `None` where the structure is no central processor.
pub(super) fn processor(structure: &Structure<'_>, base: usize, notes: &mut Vec<Note>) -> Option<SeenProcessor> {
    /// Processor Type: central processor (DSP0134 3.7, 7.5.1); 1 and 2 are other and unknown.
    const FOREIGN: std::ops::RangeInclusive<u8> = 4..=6;
    if structure.byte(0x05).is_some_and(|kind| FOREIGN.contains(&kind)) {
        return None;
    }
    let strings = structure.strings();
    let text = |at: usize| structure.byte(at).and_then(|n| strings.get(n));
    let status = structure.byte(0x18);
    let present = status.map(|s| s & 0x40 != 0);
    let name = text(0x04).map(Text::from).unwrap_or_default();
    if present == Some(true) && matches!(status.map(|s| s & 7), Some(2 | 3)) {
        let by = if status.map(|s| s & 7) == Some(3) { "the firmware (a fault at self-test)" } else { "the user" };
        notes.push(note(structure, base, format!("the processor in `{}` is disabled by {by}", name.trim())));
    }
    let model = text(0x10).map(|m| m.trim().to_string()).filter(|m| present != Some(false) && !placeholder::is(m));
    // Core Count 0xFF means: see Core Count 2 (DSP0134 3.7, 7.5.6).
    let cores = match structure.byte(0x23) {
        Some(0xFF) => structure.word(0x2A).map(u32::from).or(Some(0xFF)),
        few => few.map(u32::from),
    };
    Some(SeenProcessor {
        origin: Origin::Smbios,
        handle: handle(structure.handle),
        name,
        model,
        present,
        cores: cores.filter(|c| *c != 0 && present != Some(false)),
    })
}
