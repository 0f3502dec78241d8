//! Intel HEX: records of a colon, count, address, type, bytes and a checksum.

use super::{HexText, MOST, TextError};

/// Do the lines that hold anything start with a record's colon, and have nothing but digits behind it?
pub fn looks_like(text: &str) -> bool {
    let mut lines = text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with('#')).peekable();
    let record = |l: &str| l.len() >= 11 && l.starts_with(':') && l.bytes().skip(1).all(|b| b.is_ascii_hexdigit());
    lines.peek().is_some_and(|l| record(l))
}

/// Reads the records up to the closing one.
pub fn read(text: &str) -> Result<HexText, TextError> {
    let (mut bytes, mut told, mut base, mut closed) = (Vec::new(), Vec::new(), 0usize, false);
    let mut notes = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let record = record(at + 1, line)?;
        match record.kind {
            0 => {
                let start = base + record.address;
                let end = start + record.data.len();
                if end > MOST {
                    return Err(TextError::TooFar { line: at + 1, address: start as u64 });
                }
                if bytes.len() < end {
                    bytes.resize(end, 0);
                    told.resize(end, false);
                }
                for (i, byte) in record.data.iter().enumerate() {
                    bytes[start + i] = *byte;
                    told[start + i] = true;
                }
            }
            1 => {
                closed = true;
                break;
            }
            2 | 4 => {
                let high = record.data.iter().fold(0usize, |sum, b| sum << 8 | usize::from(*b));
                base = high << if record.kind == 2 { 4 } else { 16 };
            }
            _ => {}
        }
    }
    if bytes.is_empty() {
        return Err(TextError::Record { line: 1, reason: "no record holds bytes".into() });
    }
    if !closed {
        notes.push("the closing record is missing; the file may be cut off".into());
    }
    let gaps = told.iter().filter(|t| !**t).count();
    if gaps > 0 {
        notes.push(format!("{gaps} bytes are in no record; they stand as 00"));
    }
    Ok(HexText { bytes, notes })
}

struct Record {
    kind: u8,
    address: usize,
    data: Vec<u8>,
}

fn record(line: usize, text: &str) -> Result<Record, TextError> {
    let fault = |reason: &str| TextError::Record { line, reason: reason.to_string() };
    let digits = text.strip_prefix(':').ok_or_else(|| fault("the record's colon is missing"))?;
    let bytes: Option<Vec<u8>> =
        (0..digits.len()).step_by(2).map(|i| u8::from_str_radix(digits.get(i..i + 2)?, 16).ok()).collect();
    let bytes = bytes.ok_or_else(|| fault("the record is not pairs of hexadecimal digits"))?;
    let [count, high, low, kind, data @ .., _] = bytes.as_slice() else {
        return Err(fault("the record is too short"));
    };
    if data.len() != usize::from(*count) {
        return Err(fault(&format!("the record says {count} bytes and holds {}", data.len())));
    }
    if bytes.iter().fold(0u8, |sum, b| sum.wrapping_add(*b)) != 0 {
        return Err(fault("the record's checksum does not hold"));
    }
    Ok(Record { kind: *kind, address: usize::from(*high) << 8 | usize::from(*low), data: data.to_vec() })
}
