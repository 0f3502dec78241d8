//! What was read of one module, from its label, part number, SPD contents or a machine's report.
//!
//! Every field is there only where the source tells it: a reading never fills in what is usual.

use crate::module::{Generation, Kind};
use crate::quantity::{Capacity, DataRate, DieDensity, Height, Voltage};
use std::fmt;

/// A text as somebody reported it: names, handles, part numbers. Short ones take no heap.
pub use smol_str::SmolStr as Text;

/// What a fact was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    Label,
    PartNumber,
    Spd,
    Smbios,
    Redfish,
    Edac,
    /// A UEFI common platform error record.
    Cper,
    /// A management controller's system event log (IPMI).
    Sel,
}

impl Origin {
    /// All, with the words that reports use.
    pub const ALL: [(Self, &'static str); 8] = [
        (Self::Label, "label"),
        (Self::PartNumber, "part-number"),
        (Self::Spd, "spd"),
        (Self::Smbios, "smbios"),
        (Self::Redfish, "redfish"),
        (Self::Edac, "edac"),
        (Self::Cper, "cper"),
        (Self::Sel, "sel"),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(o, _)| *o == self).map_or("", |(_, w)| w)
    }
    /// Reads its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == text.trim()).map(|(o, _)| *o)
    }
}
impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// The outline of a module; what fits a server's slot is a DIMM.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    Dimm,
    Sodimm,
    MiniDimm,
    Camm2,
    SolderedDown,
}

impl Form {
    /// All, with the trade's names.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Dimm, "DIMM"),
        (Self::Sodimm, "SODIMM"),
        (Self::MiniDimm, "mini-DIMM"),
        (Self::Camm2, "CAMM2"),
        (Self::SolderedDown, "soldered down"),
    ];
    /// The trade's name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(g, _)| *g == self).map_or("", |(_, n)| n)
    }
    /// Reads that name in any case.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| n.eq_ignore_ascii_case(text.trim())).map(|(g, _)| *g)
    }
}

/// A manufacturer's identity by JEDEC JEP106, parity bits taken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MakerId {
    /// Continuation codes before the id: 0 is bank 1.
    pub continuations: u8,
    /// The id within the bank, 1 to 126.
    pub id: u8,
}

/// Who made something: a name, a JEP106 id, or both.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct Maker {
    pub name: Option<Text>,
    pub id: Option<MakerId>,
}

/// When a module was made. The week is 1 to 53 on an honest module; what was read is kept as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Made {
    pub year: u16,
    pub week: u8,
}

/// The JEDEC raw card: the reference layout of the module's board.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct RawCard {
    /// `A`, `B` … `AC` …
    pub letter: String,
    /// `0`, `1` …; a letter on some.
    pub revision: String,
}

/// A checksum as stored and as computed from the bytes that it covers.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Checksum {
    /// What it covers, in words: `base`, `module section`.
    pub name: &'static str,
    pub stored: u16,
    pub computed: u16,
}

impl Checksum {
    /// Do the two agree?
    pub fn holds(&self) -> bool {
        self.stored == self.computed
    }
}

/// CAS latency, RAS-to-CAS delay and row precharge in clocks, at the module's fastest rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Clocks {
    pub cas: u16,
    pub rcd: u16,
    pub rp: u16,
}

/// Something that is not as the standard or a healthy module has it, found while reading.
///
/// `name` is a pattern in words (`checksum-wrong`, `week-impossible`), stable, so that screening can explain it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Oddity {
    pub name: &'static str,
    /// Byte offset in what was read, or column of a text, from 0; `None` where it has no one place.
    pub offset: Option<usize>,
    /// What was seen, with the figures.
    pub seen: String,
}

/// What was read of one module.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ModuleReading {
    pub generation: Option<Generation>,
    pub kind: Option<Kind>,
    pub form: Option<Form>,
    pub capacity: Option<Capacity>,
    /// Package ranks, 1 to 8.
    pub package_ranks: Option<u8>,
    /// Dies of a 3DS stack; 1 where there is none.
    pub stack_height: Option<u8>,
    /// Two or four dies a package that are package ranks, which is never a stack.
    pub dual_die: Option<bool>,
    /// Data bits of one device: 4, 8, 16 or 32.
    pub device_width: Option<u8>,
    /// ECC bits per channel (DDR3, DDR4: 0 or 8) or sub-channel (DDR5: 0, 4 or 8).
    pub ecc_bits: Option<u8>,
    pub die_density: Option<DieDensity>,
    /// The fastest standard rate; for an MRDIMM the host rate.
    pub rate: Option<DataRate>,
    /// In clocks at `rate`.
    pub clocks: Option<Clocks>,
    /// The speed grade as a label has it: `V`, `AA`, `B`.
    pub grade: Option<String>,
    /// Every standard rate that the module supports with its CAS latency in clocks, fastest first.
    pub rates: Vec<(DataRate, u16)>,
    /// The supply voltage that it is made for.
    pub voltage: Option<Voltage>,
    pub height: Option<Height>,
    pub raw_card: Option<RawCard>,
    /// As a label prints it: `12`, `1010`.
    pub spd_revision: Option<String>,
    /// The DDR5 temperature range of the label: `XT`, `NT`.
    pub temperature_range: Option<String>,
    pub thermal_sensor: Option<bool>,
    /// Rows of DRAM on the board: 1, 2 or 4.
    pub dram_rows: Option<u8>,
    pub maker: Option<Maker>,
    pub dram_maker: Option<Maker>,
    pub register_maker: Option<Maker>,
    pub part_number: Option<Text>,
    /// As hexadecimal digits from an SPD or a 2D code, else as reported.
    pub serial: Option<Text>,
    pub made: Option<Made>,
    /// The place of manufacture, the maker's own code.
    pub location: Option<u8>,
    /// The JEDEC label: as read, or as the contents say that it should be.
    pub label: Option<String>,
    pub checksums: Vec<Checksum>,
    pub oddities: Vec<Oddity>,
}

impl ModuleReading {
    /// Ranks that the memory controller addresses, where both figures are known.
    pub fn logical_ranks(&self) -> Option<u8> {
        self.package_ranks?.checked_mul(self.stack_height.unwrap_or(1))
    }
}

/// One sign that a used module is not what it says, or not well, and what it can innocently be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sign {
    /// The pattern found, in words.
    pub name: &'static str,
    pub weight: Weight,
    /// What was seen, with the figures.
    pub evidence: String,
    /// What it means where it is not innocent.
    pub means: &'static str,
    /// What it can innocently be.
    pub innocent: &'static str,
    /// What to do about it.
    pub advice: &'static str,
    /// Where the sign is written down, or `common practice, no source`.
    pub source: &'static str,
}

/// How much a sign weighs, heaviest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Do not sell or build with it as what it says it is.
    Reject,
    /// Look at it closely before use.
    Suspect,
    /// Worth knowing.
    Note,
}

impl Weight {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Reject => "reject",
            Self::Suspect => "suspect",
            Self::Note => "note",
        }
    }
}
