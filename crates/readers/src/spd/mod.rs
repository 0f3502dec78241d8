//! SPD contents of DDR3, DDR4 and DDR5 modules (JEDEC JESD21-C Annex K and L, JESD400-5), read and written.
//!
//! `bytes → Spd` (every field as stored) `→ ModuleReading` (what it means). Tables of fields say where each lies, and
//! both ways go by them; bits in no field are kept as they were.

pub mod card;
pub mod checksum;
mod contents;
pub mod ddr3;
pub mod ddr4;
pub mod ddr5;
mod error;
pub mod grade;
mod kind;
mod label;
pub mod layout;
mod made;
pub mod maker;
mod oddities;
pub mod organisation;
mod reading;
pub mod sections;
pub mod text;
pub mod timing;

pub use contents::{Readout, Spd, read, write};
pub use error::SpdError;
pub use made::Manufacturing;
pub use oddities::NAMES as ODDITIES;
pub use sections::Sections;

/// Fewest bytes that say anything: type and organisation.
pub const LEAST: usize = 16;
