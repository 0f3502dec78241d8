//! Module labels as JEDEC writes them (JESD21-C 4.19 for DDR3 and DDR4, JESD401-5 for DDR5), read and written.
//!
//! `text → LabelParts` (what is printed) `→ LabelReading` (with what is odd) `→ ModuleReading` or `Module` (what it means).
//! Forgiving of case, spacing, dashes and the order of fields.

mod bus;
pub mod code;
mod error;
mod meaning;
pub(crate) mod nearest;
mod organisation;
mod parts;
mod scan;
pub(crate) mod speed;
mod vocabulary;
mod walk;

pub use error::{Field, LabelError};
pub use meaning::LabelReading;
pub use parts::{EccWord, KindLetter, LabelParts, Letters, Nonvolatile, Ranks, Stacking, SupplyLetter};

use domain::Module;

/// Longest text that is looked at, in characters; a full label has some 45.
pub const LONGEST: usize = 160;

/// Where some fields stood, in characters from 0.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
struct Places {
    capacity: usize,
    ranks: usize,
    speed: usize,
    card: usize,
}

/// Reads a module label such as `64GB 2Rx4 PC4-2933Y-RB2-12`, or what is left of one: `PC4-2933Y-R`.
///
/// # Errors
/// [`LabelError`] names the field, its column and, where a slip explains it, the nearest label that can be read.
pub fn read(text: &str) -> Result<LabelReading, LabelError> {
    read_strictly(text).or_else(|error| match nearest::respaced(text, &error) {
        Some(reading) => Ok(reading),
        None => Err(nearest::offer(text, error)),
    })
}

/// Reads a label that tells the whole module: capacity and organisation have to be there.
///
/// # Errors
/// As [`read`]; a field that is missing with the label that its raw card implies; small-outline and non-volatile modules.
pub fn module(text: &str) -> Result<Module, LabelError> {
    read(text)?.module().map_err(|error| nearest::offer(text, error))
}

/// Writes a label in its full form; [`read`] of it gives the same fields.
pub fn write(reading: &LabelReading) -> String {
    reading.parts.written()
}

/// Reads without looking for slips.
fn read_strictly(text: &str) -> Result<LabelReading, LabelError> {
    scan::scan(text).map(LabelReading::from_scanned)
}
