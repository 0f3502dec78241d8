//! Module types: what the standards' codes mean, and the letter that a label has for one.

use domain::Kind;
use domain::reading::Form;

/// DDR3 module types (Annex K byte 3; 4, 6, 7, 9, 10, 12, 13 from memory).
pub const DDR3_TYPES: &[(u64, &str)] = &[
    (1, "RDIMM"),
    (2, "UDIMM"),
    (3, "SODIMM"),
    (4, "micro-DIMM"),
    (5, "mini-RDIMM"),
    (6, "mini-UDIMM"),
    (7, "mini-CDIMM"),
    (8, "72-bit SO-UDIMM"),
    (9, "72-bit SO-RDIMM"),
    (10, "72-bit SO-CDIMM"),
    (11, "LRDIMM"),
    (12, "16-bit SODIMM"),
    (13, "32-bit SODIMM"),
];
/// DDR4 module types (Annex L byte 3).
pub const DDR4_TYPES: &[(u64, &str)] = &[
    (0, "extended type"),
    (1, "RDIMM"),
    (2, "UDIMM"),
    (3, "SODIMM"),
    (4, "LRDIMM"),
    (5, "mini-RDIMM"),
    (6, "mini-UDIMM"),
    (8, "72-bit SO-RDIMM"),
    (9, "72-bit SO-UDIMM"),
    (12, "16-bit SODIMM"),
    (13, "32-bit SODIMM"),
];
/// DDR5 module types (JESD400-5 byte 3; 5, 6 and 8 from memory).
pub const DDR5_TYPES: &[(u64, &str)] = &[
    (1, "RDIMM"),
    (2, "UDIMM"),
    (3, "SODIMM"),
    (4, "LRDIMM"),
    (5, "CUDIMM"),
    (6, "CSODIMM"),
    (7, "MRDIMM"),
    (8, "CAMM2"),
    (10, "DDIMM"),
    (11, "soldered down"),
];
/// Media of hybrid modules.
pub const MEDIA: &[(u64, &str)] = &[(0, "none"), (1, "NVDIMM-N"), (2, "NVDIMM-P"), (3, "NVDIMM-H")];
/// Temperature ranges of DDR5 modules, as labels have them (JESD400-5 byte 233).
pub const TEMPERATURES: &[(u64, &str)] =
    &[(0, "A1T"), (1, "A2T"), (2, "A3T"), (3, "IT"), (4, "ST"), (5, "ET"), (6, "RT"), (7, "NT"), (8, "XT")];

/// The word of a code.
pub fn word(codes: &'static [(u64, &'static str)], code: u8) -> Option<&'static str> {
    codes.iter().find(|(c, _)| *c == u64::from(code)).map(|(_, w)| *w)
}

/// How a type's own section is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layout {
    Unbuffered,
    Registered,
    LoadReduced,
    Multiplexed,
    /// A differential module, a soldered-down memory, or a type that is not known.
    Other,
}

/// What a type's name says of the module.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outline {
    pub layout: Layout,
    pub form: Option<Form>,
}

/// Works out an outline from a type's name, which the tables above share between generations.
pub fn outline(name: Option<&str>) -> Outline {
    use Layout::{LoadReduced, Multiplexed, Other, Registered, Unbuffered};
    let (layout, form) = match name.unwrap_or_default() {
        "RDIMM" => (Registered, Some(Form::Dimm)),
        "mini-RDIMM" => (Registered, Some(Form::MiniDimm)),
        "72-bit SO-RDIMM" => (Registered, Some(Form::Sodimm)),
        "LRDIMM" => (LoadReduced, Some(Form::Dimm)),
        "MRDIMM" => (Multiplexed, Some(Form::Dimm)),
        "UDIMM" | "CUDIMM" => (Unbuffered, Some(Form::Dimm)),
        "mini-UDIMM" | "micro-DIMM" | "mini-CDIMM" => (Unbuffered, Some(Form::MiniDimm)),
        "SODIMM" | "CSODIMM" | "72-bit SO-UDIMM" | "72-bit SO-CDIMM" | "16-bit SODIMM" | "32-bit SODIMM" => {
            (Unbuffered, Some(Form::Sodimm))
        }
        "CAMM2" => (Unbuffered, Some(Form::Camm2)),
        "DDIMM" => (Other, Some(Form::Dimm)),
        "soldered down" => (Other, Some(Form::SolderedDown)),
        _ => (Other, None),
    };
    Outline { layout, form }
}

/// The kind of a module with this layout.
pub fn kind(layout: Layout, stacked: bool, hybrid: bool) -> Option<Kind> {
    if hybrid {
        return Some(Kind::Nonvolatile);
    }
    match (layout, stacked) {
        (Layout::Unbuffered, _) => Some(Kind::Udimm),
        (Layout::Registered, false) => Some(Kind::Rdimm),
        (Layout::Registered, true) => Some(Kind::Rdimm3ds),
        (Layout::LoadReduced, false) => Some(Kind::Lrdimm),
        (Layout::LoadReduced, true) => Some(Kind::Lrdimm3ds),
        (Layout::Multiplexed, _) => Some(Kind::Mrdimm),
        (Layout::Other, _) => None,
    }
}

/// The letter of a label for a type; `None` where none is known. T, for an SODIMM with ECC, and M from memory.
pub fn letter(name: Option<&str>, ecc: bool) -> Option<char> {
    match name? {
        "RDIMM" => Some('R'),
        "LRDIMM" => Some('L'),
        "MRDIMM" => Some('M'),
        "UDIMM" => Some(if ecc { 'E' } else { 'U' }),
        "SODIMM" => Some(if ecc { 'T' } else { 'S' }),
        "72-bit SO-UDIMM" => Some('T'),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_named_type_but_the_extended_one_has_an_outline() {
        for (_, name) in DDR3_TYPES.iter().chain(DDR4_TYPES).chain(DDR5_TYPES) {
            assert_eq!(outline(Some(name)).form.is_none(), *name == "extended type", "{name}");
        }
        assert_eq!(outline(None).layout, Layout::Other);
    }
}
