//! What is on the shelf: lots of like modules.

use crate::module::Module;
use crate::money::Money;
use std::fmt;
use std::sync::Arc;

/// New or used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Condition {
    New,
    Used,
    /// Already in the machine of the need; costs nothing.
    Installed,
}

impl Condition {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Used => "used",
            Self::Installed => "installed",
        }
    }
    /// Reads `new` or `used`; `installed` is never written by a person.
    pub fn parse(text: &str) -> Option<Self> {
        match text.trim().to_ascii_lowercase().as_str() {
            "new" => Some(Self::New),
            "used" => Some(Self::Used),
            _ => None,
        }
    }
}
impl fmt::Display for Condition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// Like modules that can be had at one price: a catalogue row, a stock line, or what the machine already holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lot {
    pub module: Arc<Module>,
    pub condition: Condition,
    pub each: Money,
    /// How many there are; `None` where the catalogue sells any number.
    pub count: Option<u32>,
    /// The shop's bin, where the stock file names it.
    pub bin: Option<String>,
}
