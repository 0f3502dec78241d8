//! A need: what the customer asks for.

use crate::board::{Board, SlotIndex};
use crate::build::Mode;
use crate::module::Module;
use crate::money::Money;
use crate::processor::Processor;
use crate::quantity::{Bandwidth, Capacity, DataRate};
use crate::stock::Lot;
use std::sync::Arc;

/// What may become of the modules that the machine already holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Keep {
    /// Each stays in the machine; it may move to another slot, and each move is told.
    All,
    /// Each may be used, moved or taken out.
    Any,
}

/// How much memory is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct CapacityWish {
    /// Usable capacity at least this.
    pub least: Option<Capacity>,
    /// Usable capacity at most this.
    pub most: Option<Capacity>,
    /// 'About this': the nearest even fills on both sides.
    pub about: Option<Capacity>,
}

/// What the customer asks for.
#[derive(Debug, Clone)]
pub struct Need {
    pub board: Arc<Board>,
    /// One a socket; `None` where the socket stays empty.
    pub processors: Vec<Option<Arc<Processor>>>,
    pub mode: Mode,
    pub numa: Option<String>,
    pub firmware: Option<String>,
    pub capacity: CapacityWish,
    /// The most that all machines together may cost.
    pub budget: Option<Money>,
    /// Serial-bound bandwidth at least this, for one machine.
    pub bandwidth_least: Option<Bandwidth>,
    /// Data rate at least this.
    pub rate_least: Option<DataRate>,
    /// Slots to leave empty, at least so many, in one machine.
    pub free_slots: u16,
    /// How many machines alike; stock and budget are for all of them.
    pub machines: u32,
    /// What the machine already holds, slot by slot.
    pub installed: Vec<(SlotIndex, Arc<Module>)>,
    /// What comes with the machine outside its slots.
    pub loose: Vec<Arc<Module>>,
    pub keep: Keep,
    /// What can be had, apart from what is installed.
    pub lots: Vec<Lot>,
}
