//! What can be wrong with a machine's memory: signs that are seen, causes, and what is done about each.

use std::fmt;

/// What kind of symptom.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    NoBoot,
    MissingModule,
    MissingChannel,
    MissingProcessor,
    WrongSize,
    Slow,
    Correctable,
    Uncorrectable,
}

impl Sign {
    pub const ALL: [Self; 8] = [
        Self::NoBoot,
        Self::MissingModule,
        Self::MissingChannel,
        Self::MissingProcessor,
        Self::WrongSize,
        Self::Slow,
        Self::Correctable,
        Self::Uncorrectable,
    ];
    /// Its word, stable for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::NoBoot => "no-boot",
            Self::MissingModule => "missing-module",
            Self::MissingChannel => "missing-channel",
            Self::MissingProcessor => "missing-processor",
            Self::WrongSize => "wrong-size",
            Self::Slow => "slow",
            Self::Correctable => "correctable-errors",
            Self::Uncorrectable => "uncorrectable-errors",
        }
    }
    /// The sign of a word; the first part of one is enough, and `missing` is a module.
    pub fn parse(word: &str) -> Option<Self> {
        let word = word.trim().to_lowercase();
        match word.as_str() {
            "missing" => Some(Self::MissingModule),
            "" => None,
            _ => {
                let mut near = Self::ALL.into_iter().filter(|s| s.word().starts_with(&word));
                near.next().filter(|first| first.word() == word || near.next().is_none())
            }
        }
    }
    /// What the place does, after "west-1-outer".
    pub fn shows(self) -> &'static str {
        match self {
            Self::NoBoot => "does not start",
            Self::MissingModule | Self::MissingChannel | Self::MissingProcessor => "is not seen",
            Self::WrongSize => "shows the wrong size",
            Self::Slow => "runs too slow",
            Self::Correctable | Self::Uncorrectable => "has errors",
        }
    }
    /// Errors, that show only after some exercise?
    pub fn is_errors(self) -> bool {
        matches!(self, Self::Correctable | Self::Uncorrectable)
    }
    /// Of the whole machine?
    pub fn is_everywhere(self) -> bool {
        matches!(self, Self::NoBoot | Self::Slow)
    }
}
impl fmt::Display for Sign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// One fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    Seating,
    Module,
    Slot,
    Channel,
    Contact,
    Processor,
    Board,
    Configuration,
    Firmware,
}

/// How many there are.
pub const CAUSES: usize = 9;

impl Cause {
    pub const ALL: [Self; CAUSES] = [
        Self::Seating,
        Self::Module,
        Self::Slot,
        Self::Channel,
        Self::Contact,
        Self::Processor,
        Self::Board,
        Self::Configuration,
        Self::Firmware,
    ];
    /// Its number, 0 to 8.
    pub fn number(self) -> usize {
        self as usize
    }
    /// Its word, stable for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::Seating => "seating",
            Self::Module => "module",
            Self::Slot => "slot",
            Self::Channel => "channel",
            Self::Contact => "contact",
            Self::Processor => "processor",
            Self::Board => "board",
            Self::Configuration => "configuration",
            Self::Firmware => "firmware",
        }
    }
    /// The cause of a word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.word().eq_ignore_ascii_case(word.trim()))
    }
    /// In a few words, after "it is".
    pub fn title(self) -> &'static str {
        match self {
            Self::Seating => "a module that is not fully seated",
            Self::Module => "a bad module",
            Self::Slot => "a dirty or damaged slot",
            Self::Channel => "the traces of a channel on the board",
            Self::Contact => "a contact of the processor socket, or the processor's seat",
            Self::Processor => "the processor with its memory controller",
            Self::Board => "the board: its power for the memory, or more than one channel",
            Self::Configuration => "a setting, or modules in places that the board does not allow",
            Self::Firmware => "a limit of the firmware",
        }
    }
    /// What is done about it.
    pub fn remedy(self) -> Remedy {
        match self {
            Self::Seating => Remedy::Seat,
            Self::Module => Remedy::Module,
            Self::Slot | Self::Channel | Self::Board => Remedy::Board,
            Self::Contact => Remedy::Contact,
            Self::Processor => Remedy::Processor,
            Self::Configuration => Remedy::Settings,
            Self::Firmware => Remedy::Firmware,
        }
    }
}
impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// What is done in the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remedy {
    Seat,
    Module,
    Board,
    Contact,
    Processor,
    Settings,
    Firmware,
    /// Two faults of different remedies at once.
    Two,
}

impl Remedy {
    pub const ALL: [Self; 8] = [
        Self::Seat,
        Self::Module,
        Self::Board,
        Self::Contact,
        Self::Processor,
        Self::Settings,
        Self::Firmware,
        Self::Two,
    ];
    /// Its number, 0 to 7.
    pub fn number(self) -> usize {
        self as usize
    }
    /// Its word, stable for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::Seat => "seat",
            Self::Module => "replace-module",
            Self::Board => "replace-board",
            Self::Contact => "socket-contact",
            Self::Processor => "replace-processor",
            Self::Settings => "settings",
            Self::Firmware => "firmware",
            Self::Two => "two-faults",
        }
    }
    /// What to do, as a sentence without its end.
    pub fn act(self) -> &'static str {
        match self {
            Self::Seat => "Replace nothing: it was the seating. Look at it again after the next move of the machine",
            Self::Module => "Replace this module",
            Self::Board => "Replace the board: the fault lies in a slot or between slot and processor",
            Self::Contact => {
                "The processor socket: keep the processor as it now sits if the machine runs; where a contact is bent, \
                 missing or burnt, replace the board, and never straighten a contact"
            }
            Self::Processor => "Replace the processor: the fault lies in its memory controller",
            Self::Settings => "Replace nothing: put the settings and the places of the modules right",
            Self::Firmware => "Replace nothing: bring the firmware to the level that the modules need",
            Self::Two => "Two faults at once: do what is said of each of the two",
        }
    }
}

/// How often a cause was found for a sign, of a shop's own repairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Outcome {
    pub sign: Sign,
    pub cause: Cause,
    pub count: u32,
}
