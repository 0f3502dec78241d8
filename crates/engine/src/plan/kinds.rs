//! What the planner answers with.

use crate::judge::Judgement;
use domain::stock::Condition;
use domain::{Bandwidth, Build, Capacity, DataRate, Money, SlotIndex};

/// What plans are compared by. Price, bought: less is better; the rest: more is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Objectives {
    /// Price of the modules of one machine, in minor units.
    pub price: i64,
    pub usable: Capacity,
    /// The serial bound.
    pub bandwidth: Bandwidth,
    pub rate: DataRate,
    /// Slots of present processors left free.
    pub free: u16,
    /// Modules that are new to the machine.
    pub bought: u16,
}

impl Objectives {
    /// Is this at least as good as `other` by every measure?
    pub fn covers(&self, other: &Self) -> bool {
        self.price <= other.price
            && self.usable >= other.usable
            && self.bandwidth >= other.bandwidth
            && self.rate >= other.rate
            && self.free >= other.free
            && self.bought <= other.bought
    }
}

/// Where the module of a slot comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// Was in this slot already.
    Stays,
    /// Was in that slot, or loose where `None`.
    Moves(Option<SlotIndex>),
    /// From the need's lot of this number.
    Lot(usize),
}

/// What goes into one slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pick {
    pub slot: SlotIndex,
    pub origin: Origin,
    pub condition: Condition,
    pub each: Money,
}

/// One population worth having.
#[derive(Debug, Clone)]
pub struct Plan {
    pub build: Build,
    pub judgement: Judgement,
    pub picks: Vec<Pick>,
    /// Installed modules that are taken out, by their old slot (`None`: loose).
    pub taken_out: Vec<(Option<SlotIndex>, std::sync::Arc<domain::Module>)>,
    /// For one machine.
    pub price: Money,
    /// For all machines of the need.
    pub price_all: Money,
    pub objectives: Objectives,
    /// Why it is on the front and among the few shown.
    pub why: Vec<String>,
    /// What it loses and gains against its neighbours on the list, one sentence each.
    pub against: Vec<String>,
}

/// How far the proof goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Proof {
    /// Every population was searched or shown to be no better.
    Complete,
    /// Every population of at most so many different modules was; larger mixtures were not searched.
    UpTo { different: usize },
}

/// Why nothing fits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// Limits that cannot hold together: a smallest such group.
    pub limits: Vec<String>,
    /// The smallest change of each that lets something fit, where one does.
    pub changes: Vec<String>,
}

/// What the planner found.
#[derive(Debug, Clone)]
#[must_use]
pub struct PlanReport {
    /// The whole front, cheapest first.
    pub front: Vec<Plan>,
    /// The few to show a person, as places in `front`: at most seven.
    pub chosen: Vec<usize>,
    pub proof: Proof,
    /// Set where the front is empty.
    pub conflict: Option<Conflict>,
    /// The capacity window that was planned for, after 'about' was worked out, with its reason in words.
    pub window: (Option<Capacity>, Option<Capacity>),
    pub window_words: Option<String>,
    /// Populations looked at, for the record.
    pub looked_at: u64,
}

/// The front alone, without its plans.
#[derive(Debug, Clone)]
pub struct Vectors {
    /// Cheapest first.
    pub points: Vec<Objectives>,
    pub proof: Proof,
    /// Populations looked at.
    pub looked_at: u64,
    /// Sorts that were left out because another covers them, summed over the classes of rate.
    pub covered: usize,
    /// The most sorts in one point.
    pub different: usize,
}
