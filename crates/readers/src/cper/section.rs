//! The memory error section (UEFI specification, N.2.5): 80 bytes, 73 in UEFI 2.1 and 2.2. Offsets and validity bits as the
//! Linux kernel's include/linux/cper.h has them (seen).

use super::{ORIGIN, u16_at, u64_at};
use domain::{ErrorEvent, ErrorPlace, Gravity};

/// A5BC1114-6F64-4EDE-B863-3E83ED7C83B1 as it lies in memory.
pub const GUID: [u8; 16] =
    [0x14, 0x11, 0xBC, 0xA5, 0x64, 0x6F, 0xDE, 0x4E, 0xB8, 0x63, 0x3E, 0x83, 0xED, 0x7C, 0x83, 0xB1];
/// Bytes of the section, and of its first form.
pub const FULL: usize = 80;
pub const OLD: usize = 73;

/// Validity bits.
mod valid {
    pub const ADDRESS: u32 = 1;
    pub const NODE: u32 = 3;
    pub const CARD: u32 = 4;
    pub const MODULE: u32 = 5;
    pub const BANK: u32 = 6;
    pub const DEVICE: u32 = 7;
    pub const ROW: u32 = 8;
    pub const COLUMN: u32 = 9;
    pub const BIT: u32 = 10;
    pub const TYPE: u32 = 14;
    pub const RANK: u32 = 15;
    pub const MODULE_HANDLE: u32 = 17;
    pub const ROW_EXTENDED: u32 = 18;
    pub const BANK_GROUP: u32 = 19;
    pub const BANK_ADDRESS: u32 = 20;
    pub const CHIP: u32 = 21;
}

/// Kinds of error by their number (seen).
pub(super) const KINDS: [(&str, Gravity); 16] = [
    ("an error of unknown kind", Gravity::Notice),
    ("no error", Gravity::Notice),
    ("one bit, corrected by ECC", Gravity::Corrected),
    ("several bits, beyond ECC", Gravity::Uncorrected),
    ("one device, corrected by symbol", Gravity::Corrected),
    ("several devices, beyond correction by symbol", Gravity::Uncorrected),
    ("a request that nobody answered (master abort)", Gravity::Uncorrected),
    ("a request that was refused (target abort)", Gravity::Uncorrected),
    ("parity", Gravity::Uncorrected),
    ("no answer in time (watchdog)", Gravity::Uncorrected),
    ("an address that is not there", Gravity::Uncorrected),
    ("a mirror is broken", Gravity::Notice),
    ("a spare was taken into use", Gravity::Notice),
    ("corrected while scrubbing", Gravity::Corrected),
    ("found while scrubbing, beyond correction", Gravity::Uncorrected),
    ("a part of memory was put out of use", Gravity::Notice),
];

/// Reads a section; `None` where it is shorter than its first form.
pub fn section(bytes: &[u8]) -> Option<ErrorEvent> {
    if bytes.len() < OLD {
        return None;
    }
    let bits = u64_at(bytes, 0)?;
    let is = |bit: u32| bits >> bit & 1 == 1;
    let word = |bit: u32, at: usize| if is(bit) { u16_at(bytes, at) } else { None };
    let full = bytes.len() >= FULL;
    let extended = if full { bytes.get(73).copied() } else { None };
    let late = |bit: u32, at: usize| if full { word(bit, at) } else { None };
    // Bits 17:16 of the row lie in bits 1:0 of the extended byte.
    let high = extended.filter(|_| is(valid::ROW_EXTENDED)).map_or(0, |e| u32::from(e & 3) << 16);
    let row = if is(valid::ROW) || is(valid::ROW_EXTENDED) { u16_at(bytes, 42) } else { None };
    let bank = u16_at(bytes, 38)?;
    let split = is(valid::BANK_GROUP) || is(valid::BANK_ADDRESS);
    let place = ErrorPlace {
        handle: late(valid::MODULE_HANDLE, 78),
        name: None,
        node: word(valid::NODE, 32),
        card: word(valid::CARD, 34),
        module: word(valid::MODULE, 36),
        rank: late(valid::RANK, 74),
        device: word(valid::DEVICE, 40),
        bank_group: is(valid::BANK_GROUP).then_some((bank >> 8) as u8),
        bank: if split { is(valid::BANK_ADDRESS).then_some(bank & 0xFF) } else { word(valid::BANK, 38) },
        row: row.map(|low| high | u32::from(low)),
        column: word(valid::COLUMN, 44),
        bit: word(valid::BIT, 46),
        address: if is(valid::ADDRESS) { u64_at(bytes, 16) } else { None },
        sensor: None,
    };
    let mut notes = Vec::new();
    if let Some(chip) = extended.filter(|_| is(valid::CHIP)) {
        notes.push(format!("chip {} of a stack", chip >> 5));
    }
    let kind = bytes.get(72).copied().filter(|_| is(valid::TYPE));
    let known = kind.and_then(|k| KINDS.get(usize::from(k)));
    if let (Some(kind), None) = (kind, known) {
        notes.push(format!("kind {kind} has no meaning in the specification that is known here"));
    }
    let (what, gravity) = known.copied().unwrap_or(KINDS[0]);
    Some(ErrorEvent { origin: ORIGIN, at: None, gravity, what: what.to_string(), place, notes, offset: 0 })
}
