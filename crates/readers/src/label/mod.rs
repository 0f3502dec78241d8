//! Module labels as JEDEC writes them (JESD21-C 4.19 for DDR3 and DDR4, JESD401-5 for DDR5), read and written.
//!
//! `text → LabelParts` (what is printed) `→ LabelReading` (what it means). Forgiving of case, spacing and dashes.

mod error;
mod meaning;
mod nearest;
mod organisation;
mod parts;
mod scan;
mod speed;
mod walk;

pub use error::{Field, LabelError};
pub use meaning::LabelReading;
pub use parts::{EccWord, KindLetter, LabelParts, Stacking, SupplyLetter};

/// Longest text that is looked at, in characters; a full label has some 45.
pub const LONGEST: usize = 160;

/// Reads a module label such as `64GB 2Rx4 PC4-2933Y-RB2-12` or `128 GB 2S4Rx4 PC5-4800B-R`.
///
/// # Errors
/// [`LabelError`] names the field, its column and, where a slip explains it, the nearest label that can be read.
pub fn read(text: &str) -> Result<LabelReading, LabelError> {
    read_strictly(text).map_err(|error| nearest::offer(text, error))
}

/// Writes a label in its full form; [`read`] of it gives the same reading.
pub fn write(reading: &LabelReading) -> String {
    reading.parts.to_string()
}

/// Reads without looking for slips.
fn read_strictly(text: &str) -> Result<LabelReading, LabelError> {
    let (parts, odd) = scan::scan(text)?;
    let mut reading = LabelReading::from_parts(parts);
    reading.notes.splice(0..0, odd);
    Ok(reading)
}
