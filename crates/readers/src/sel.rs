//! Memory events in a management controller's system event log: records of 16 bytes (IPMI 2.0, table 32-1), the meaning of
//! sensor type 0Ch (table 42-3). Fields of a board maker's own are told as bytes, never guessed.

use domain::reading::Origin;
use domain::{ErrorEvent, ErrorPlace, Gravity};

/// Bytes of a record.
pub const RECORD: usize = 16;
/// Record type 02h: an event with a time. From C0h on they are makers' own.
const SYSTEM: u8 = 0x02;
const OEM: u8 = 0xC0;
/// Sensor type: memory. Event type: by the sensor's own list.
const MEMORY: u8 = 0x0C;
const SENSOR_SPECIFIC: u8 = 0x6F;
/// Times below this count from the controller's start (IPMI 2.0, 37.1, from memory).
const CLOCK_SET: u32 = 0x2000_0000;

/// What the offsets of a memory sensor mean: 00 to 05 and 08 seen, the others from memory of IPMI 2.0, table 42-3.
const OFFSETS: [(&str, Gravity); 11] = [
    ("correctable error", Gravity::Corrected),
    ("uncorrectable error", Gravity::Uncorrected),
    ("parity error", Gravity::Uncorrected),
    ("scrubbing failed (stuck bit)", Gravity::Uncorrected),
    ("a module was put out of use", Gravity::Notice),
    ("so many correctable errors that no more are logged", Gravity::Corrected),
    ("a module was seen", Gravity::Notice),
    ("configuration error", Gravity::Notice),
    ("a spare module", Gravity::Notice),
    ("slowed down by the machine itself", Gravity::Notice),
    ("too hot, critical", Gravity::Notice),
];

/// Why nothing can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SelError {
    #[error("it has {0} bytes, which is no whole number of {RECORD}-byte records")]
    Length(usize),
    #[error("none of its {0} records is an event of a memory sensor")]
    NoMemory(usize),
}

impl SelError {
    /// What to do next, in one clause.
    pub fn hint(self) -> &'static str {
        match self {
            Self::Length(_) => "save the log's raw records, 16 bytes each, one behind another",
            Self::NoMemory(_) => {
                "the log tells of no memory error: look at the kernel's counters and the firmware's records"
            }
        }
    }
}

/// Events of a log, and what was passed over.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Log {
    pub events: Vec<ErrorEvent>,
    pub notes: Vec<String>,
}

/// Are these records of a log? Every record has a known type, and one at least is an event in the current form.
pub fn recognises(bytes: &[u8]) -> bool {
    let whole = !bytes.is_empty() && bytes.len().is_multiple_of(RECORD);
    let typed = |r: &[u8]| matches!(r, [_, _, SYSTEM, _, _, _, _, _, _, 3 | 4, ..] | [_, _, OEM..=0xFF, ..]);
    whole && bytes.chunks_exact(RECORD).all(typed) && bytes.chunks_exact(RECORD).any(|r| r.get(2) == Some(&SYSTEM))
}

/// Reads all records.
///
/// # Errors
/// No whole records, or none of memory.
pub fn read(bytes: &[u8]) -> Result<Log, SelError> {
    if bytes.is_empty() || !bytes.len().is_multiple_of(RECORD) {
        return Err(SelError::Length(bytes.len()));
    }
    let records: Vec<&[u8]> = bytes.chunks_exact(RECORD).collect();
    let events: Vec<ErrorEvent> =
        records.iter().enumerate().filter_map(|(i, r)| event(r, (i * RECORD) as u64)).collect();
    if events.is_empty() {
        return Err(SelError::NoMemory(records.len()));
    }
    let others = records.len() - events.len();
    let notes = if others > 0 { vec![format!("records that are no memory events: {others}")] } else { Vec::new() };
    Ok(Log { events, notes })
}

/// An event of a memory sensor; `None` for all else.
fn event(record: &[u8], offset: u64) -> Option<ErrorEvent> {
    let [_, _, SYSTEM, t0, t1, t2, t3, _, _, _, MEMORY, sensor, kind, data1, data2, data3] = *record else {
        return None;
    };
    if kind & 0x7F != SENSOR_SPECIFIC {
        return None;
    }
    let mut notes = Vec::new();
    let (what, mut gravity) = match OFFSETS.get(usize::from(data1 & 0x0F)) {
        Some((what, gravity)) => ((*what).to_string(), *gravity),
        None => (format!("memory event {:02X}h, which the standard leaves open", data1 & 0x0F), Gravity::Notice),
    };
    if kind & 0x80 != 0 {
        notes.push("the state has gone again".to_string());
        gravity = Gravity::Notice;
    }
    // Bits 7:6 say what byte 2 is, 5:4 what byte 3 is: 10b a maker's own, 11b by the standard.
    for (number, form, byte) in [(2, data1 >> 6, data2), (3, data1 >> 4 & 3, data3)] {
        if form == 2 {
            notes
                .push(format!("byte {number} is the maker's own: {byte:02X}h; the board's manual tells what it means"));
        }
    }
    let place = ErrorPlace {
        // Byte 3: the module's number relative to what the sensor watches (seen).
        module: (data1 >> 4 & 3 == 3).then_some(u16::from(data3)),
        sensor: Some(sensor),
        ..ErrorPlace::default()
    };
    let seconds = u32::from_le_bytes([t0, t1, t2, t3]);
    let at = (CLOCK_SET..u32::MAX).contains(&seconds).then_some(u64::from(seconds));
    if at.is_none() && seconds != u32::MAX {
        notes.push(format!("{seconds} s after the controller started; its clock was not set"));
    }
    Some(ErrorEvent { origin: Origin::Sel, at, gravity, what, place, notes, offset })
}
