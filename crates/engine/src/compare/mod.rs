//! Comparison: where a machine differs from what was planned, and the likely causes in order.
//!
//! `Expected` (a build, or an earlier snapshot) and a snapshot → slots matched (`pairing`) → modules that moved
//! (`moves`) → differences by slot (`slots`), gathered where a whole channel, controller or socket is gone (`groups`).

mod causes;
mod controllers;
mod counter_slots;
mod errors;
mod expected;
mod groups;
mod identity;
mod moves;
mod pairing;
mod slots;
mod speed;
mod untold;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_errors;

pub use causes::Cause;
pub use controllers::add as add_controllers;
pub use errors::{Count, Errors};
pub use expected::{Expected, ExpectedModule, ExpectedSlot};

use domain::reading::Text;
use domain::{Capacity, Snapshot};
use std::collections::BTreeMap;
use std::fmt;

/// A slot's place in numbers, all from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Where {
    pub socket: u8,
    /// `None` where channels are counted over the whole socket.
    pub controller: Option<u8>,
    pub channel: u8,
    /// 0 is the first slot of its channel to fill; `None` where it is not known.
    pub position: Option<u8>,
}

/// The places of a snapshot's slots by handle, as far as they are known.
pub type Places = BTreeMap<Text, Where>;

/// What differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    SocketGone,
    ControllerGone,
    ChannelGone,
    ProcessorMissing,
    Missing,
    Disabled,
    Swapped,
    WrongSlot,
    DifferentKind,
    Smaller,
    Larger,
    DifferentPart,
    DifferentModule,
    Unexpected,
    Slower,
    Errors,
}

impl What {
    /// Its word, stable for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::SocketGone => "socket-gone",
            Self::ControllerGone => "controller-gone",
            Self::ChannelGone => "channel-gone",
            Self::ProcessorMissing => "processor-missing",
            Self::Missing => "missing",
            Self::Disabled => "disabled",
            Self::Swapped => "swapped",
            Self::WrongSlot => "wrong-slot",
            Self::DifferentKind => "different-kind",
            Self::Smaller => "smaller",
            Self::Larger => "larger",
            Self::DifferentPart => "different-part",
            Self::DifferentModule => "different-module",
            Self::Unexpected => "unexpected",
            Self::Slower => "slower",
            Self::Errors => "errors",
        }
    }
}
impl fmt::Display for What {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// One difference between plan and machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    pub what: What,
    /// The place in words.
    pub place: String,
    /// The slots that it touches, by name, in board order; of a move the planned slot first.
    pub slots: Vec<String>,
    /// Where it is, as far as that is known: of a group, that of its first slot.
    pub at: Option<Where>,
    pub planned: String,
    pub seen: String,
    /// Likely causes, the likeliest first.
    pub causes: Vec<Cause>,
    /// In numbers, of errors.
    pub errors: Option<Errors>,
}

/// How slots of plan and report were found to be the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MatchedBy {
    /// By what is printed or reported beside them.
    Name,
    /// By socket, channel and position, because the names differ.
    Place,
    /// No slot could be matched.
    Nothing,
}

/// What the comparison found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    pub matched_by: MatchedBy,
    /// Slots of the plan, and how many of them the report lists.
    pub slots: (usize, usize),
    /// Modules planned and seen, DRAM only.
    pub modules: (usize, usize),
    pub capacity: (Capacity, Capacity),
    /// The gravest first.
    pub differences: Vec<Difference>,
    /// Errors that an earlier report counted, where none came since: no difference.
    pub old_errors: Vec<Errors>,
    /// What this report cannot tell.
    pub untold: Vec<String>,
}

/// Compares what was planned with what a machine reports.
pub fn compare(expected: &Expected, seen: &Snapshot, places: &Places) -> Comparison {
    let pairs = pairing::pair(expected, seen, places);
    let moved = moves::settle(expected, seen, &pairs);
    let mut differences = groups::gather(expected, seen, slots::differences(expected, seen, &pairs, &moved));
    differences.extend(groups::processors(expected, seen, &differences));
    differences.extend(speed::differences(expected, seen, &pairs, &moved));
    let (errors, old_errors) = errors::differences(expected, seen, &pairs, &moved);
    differences.extend(errors);
    differences.sort_by(|a, b| (a.what, a.at, &a.slots).cmp(&(b.what, b.at, &b.slots)));
    let dram = |s: &&domain::snapshot::SeenSlot| s.module.as_ref().is_some_and(|m| !m.nonvolatile);
    Comparison {
        matched_by: pairs.by,
        slots: (expected.slots.len(), pairs.seen_of.iter().flatten().count()),
        modules: (expected.modules().count(), seen.memory_slots().filter(dram).count()),
        capacity: (expected.capacity(), seen.installed()),
        untold: untold::untold(expected, seen, &pairs, &moved),
        differences,
        old_errors,
    }
}
