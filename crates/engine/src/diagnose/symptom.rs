//! What is seen: the symptom, and the slots that show it.

use crate::compare::{Difference, What};
use domain::board::SlotIndex;
use domain::{Board, Build};
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

/// A symptom with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symptom {
    pub sign: Sign,
    /// The filled slots that show it, in board order; all of them where the whole machine does.
    pub slots: Vec<SlotIndex>,
}

impl Symptom {
    /// A sign at some slots: of a channel or processor that is missing, any slot or all of them may be given. `None`
    /// where none of the slots is filled, or where several are given that do not belong together.
    pub fn at(build: &Build, sign: Sign, slots: &[SlotIndex]) -> Option<Self> {
        let board: &Board = &build.board;
        let first = slots.first().and_then(|s| board.slots.get(s.at())).map(|s| s.address);
        let belongs = |index: SlotIndex| {
            let (Some(slot), Some(first)) = (board.slots.get(index.at()), first) else { return sign.is_everywhere() };
            let at = slot.address;
            match sign {
                Sign::NoBoot | Sign::Slow => true,
                Sign::MissingProcessor => at.socket == first.socket,
                Sign::MissingChannel => {
                    (at.socket, at.controller, at.channel) == (first.socket, first.controller, first.channel)
                }
                _ => slots.contains(&index),
            }
        };
        let whole = slots.iter().all(|s| belongs(*s));
        let filled: Vec<SlotIndex> = build.filled().map(|(s, _)| s).filter(|s| belongs(*s)).collect();
        let one = matches!(sign, Sign::MissingModule | Sign::WrongSize | Sign::Uncorrectable) && filled.len() > 1;
        (whole && !one && !filled.is_empty()).then_some(Self { sign, slots: filled })
    }
    /// The symptom that a difference is; `None` where it is none (a mix-up at the bench), or where its slots are not of
    /// this build.
    pub fn of(difference: &Difference, build: &Build) -> Option<Self> {
        let sign = match difference.what {
            What::SocketGone | What::ProcessorMissing | What::ControllerGone => Sign::MissingProcessor,
            What::ChannelGone => Sign::MissingChannel,
            What::Missing | What::Disabled => Sign::MissingModule,
            What::Smaller => Sign::WrongSize,
            What::Slower => Sign::Slow,
            What::Errors if difference.seen.contains(", 0 uncorrected") => Sign::Correctable,
            What::Errors => Sign::Uncorrectable,
            What::Swapped
            | What::WrongSlot
            | What::DifferentKind
            | What::Larger
            | What::DifferentPart
            | What::DifferentModule
            | What::Unexpected => return None,
        };
        let named = difference.slots.iter().filter_map(|name| build.board.slot_by_label(name));
        let mut slots: Vec<SlotIndex> = named.collect();
        if slots.is_empty() {
            let at = difference.at;
            let here = |s: &domain::Slot| at.is_some_and(|a| a.socket == s.address.socket);
            slots = build.board.indexed().filter(|(_, s)| here(s)).map(|(i, _)| i).collect();
        }
        Self::at(build, sign, &slots)
    }
}
