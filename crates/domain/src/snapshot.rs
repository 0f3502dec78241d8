//! A snapshot: what a machine reported of its memory, each fact with where it came from.
//!
//! Names stay as the machine wrote them; what they mean is worked out from them elsewhere.

use crate::quantity::{Capacity, DataRate};
use crate::reading::{ModuleReading, Origin, Text};

/// What a machine reported. Fields are empty where it said nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Snapshot {
    /// What it was read from.
    pub origins: Vec<Origin>,
    /// When, as RFC 3339 text, where the taker knew.
    pub taken: Option<String>,
    /// What the machine calls itself: maker and product.
    pub system: Option<String>,
    /// The firmware level as reported.
    pub firmware: Option<String>,
    pub processors: Vec<SeenProcessor>,
    pub arrays: Vec<SeenArray>,
    pub slots: Vec<SeenSlot>,
    pub ranges: Vec<SeenRange>,
    /// The total that the machine states apart from the single modules.
    pub total: Option<Capacity>,
    pub errors: ErrorCounts,
    pub notes: Vec<Note>,
}

/// Something that could not be read, or that contradicts itself; reading went on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Note {
    /// Byte offset or nothing.
    pub offset: Option<u64>,
    /// File, path in a document, or handle, where that helps to find it.
    pub place: Option<String>,
    pub what: String,
}

/// A processor socket (SMBIOS type 4, Redfish Processor).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenProcessor {
    pub origin: Origin,
    /// SMBIOS handle as `0x0400`, or the Redfish path.
    pub handle: Text,
    /// The socket's name as reported.
    pub name: Text,
    /// The processor's own name, where the socket holds one.
    pub model: Option<String>,
    /// Does the socket hold a processor? `None` where it is not told.
    pub present: Option<bool>,
    pub cores: Option<u32>,
}

/// A memory array (SMBIOS type 16).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenArray {
    pub handle: Text,
    pub role: ArrayRole,
    /// The error correction as reported in words; `None` where unknown.
    pub ecc: Option<String>,
    pub maximum: Option<Capacity>,
    pub devices: Option<u16>,
}

/// What an array or a slot serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ArrayRole {
    System,
    Flash,
    /// Video, cache or something else that is no main memory.
    Other,
    Unknown,
}

/// A place for a module (SMBIOS type 17, Redfish Memory).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenSlot {
    pub origin: Origin,
    /// SMBIOS handle as `0x1100`, or the Redfish path: the key, since names are not always unique.
    pub handle: Text,
    /// The handle of its array.
    pub array: Option<Text>,
    /// The locator as reported, blanks and all; empty where there is none.
    pub name: Text,
    /// The bank locator as reported.
    pub bank: Option<Text>,
    /// The place in numbers, where the report states it (Redfish MemoryLocation).
    pub location: Location,
    /// The handle of the processor that it belongs to, where the report links one.
    pub processor: Option<Text>,
    pub state: SlotState,
    /// What it holds; `None` where it is empty or nothing is known.
    pub module: Option<SeenModule>,
}

/// Numbers that a report gives for a place; their base and meaning differ between makers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Location {
    pub socket: Option<u32>,
    pub controller: Option<u32>,
    pub channel: Option<u32>,
    pub slot: Option<u32>,
}

/// Whether a slot holds something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SlotState {
    Empty,
    Filled,
    /// Holds a module that the firmware has put out of use.
    Disabled,
    /// No slot for main memory: a flash device, a blank entry.
    NotMemory,
    Unknown,
}

/// A module as a running machine reports it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SeenModule {
    /// Its identity; `rate` there is the rated rate.
    pub reading: ModuleReading,
    /// The rate that it is reported to run at.
    pub running: Option<SeenRate>,
    /// The rated rate as reported.
    pub rated: Option<SeenRate>,
    /// Keeps its contents without power, so it may hold a customer's data; never counted as DRAM.
    pub nonvolatile: bool,
    /// Total and data width in bits as reported; wrong on many machines.
    pub widths: Option<(u16, u16)>,
    /// Health or status in the report's own word.
    pub health: Option<Text>,
    /// Texts that the reading has cleaned, translated or left out, as the machine wrote them.
    pub reported: Vec<Reported>,
}

