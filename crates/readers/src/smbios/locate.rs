//! Where the table lies in the bytes: alone, behind an entry point, behind an 8-byte header, or inside a larger dump.

use super::error::SmbiosError;
use super::walk::plausible;

/// The table's bytes, and where they begin.
#[derive(Debug, Clone, Copy)]
pub(super) struct Located<'a> {
    pub table: &'a [u8],
    pub offset: usize,
    /// What stands in front, with its own word on the table.
    pub front: Front,
}

/// What stands in front of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Front {
    Nothing,
    /// Header of the Windows firmware-table call: it states the exact length.
    Header {
        length: u64,
    },
    /// An entry point. `exact`: 32-bit ones state the length; 64-bit ones only the most.
    Entry(Entry),
}

/// An entry point (DSP0134 3.7, 5.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Entry {
    pub at: usize,
    pub size: usize,
    pub address: u64,
    pub length: u64,
    pub exact: bool,
    pub structures: Option<u16>,
    pub sound: bool,
}

/// Finds the table.
pub(super) fn locate(bytes: &[u8]) -> Result<Located<'_>, SmbiosError> {
    if bytes.is_empty() {
        return Err(SmbiosError::Empty);
    }
    if let Some(entry) = entry_at(bytes, 0) {
        return behind(bytes, entry);
    }
    if let Some(length) = header(bytes) {
        let table = bytes.get(8..).unwrap_or_default();
        let end = usize::try_from(length).map_or(table.len(), |l| l.min(table.len()));
        return Ok(Located { table: &table[..end], offset: 8, front: Front::Header { length } });
    }
    if plausible(bytes, 0) {
        return Ok(Located { table: bytes, offset: 0, front: Front::Nothing });
    }
    // A dump of a memory area holds its entry point on a 16-byte boundary.
    let anchored = (16..bytes.len()).step_by(16).filter_map(|at| entry_at(bytes, at)).find(|e| e.sound);
    match anchored {
        Some(entry) => behind(bytes, entry),
        None => {
            let head: Vec<String> = bytes.iter().take(8).map(|b| format!("{b:02x}")).collect();
            Err(SmbiosError::NotATable { offset: 0, found: head.join(" ") })
        }
    }
}

fn behind(bytes: &[u8], entry: Entry) -> Result<Located<'_>, SmbiosError> {
    let after = entry.at.saturating_add(entry.size);
    let address = usize::try_from(entry.address).ok();
    // The lowest address of the legacy area that entry points are searched in (DSP0134 3.7, 5.2.1).
    let legacy = address.and_then(|a| a.checked_sub(0xF_0000));
    let candidates =
        [address, legacy, Some(after), Some(after.next_multiple_of(16)), Some(entry.at.saturating_add(32))];
    let found = candidates.into_iter().flatten().find(|&at| at >= after && plausible(bytes, at));
    let early = candidates.into_iter().flatten().find(|&at| plausible(bytes, at));
    let Some(offset) = found.or(early) else {
        return Err(SmbiosError::EntryPointOnly { address: entry.address, length: entry.length });
    };
    let rest = bytes.get(offset..).unwrap_or_default();
    let end = usize::try_from(entry.length).map_or(rest.len(), |l| if l == 0 { rest.len() } else { l.min(rest.len()) });
    Ok(Located { table: &rest[..end], offset, front: Front::Entry(entry) })
}

fn number(bytes: &[u8], at: usize, count: usize) -> Option<u64> {
    let field = bytes.get(at..at.checked_add(count)?)?;
    Some(field.iter().rev().fold(0, |n, b| n << 8 | u64::from(*b)))
}

fn entry_at(bytes: &[u8], at: usize) -> Option<Entry> {
    let rest = bytes.get(at..)?;
    let sum = |size: usize| rest.get(..size).is_some_and(|b| b.iter().fold(0u8, |s, x| s.wrapping_add(*x)) == 0);
    if rest.starts_with(b"_SM3_") {
        let size = usize::from(*rest.get(6)?);
        let (length, address) = (number(rest, 0x0C, 4)?, number(rest, 0x10, 8)?);
        return Some(Entry { at, size, address, length, exact: false, structures: None, sound: sum(size) });
    }
    if rest.starts_with(b"_SM_") && rest.get(0x10..0x15)? == b"_DMI_" {
        let size = usize::from(*rest.get(5)?);
        let (length, address) = (number(rest, 0x16, 2)?, number(rest, 0x18, 4)?);
        let structures = u16::try_from(number(rest, 0x1C, 2)?).ok();
        // A known slip of old firmware states 1E for the length 1F (DSP0134 3.7, 5.2.1).
        return Some(Entry { at, size: size.max(0x1F), address, length, exact: true, structures, sound: sum(size) });
    }
    None
}

/// The header: calling method, major, minor, revision, length (32 bits). Its first byte would be a structure's type,
/// its second that structure's length; a version below 4 is no length.
fn header(bytes: &[u8]) -> Option<u64> {
    let length = number(bytes, 4, 4)?;
    let method = *bytes.first()?;
    let major = *bytes.get(1)?;
    let rest = u64::try_from(bytes.len()).ok()?.checked_sub(8)?;
    let fits = length.abs_diff(rest) <= rest / 2 && length > 0;
    (method <= 1 && (2..=3).contains(&major) && fits && plausible(bytes, 8)).then_some(length)
}
