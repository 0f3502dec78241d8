//! An error that a machine logged: what happened, when, and where in memory as far as the record says.
//!
//! Records count places in their own ways; only a module's SMBIOS handle leads to one slot for certain.

use crate::reading::Origin;
use std::fmt;

/// How bad an error was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// Data was lost and the machine stopped.
    Fatal,
    /// Data was lost, or could not be trusted; the machine may have gone on.
    Uncorrected,
    /// The right data came out.
    Corrected,
    /// No error: a module was seen, a spare was taken into use.
    Notice,
}

impl Gravity {
    /// All, with their words.
    pub const ALL: [(Self, &'static str); 4] = [
        (Self::Fatal, "fatal"),
        (Self::Uncorrected, "uncorrected"),
        (Self::Corrected, "corrected"),
        (Self::Notice, "notice"),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(g, _)| *g == self).map_or("", |(_, w)| w)
    }
    /// Was data lost?
    pub fn is_lost(self) -> bool {
        matches!(self, Self::Fatal | Self::Uncorrected)
    }
}

impl fmt::Display for Gravity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// Where in memory, each figure as the record counts it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ErrorPlace {
    /// The SMBIOS handle of the module's slot (type 17).
    pub handle: Option<u16>,
    /// A name that the record carries.
    pub name: Option<String>,
    pub node: Option<u16>,
    pub card: Option<u16>,
    /// The module's number on its card, or relative to a sensor's own modules.
    pub module: Option<u16>,
    pub rank: Option<u16>,
    pub device: Option<u16>,
    pub bank_group: Option<u8>,
    pub bank: Option<u16>,
    pub row: Option<u32>,
    pub column: Option<u16>,
    pub bit: Option<u16>,
    /// Physical byte address.
    pub address: Option<u64>,
    /// The management controller's sensor.
    pub sensor: Option<u8>,
}

/// One logged error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ErrorEvent {
    pub origin: Origin,
    /// Seconds since 1970 (UTC), where the record's clock was set.
    pub at: Option<u64>,
    pub gravity: Gravity,
    /// What happened, in words.
    pub what: String,
    pub place: ErrorPlace,
    /// What else the record says that has no place above, and what is odd about it.
    pub notes: Vec<String>,
    /// Byte offset of the record in what was read.
    pub offset: u64,
}

impl ErrorPlace {
    /// The cell, where the record tells it closely enough to know it again: rank, bank, row and column.
    pub fn cell(&self) -> Option<(Option<u16>, u16, u32, u16)> {
        Some((self.rank, self.bank?, self.row?, self.column?))
    }
}
