//! Findings: what a rule says of a build. A finding is a value, not an error.

use crate::board::SlotIndex;
use crate::quantity::DataRate;
use std::fmt;

/// What happens, not how loud it is. Ordered from worst to mildest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Will not train, or a part is disabled.
    Wrong,
    /// The maker does not stand behind it; it may run.
    Unsupported,
    /// Runs, but slower than these parts could.
    Slower,
    /// No source either way.
    Unproven,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// All, with their words, worst first.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Wrong, "wrong"),
        (Self::Unsupported, "unsupported"),
        (Self::Slower, "slower"),
        (Self::Unproven, "unproven"),
        (Self::Note, "note"),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(s, _)| *s == self).map_or("", |(_, w)| w)
    }
    /// Reads its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == text.trim()).map(|(s, _)| *s)
    }
}
impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// What the machine does about it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// Does not start.
    Stops,
    /// Starts without the module or slot.
    DisablesModule,
    /// Starts without the channel.
    DisablesChannel,
    /// Starts without the memory of the socket.
    DisablesSocket,
    /// Starts without the mode that was asked for.
    DisablesMode,
    /// Runs all memory at this rate.
    SlowsTo(DataRate),
    /// Runs, with less bandwidth than an even fill.
    LosesBandwidth,
    /// Stops at a message and waits for a key.
    WaitsForKey,
    /// Shows nothing.
    NothingSeen,
    /// Not known: it depends on the firmware.
    Unknown,
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stops => f.pad("does not start"),
            Self::DisablesModule => f.pad("starts without the module"),
            Self::DisablesChannel => f.pad("starts without the channel"),
            Self::DisablesSocket => f.pad("starts without this socket's memory"),
            Self::DisablesMode => f.pad("starts without the mode"),
            Self::SlowsTo(rate) => f.pad(&format!("slows to {rate}")),
            Self::LosesBandwidth => f.pad("runs with less bandwidth"),
            Self::WaitsForKey => f.pad("waits for a key at start"),
            Self::NothingSeen => f.pad("shows nothing"),
            Self::Unknown => f.pad("not known, depends on the firmware"),
        }
    }
}

/// Where a finding sits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    Machine,
    Socket(u8),
    Channel { socket: u8, controller: u8, channel: u8 },
    Slots(Vec<SlotIndex>),
}

/// One thing that a rule found.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Finding {
    /// The rule's name: the pattern found, in words.
    pub rule: &'static str,
    pub severity: Severity,
    pub outcome: Outcome,
    pub place: Place,
    /// What was seen, with the figures.
    pub evidence: String,
    /// What to do about it.
    pub advice: String,
}
