//! SMBIOS tables (DMTF DSP0134): what a machine says of its processors and memory. Field offsets are those of DSP0134
//! 3.7; what is damaged or contradicts itself is a note, and reading goes on.

mod array;
mod checks;
mod device;
mod error;
mod locate;
mod machine;
mod module_identity;
mod placeholder;
mod range;
mod rate;
mod records;
mod structure;
mod system;
mod walk;
mod widths;
pub mod write;

pub use error::SmbiosError;

use domain::{Origin, Snapshot};

/// Does this look like an SMBIOS table, alone or behind an entry point or header?
pub fn recognises(bytes: &[u8]) -> bool {
    bytes.len() >= 6 && locate::locate(bytes).is_ok()
}

/// Reads a table: alone as the kernel offers it, behind an entry point (`_SM_`, `_SM3_`) or the 8-byte header of a
/// firmware-table call, or inside the dump of a memory area.
///
/// # Errors
/// There are no bytes, no table is found in them, or only an entry point.
pub fn read(bytes: &[u8]) -> Result<Snapshot, SmbiosError> {
    let located = locate::locate(bytes)?;
    let walked = walk::walk(located.table, located.offset);
    let mut snapshot = Snapshot { origins: vec![Origin::Smbios], ..Snapshot::default() };
    machine::fill(&walked, &located, &mut snapshot);
    Ok(snapshot)
}
