//! A build: what sits in every slot of a board.

use crate::board::{Board, SlotIndex};
use crate::module::Module;
use crate::processor::Processor;
use std::fmt;
use std::sync::Arc;

/// A RAS mode by its word: `independent`, `mirror`, `partial-mirror`, `spare-rank` …
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mode(pub String);

impl Mode {
    /// Every channel for itself: what a machine does when nothing is set.
    pub const INDEPENDENT: &'static str = "independent";
    /// Every channel for itself.
    pub fn independent() -> Self {
        Self(Self::INDEPENDENT.to_string())
    }
    /// Is this the mode that a machine has when nothing is set?
    pub fn is_independent(&self) -> bool {
        self.0 == Self::INDEPENDENT
    }
}
impl Default for Mode {
    fn default() -> Self {
        Self::independent()
    }
}
impl fmt::Display for Mode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// What sits in every slot. `slots` is as long as the board's slot list.
#[derive(Debug, Clone)]
pub struct Build {
    pub board: Arc<Board>,
    /// One a socket; `None` where the socket is empty.
    pub processors: Vec<Option<Arc<Processor>>>,
    pub mode: Mode,
    /// NUMA partition mode by the processor's word for it, where one is asked for.
    pub numa: Option<String>,
    /// Firmware level, where it is known.
    pub firmware: Option<String>,
    /// Are the empty slots blanked? `None` where it was not said.
    pub blanks: Option<bool>,
    pub slots: Vec<Option<Arc<Module>>>,
    /// Slots that other work holds and that must stay empty.
    pub reserved: Vec<SlotIndex>,
}

impl Build {
    /// An empty build of a board with these processors.
    pub fn empty(board: Arc<Board>, processors: Vec<Option<Arc<Processor>>>, mode: Mode) -> Self {
        let slots = vec![None; board.slots.len()];
        Self { board, processors, mode, numa: None, firmware: None, blanks: None, slots, reserved: Vec::new() }
    }
    /// The slots that hold something, with what they hold.
    pub fn filled(&self) -> impl Iterator<Item = (SlotIndex, &Arc<Module>)> {
        self.slots.iter().enumerate().filter_map(|(i, m)| m.as_ref().map(|m| (SlotIndex(i as u16), m)))
    }
    /// The processor of a socket.
    pub fn processor(&self, socket: u8) -> Option<&Arc<Processor>> {
        self.processors.get(usize::from(socket)).and_then(Option::as_ref)
    }
}
