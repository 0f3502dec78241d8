//! The second memory error section (UEFI specification 2.10, N.2.6): 96 bytes, with wider numbers and a status of its own.
//! Offsets, validity bits and kinds as the specification prints them (seen).

use super::section::KINDS;
use super::{ORIGIN, u16_at, u32_at, u64_at};
use domain::{ErrorEvent, ErrorPlace, Gravity};

/// 61EC04FC-48E6-D813-25C9-8DAA44750B12 as it lies in memory.
pub const GUID: [u8; 16] =
    [0xFC, 0x04, 0xEC, 0x61, 0xE6, 0x48, 0x13, 0xD8, 0x25, 0xC9, 0x8D, 0xAA, 0x44, 0x75, 0x0B, 0x12];
/// Bytes of the section.
pub const BYTES: usize = 96;

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
    pub const RANK: u32 = 10;
    pub const BIT: u32 = 11;
    pub const CHIP: u32 = 12;
    pub const TYPE: u32 = 13;
    pub const STATUS: u32 = 14;
    pub const MODULE_HANDLE: u32 = 19;
    pub const BANK_GROUP: u32 = 20;
    pub const BANK_ADDRESS: u32 = 21;
}

/// Reads a section; `None` where it is cut short.
pub fn second(bytes: &[u8]) -> Option<ErrorEvent> {
    let bytes = bytes.get(..BYTES)?;
    let bits = u64_at(bytes, 0)?;
    let is = |bit: u32| bits >> bit & 1 == 1;
    let mut notes = Vec::new();
    let short = |bit: u32, at: usize| if is(bit) { u16_at(bytes, at) } else { None };
    let long = |bit: u32, at: usize| if is(bit) { u32_at(bytes, at) } else { None };
    // A number past 16 bits names nothing on a module: it is told and not cut down to another.
    let mut narrow = |bit: u32, at: usize, what: &str| {
        let value = long(bit, at)?;
        let fits = u16::try_from(value).ok();
        if fits.is_none() {
            notes.push(format!("the {what} {value:#x} is past what a module has"));
        }
        fits
    };
    let (device, column) = (narrow(valid::DEVICE, 40, "device"), narrow(valid::COLUMN, 48, "column"));
    let (rank, bit) = (narrow(valid::RANK, 52, "rank"), narrow(valid::BIT, 56, "bit position"));
    let handle = narrow(valid::MODULE_HANDLE, 92, "handle");
    let bank = u16_at(bytes, 38)?;
    let split = is(valid::BANK_GROUP) || is(valid::BANK_ADDRESS);
    let place = ErrorPlace {
        handle,
        name: None,
        node: short(valid::NODE, 32),
        card: short(valid::CARD, 34),
        module: short(valid::MODULE, 36),
        rank,
        device,
        bank_group: is(valid::BANK_GROUP).then_some((bank >> 8) as u8),
        bank: if split { is(valid::BANK_ADDRESS).then_some(bank & 0xFF) } else { short(valid::BANK, 38) },
        row: long(valid::ROW, 44),
        column,
        bit,
        address: if is(valid::ADDRESS) { u64_at(bytes, 16) } else { None },
        sensor: None,
    };
    if let Some(chip) = bytes.get(60).filter(|_| is(valid::CHIP)) {
        notes.push(format!("chip {chip} of a stack"));
    }
    let kind = bytes.get(61).copied().filter(|_| is(valid::TYPE));
    let known = kind.and_then(|k| KINDS.get(usize::from(k)));
    if let (Some(kind), None) = (kind, known) {
        notes.push(format!("kind {kind} has no meaning in the specification that is known here"));
    }
    let (what, mut gravity) = known.copied().unwrap_or(KINDS[0]);
    // Bit 0 of the status: not corrected. Where the kind tells of no data error, it stays what it is.
    if let Some(status) = bytes.get(62).filter(|_| is(valid::STATUS)) {
        match (status & 1, gravity) {
            (1, Gravity::Corrected) => gravity = Gravity::Uncorrected,
            (0, Gravity::Uncorrected) => gravity = Gravity::Corrected,
            (1, Gravity::Notice) if kind.is_none_or(|k| k == 0) => gravity = Gravity::Uncorrected,
            (0, Gravity::Notice) if kind.is_none_or(|k| k == 0) => gravity = Gravity::Corrected,
            _ => {}
        }
    }
    Some(ErrorEvent { origin: ORIGIN, at: None, gravity, what: what.to_string(), place, notes, offset: 0 })
}
