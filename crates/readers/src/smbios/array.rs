//! Type 16, the memory arrays: what they serve, their error correction, their limits.

use super::structure::{Structure, handle};
use domain::Capacity;
use domain::reading::Text;
use domain::snapshot::{ArrayRole, SeenArray};

/// Arrays by handle, for the slots that name them.
pub(super) struct Arrays(Vec<(u16, Facts)>);

/// What the slots of an array need to know of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Facts {
    /// The handle as reports write it.
    pub name: Text,
    pub role: ArrayRole,
    /// Use says non-volatile RAM.
    pub nonvolatile: bool,
    /// Use says video or cache memory.
    pub elsewhere: bool,
    pub ecc: Option<bool>,
}

/// Error correction by its number (DSP0134 3.7, 7.17.3), with Redfish-like plain words.
const ECC: [(u8, &str); 6] =
    [(1, "Other"), (3, "None"), (4, "Parity"), (5, "Single-bit ECC"), (6, "Multi-bit ECC"), (7, "CRC")];

/// The word of an error correction.
pub(super) fn ecc_word(number: u8) -> Option<&'static str> {
    ECC.iter().find(|(n, _)| *n == number).map(|(_, w)| *w)
}
/// The number of an error correction's word; unknown is 2.
pub(super) fn ecc_number(word: Option<&str>) -> u8 {
    word.and_then(|w| ECC.iter().find(|(_, known)| *known == w)).map_or(2, |(n, _)| *n)
}

impl Arrays {
    pub fn gather(structures: &[Structure<'_>]) -> Self {
        Self(structures.iter().filter(|s| s.kind == 16).map(|s| (s.handle, facts(s))).collect())
    }
    pub fn of(&self, handle: u16) -> Option<&Facts> {
        self.0.iter().find(|(h, _)| *h == handle).map(|(_, facts)| facts)
    }
    pub fn one(&self, structure: &Structure<'_>) -> SeenArray {
        let Facts { name, role, .. } = facts(structure);
        SeenArray {
            handle: name,
            role,
            ecc: structure.byte(0x06).and_then(ecc_word).map(str::to_string),
            maximum: maximum(structure),
            devices: structure.word(0x0D),
        }
    }
}

fn facts(structure: &Structure<'_>) -> Facts {
    let used = structure.byte(0x05);
    let role = match used {
        Some(3) => ArrayRole::System,
        Some(5) => ArrayRole::Flash,
        None | Some(0 | 2) => ArrayRole::Unknown,
        Some(_) => ArrayRole::Other,
    };
    let ecc = match structure.byte(0x06) {
        Some(3) => Some(false),
        Some(5 | 6) => Some(true),
        _ => None,
    };
    let name = handle(structure.handle);
    Facts { name, role, nonvolatile: used == Some(6), elsewhere: matches!(used, Some(4 | 7)), ecc }
}

/// In KiB; 0x80000000 means: see the extended field in bytes (DSP0134 3.7, 7.17).
fn maximum(structure: &Structure<'_>) -> Option<Capacity> {
    let mib = match structure.double(0x07)? {
        0x8000_0000 => structure.quad(0x0F)? >> 20,
        kib => u64::from(kib >> 10),
    };
    (mib != 0).then(|| Capacity::from_mib(mib))
}
