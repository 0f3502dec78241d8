//! Hex text of contents in the usual layouts: with or without addresses, text columns, prefixes and comments, as bytes or
//! words, as C arrays, as tables of offset and value, as Intel HEX records.
//!
//! `text → rows` (tokens of a line) `→ layout` (which tokens are addresses) `→ bytes`.

mod error;
mod layout;
mod place;
mod record;
mod row;

pub use error::TextError;

/// Longest text that is looked at, in bytes: far more than any dump of contents.
pub const LONGEST: usize = 1 << 20;
/// Most bytes that a text may place.
pub const MOST: usize = 1 << 16;

/// Bytes out of a hex text, with what was taken for granted on the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HexText {
    pub bytes: Vec<u8>,
    /// Sentences without a full stop: gaps, lines passed over, an order of bytes that was guessed.
    pub notes: Vec<String>,
}

/// Reads a hex text.
///
/// # Errors
/// [`TextError`] where there is no byte, a record does not hold, or an address is beyond 64 KiB.
pub fn read(text: &str) -> Result<HexText, TextError> {
    if text.len() > LONGEST {
        return Err(TextError::TooLong { length: text.len() });
    }
    if text.trim().is_empty() {
        return Err(TextError::Empty);
    }
    if record::looks_like(text) {
        return record::read(text);
    }
    let rows = row::rows(text);
    let laid = layout::lay_out(rows);
    let read = place::place(laid)?;
    if read.bytes.is_empty() {
        let (line, text) = text.lines().enumerate().find(|(_, l)| !l.trim().is_empty()).unwrap_or((0, ""));
        return Err(TextError::NoBytes { line: line + 1, text: text.trim().chars().take(40).collect() });
    }
    Ok(read)
}

/// The bytes of a hex text.
///
/// # Errors
/// As [`read`].
pub fn bytes(text: &str) -> Result<Vec<u8>, TextError> {
    read(text).map(|read| read.bytes)
}

#[cfg(test)]
mod tests;
