//! Common platform error records of UEFI (UEFI specification, appendix N): their memory error sections → events.
//! Takes records one behind another, as error stores keep them, or one bare section.

mod second;
mod section;

pub use second::{BYTES as SECOND, GUID as SECOND_GUID, second};
pub use section::{FULL, GUID, OLD, section};

use domain::reading::Origin;
use domain::{ErrorEvent, Gravity};

/// Bytes of a record's header (N.2.1) and of a section's descriptor (N.2.2), from memory of the specification.
const HEADER: usize = 128;
const DESCRIPTOR: usize = 72;
/// A record starts so; the four bytes behind its revision are all ones.
const SIGNATURE: &[u8] = b"CPER";

/// Why nothing can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CperError {
    #[error(
        "it does not start with `CPER`, and has not the {OLD}, {FULL} or {SECOND} bytes of one memory error section"
    )]
    NoRecord,
    #[error("the record has no memory error section")]
    NoMemory,
}

impl CperError {
    /// What to do next, in one clause.
    pub fn hint(self) -> &'static str {
        match self {
            Self::NoRecord => "give a record as the firmware's error store or the kernel's pstore keeps it",
            Self::NoMemory => "it tells of another part of the machine: processor, bus or firmware",
        }
    }
}

/// Events of a file, and what was odd about it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Records {
    pub events: Vec<ErrorEvent>,
    pub notes: Vec<String>,
}

/// Is this a record?
pub fn recognises(bytes: &[u8]) -> bool {
    bytes.starts_with(SIGNATURE) && bytes.get(6..10) == Some(&[0xFF; 4])
}

/// Reads all records, or one bare section.
///
/// # Errors
/// It is neither, or no section tells of memory.
pub fn read(bytes: &[u8]) -> Result<Records, CperError> {
    if !recognises(bytes) {
        let bare = match bytes.len() {
            OLD | FULL => section(bytes),
            SECOND => second(bytes),
            _ => None,
        };
        let bare = bare.ok_or(CperError::NoRecord)?;
        let notes = vec!["a bare section has no time and no severity: told by its kind".to_string()];
        return Ok(Records { events: vec![bare], notes });
    }
    let mut records = Records::default();
    let mut at = 0;
    while let Some(rest) = bytes.get(at..).filter(|rest| recognises(rest)) {
        let length = u32_at(rest, 20).map_or(0, |l| l as usize);
        let whole = if (HEADER..=rest.len()).contains(&length) {
            length
        } else {
            records.notes.push(format!("offset {at}: the record says {length} bytes, {} are there", rest.len()));
            rest.len()
        };
        record(rest.get(..whole).unwrap_or(rest), at, &mut records);
        at += whole;
    }
    if at < bytes.len() {
        records.notes.push(format!("offset {at}: {} bytes behind the last record are passed over", bytes.len() - at));
    }
    if records.events.is_empty() { Err(CperError::NoMemory) } else { Ok(records) }
}

fn record(bytes: &[u8], at: usize, records: &mut Records) {
    let count = usize::from(u16_at(bytes, 10).unwrap_or(0));
    let time = time(bytes);
    let mut others = 0;
    for index in 0..count {
        let from = HEADER + index * DESCRIPTOR;
        let Some(descriptor) = bytes.get(from..from + DESCRIPTOR) else {
            records.notes.push(format!("offset {at}: only {index} of {count} sections are described in the record"));
            break;
        };
        let reader: fn(&[u8]) -> Option<ErrorEvent> = match descriptor.get(16..32) {
            Some(kind) if kind == GUID => section,
            Some(kind) if kind == SECOND_GUID => second,
            _ => {
                others += 1;
                continue;
            }
        };
        let start = u32_at(descriptor, 0).unwrap_or(0) as usize;
        let end = start.saturating_add(u32_at(descriptor, 4).unwrap_or(0) as usize);
        let Some(mut event) = bytes.get(start..end).and_then(reader) else {
            records.notes.push(format!("offset {at}: section {index} lies outside of its record or is cut"));
            continue;
        };
        event.at = time;
        event.offset = (at + start) as u64;
        if let Some(gravity) = u32_at(descriptor, 48).and_then(gravity) {
            event.gravity = gravity;
        }
        // Validation bit 1 (N.2.2): the descriptor carries a name of the part.
        if descriptor.get(10).is_some_and(|v| v & 2 != 0) {
            event.place.name = descriptor.get(52..72).and_then(words);
        }
        records.events.push(event);
    }
    if others > 0 {
        records.notes.push(format!("offset {at}: sections that do not tell of memory: {others}"));
    }
}

/// Severities (N.2.1): 0 recoverable, 1 fatal, 2 corrected, 3 informational (seen).
fn gravity(value: u32) -> Option<Gravity> {
    [Gravity::Uncorrected, Gravity::Fatal, Gravity::Corrected, Gravity::Notice].get(value as usize).copied()
}

/// The record's time stamp: binary-coded decimals, second to century (N.2.1, from memory). Valid by bit 1.
fn time(bytes: &[u8]) -> Option<u64> {
    if u32_at(bytes, 16)? & 2 == 0 {
        return None;
    }
    let bcd = |i: usize| {
        let byte = *bytes.get(24 + i)?;
        let (tens, ones) = (byte >> 4, byte & 15);
        (tens < 10 && ones < 10).then(|| u64::from(tens * 10 + ones))
    };
    let (second, minute, hour) = (bcd(0)?, bcd(1)?, bcd(2)?);
    let (day, month, year) = (bcd(4)?, bcd(5)?, bcd(7)? * 100 + bcd(6)?);
    let sound = second < 60 && minute < 60 && hour < 24 && (1..=31).contains(&day) && (1..=12).contains(&month);
    if !sound || year < 1970 {
        return None;
    }
    // Days since 1970, counting years from March so that the leap day is the last.
    let (y, m) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let days = y * 365 + y / 4 - y / 100 + y / 400 + (m * 153 + 2) / 5 + day - 1 - 719_468;
    Some(days * 86_400 + hour * 3600 + minute * 60 + second)
}

/// Text up to the first zero, without control characters; `None` where nothing is left.
fn words(bytes: &[u8]) -> Option<String> {
    let end = bytes.iter().position(|b| *b == 0).unwrap_or(bytes.len());
    let text = String::from_utf8_lossy(bytes.get(..end)?);
    let text: String = text.trim().chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect();
    (!text.is_empty()).then_some(text)
}

fn array<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..at.checked_add(N)?)?.try_into().ok()
}
fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    array(bytes, at).map(u16::from_le_bytes)
}
fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    array(bytes, at).map(u32::from_le_bytes)
}
fn u64_at(bytes: &[u8], at: usize) -> Option<u64> {
    array(bytes, at).map(u64::from_le_bytes)
}

/// The origin of all events here.
const ORIGIN: Origin = Origin::Cper;