/// A text as reported, where the reading has something else in its place: without padding, a maker's name for its code,
/// nothing for a placeholder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reported {
    pub field: ReportedField,
    pub text: Text,
}

/// Which text it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ReportedField {
    Maker,
    PartNumber,
    Serial,
}

impl ReportedField {
    /// All, with their words.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Maker, "maker"), (Self::PartNumber, "part_number"), (Self::Serial, "serial")];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(f, _)| *f == self).map_or("", |(_, w)| w)
    }
    /// Reads its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == text).map(|(f, _)| *f)
    }
}

/// A reported rate: the standard rate nearest to it, and the figure itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SeenRate {
    pub rate: DataRate,
    /// The figure as reported, in whatever unit the machine used.
    pub raw: u32,
}

/// A range of physical addresses (SMBIOS types 19 and 20).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SeenRange {
    pub handle: Text,
    /// First byte.
    pub first: u64,
    /// Last byte, part of the range.
    pub last: u64,
    /// The array that it maps (type 19).
    pub array: Option<Text>,
    /// The slot that it maps (type 20).
    pub slot: Option<Text>,
    /// Devices that form one row of the array (type 19), or the interleave position (type 20).
    pub width_or_position: Option<u8>,
}

/// Error counters of the running kernel (Linux EDAC).
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum ErrorCounts {
    /// Nobody looked.
    #[default]
    NotRead,
    /// No driver is loaded, which is not the same as no errors.
    NoDriver,
    Read(Vec<ErrorController>),
}

/// The counters of one memory controller.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ErrorController {
    /// `mc0` is 0.
    pub index: u32,
    pub driver: Option<String>,
    pub size: Option<Capacity>,
    pub corrected: Option<u64>,
    pub uncorrected: Option<u64>,
    /// Errors that name no module.
    pub corrected_unplaced: Option<u64>,
    pub uncorrected_unplaced: Option<u64>,
    /// Seconds that the counters have run.
    pub seconds: Option<u64>,
    pub modules: Vec<ErrorModule>,
}

/// The counters of one module, or of one rank where the driver counts so.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ErrorModule {
    /// The folder's number; gaps are empty slots.
    pub index: u32,
    /// One rank of a module, with its size, in place of the whole.
    pub by_rank: bool,
    /// The driver's or the user's label.
    pub label: Option<String>,
    /// Layers and numbers: `channel` 0, `slot` 1.
    pub location: Vec<(String, u32)>,
    pub size: Option<Capacity>,
    pub kind: Option<String>,
    pub device: Option<String>,
    pub mode: Option<String>,
    pub corrected: Option<u64>,
    pub uncorrected: Option<u64>,
}

impl Snapshot {
    /// Slots that the memory arrays state beyond those that are listed: the report was cut short, or the firmware counts wrongly.
    pub fn slots_unlisted(&self) -> usize {
        let listed = |array: &SeenArray| self.slots.iter().filter(|s| s.array.as_ref() == Some(&array.handle)).count();
        let system = self.arrays.iter().filter(|a| a.role == ArrayRole::System);
        system.map(|a| usize::from(a.devices.unwrap_or(0)).saturating_sub(listed(a))).sum()
    }
    /// Slots that are for main memory.
    pub fn memory_slots(&self) -> impl Iterator<Item = &SeenSlot> {
        self.slots.iter().filter(|s| s.state != SlotState::NotMemory)
    }
    /// What the volatile modules sum up to.
    pub fn installed(&self) -> Capacity {
        let modules = self.memory_slots().filter_map(|s| s.module.as_ref()).filter(|m| !m.nonvolatile);
        let mib = modules.filter_map(|m| m.reading.capacity).map(Capacity::mib).fold(0u64, u64::saturating_add);
        Capacity::from_mib(mib)
    }
}
