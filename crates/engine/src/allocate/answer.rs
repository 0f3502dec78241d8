//! What an allocation says: who is served with which modules, why, what to buy for the rest, how far from best, what moved.

use domain::Money;
use domain::allocation::Held;

/// The answer to a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Orders that are served, as the problem lists them.
    pub served: Vec<Served>,
    /// Orders that are not, as the problem lists them.
    pub unserved: Vec<Unserved>,
    /// What to buy so that the unserved orders are served too.
    pub purchase: Purchase,
    /// What was reached.
    pub levels: Levels,
    /// What nothing can exceed.
    pub bounds: Bounds,
    /// What is proved to be best.
    pub proof: Proof,
    /// Where an earlier answer was given: what moved, and what staying costs.
    pub moves: Option<Moves>,
}

/// An order that is served.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Served {
    /// The order's key.
    pub order: i64,
    /// Which of its options.
    pub choice: usize,
    /// Its modules, by machine, processor and sort.
    pub pieces: Vec<Held>,
    /// Its modules and the option's other cost.
    pub cost: Money,
    /// Broken sets: per machine, processor and sort 0 for one part number, 1 for one maker and die, 2 for a mix.
    pub broken: u32,
    /// Why not each option that would cost less by itself.
    pub why: Vec<Passed>,
}

/// An option that looks cheaper than the one taken, and why it was not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passed {
    /// Which option.
    pub choice: usize,
    /// What speaks against it, the other orders staying as they are.
    pub reason: Reason,
}

/// What speaks against an option.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// Modules are missing.
    Missing(Vec<Short>),
    /// It can be had, but the cheap modules are with other orders: it would cost so much more than the option taken (0: the same).
    Dearer(Money),
}

/// A sort that runs short for an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Short {
    /// The sort.
    pub sort: u32,
    /// How many modules the order asks for.
    pub needed: u32,
    /// How many are free for it.
    pub free: u32,
    /// Who took the others: the orders' keys and how many, most first.
    pub taken: Vec<(i64, u32)>,
}

impl Short {
    /// How many modules are missing.
    pub fn missing(&self) -> u32 {
        self.needed.saturating_sub(self.free)
    }
}

/// An order that is not served.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unserved {
    /// The order's key.
    pub order: i64,
    /// The option that misses the fewest modules; `None` where the order has no option.
    pub nearest: Option<usize>,
    /// What that option misses, the served orders staying as they are.
    pub short: Vec<Short>,
    /// What to buy for it; `None` where buying does not help either.
    pub buy: Option<Buy>,
}

/// What to buy for one order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Buy {
    /// The option that the order then takes.
    pub choice: usize,
    /// Modules from the leftover stock, by sort.
    pub from_stock: Vec<(u32, u32)>,
    /// Modules to buy: index of the offer, and how many.
    pub items: Vec<(usize, u32)>,
    /// The price of those, without the option's other cost.
    pub price: Money,
    /// The option's other cost.
    pub other_cost: Money,
}

/// What to buy in all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purchase {
    /// Index of the offer, and how many.
    pub items: Vec<(usize, u32)>,
    /// The price of those.
    pub price: Money,
    /// Prices and other costs of the options together: what was made least.
    pub outlay: Money,
    /// No outlay for as many orders by priority can be less than this.
    pub least: Money,
    /// Is it proved that no more orders can be served by buying, and none of them for less?
    pub proved: bool,
}

/// How many orders of one priority.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tally {
    /// The priority.
    pub priority: u8,
    /// How many are served, or can be.
    pub served: u32,
    /// How many there are.
    pub asked: u32,
}

/// The four levels, the first counts most.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Levels {
    /// Orders served by priority, the first priority first.
    pub served: Vec<Tally>,
    /// Modules and other costs of the served orders.
    pub cost: Money,
    /// Broken sets.
    pub broken: u64,
    /// The sum of the days of receipt over the modules taken; less is older.
    pub days: i64,
}

/// Bounds of the levels, each given that the levels before it are as reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bounds {
    /// At most so many, given what is reached in the priorities before.
    pub served: Vec<Tally>,
    /// At least so much, for as many served by priority.
    pub cost: Money,
}

/// What is proved to be best. A level is proved only where those before it are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// All four levels. Never said after an earlier answer, which may rightly be worse on levels 3 and 4.
    Complete,
    /// No more orders can be served by priority, and none of them for less; broken sets and age may be better.
    Cost,
    /// No more orders can be served by priority; the bound of cost says how far.
    Served,
    /// The bounds say how far.
    Open,
}

/// What differs from the earlier answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moves {
    /// The orders that differ, as the problem lists them, then those that are gone from it.
    pub orders: Vec<Moved>,
    /// Modules that an order served both times gives up.
    pub modules: u64,
    /// The levels without regard to the earlier answer.
    pub free: Levels,
    /// The levels were every order to keep its modules, as far as these still exist, and the rest served from what is left.
    pub held: Levels,
}

/// How one order differs from the earlier answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// The order's key.
    pub order: i64,
    /// What happened.
    pub what: Change,
    /// Modules that it gives up.
    pub gives: Vec<Held>,
    /// Modules that it gets instead.
    pub gets: Vec<Held>,
}

/// What happened to an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Served now and not before.
    Came,
    /// Served before and still open, but not served now.
    Left,
    /// No longer among the orders.
    Gone,
    /// Another option.
    Choice,
    /// The same option, other modules.
    Modules,
}

/// How much work to spend. It counts steps, not time, so that the answer does not depend on the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Steps of the exact search over all orders, where they are few enough (at most 40).
    pub exact: u64,
    /// Neighbourhoods to search for each order of the problem.
    pub rounds_per_order: u32,
}

impl Default for Effort {
    fn default() -> Self {
        Self { exact: 2_000_000, rounds_per_order: 40 }
    }
}

/// Why a problem can't be worked on.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AllocateError {
    /// An amount is in another currency than the problem.
    #[error("{what} has an amount in {found}, but the problem is in {wanted}")]
    Currency { what: String, found: domain::Currency, wanted: domain::Currency },
    /// An amount is below nothing.
    #[error("{what} has the negative amount {amount}")]
    Negative { what: String, amount: Money },
    /// An order of no machines.
    #[error("order {order} has no machines")]
    NoMachines { order: i64 },
    /// A key twice.
    #[error("{what} comes twice")]
    Twice { what: String },
    /// A part number with two dies.
    #[error("part {part} has die {one} in one piece and die {other} in another")]
    Dies { part: u32, one: u32, other: u32 },
    /// A day that no calendar has.
    #[error("piece {piece} was received on day {day}, which is out of range")]
    Day { piece: i64, day: i64 },
    /// Numbers past what can be summed or searched.
    #[error("{what} is too much to allocate")]
    TooMuch { what: String },
}

impl AllocateError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Currency { .. } => "give all costs and prices in one currency",
            Self::Negative { .. } => "give a cost of 0 or more",
            Self::NoMachines { .. } => "give at least one machine, or leave the order out",
            Self::Twice { .. } => "give every order and every piece its own number",
            Self::Dies { .. } => "give a part number one maker and die, or divide it into two parts",
            Self::Day { .. } => "count days within 1000000000 of day 0",
            Self::TooMuch { .. } => "divide the problem, or look for a slip in its counts and amounts",
        }
    }
}
