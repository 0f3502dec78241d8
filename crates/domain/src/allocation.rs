//! Allocation as a question: open orders with their options, one stock of unlike modules, offers to buy, an earlier answer.

use crate::money::{Currency, Money};

/// A module or a lot of like modules in the stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Piece {
    /// The store's own number of it, unique in a problem.
    pub key: i64,
    /// Which sort it is: modules of one sort serve a demand alike.
    pub sort: u32,
    /// Which part number it bears. A part has one `die` in a problem.
    pub part: u32,
    /// Which maker and die it has.
    pub die: u32,
    /// What one module of it costs the shop.
    pub cost: Money,
    /// The day it was received, as a count of days from any fixed day.
    pub received: i64,
    /// How many modules: 1 where each has its serial number.
    pub count: u32,
}

/// Modules of a sort that can be bought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Which sort.
    pub sort: u32,
    /// The price of one.
    pub each: Money,
    /// The most that can be had; `None` where there is no limit.
    pub limit: Option<u32>,
}

/// Modules of one sort at one processor of each machine of an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Demand {
    /// Which processor of the machine.
    pub group: u16,
    /// Which sort.
    pub sort: u32,
    /// How many in each machine at that processor.
    pub count: u32,
}

/// One option of an order: what each of its machines would hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What the option costs the whole order besides modules.
    pub other_cost: Money,
    /// What each machine needs; several of one processor and sort add up.
    pub demands: Vec<Demand>,
}

/// An open order. It is served wholly, all machines by one option, or not at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// The store's own number of it, unique in a problem.
    pub key: i64,
    /// 0 comes first.
    pub priority: u8,
    /// How many machines alike, at least 1.
    pub machines: u32,
    /// What would do; with none the order cannot be served.
    pub options: Vec<Choice>,
}

/// What to allocate. Modules that are already picked for a machine stay outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The currency of every amount.
    pub currency: Currency,
    /// The open orders.
    pub orders: Vec<Order>,
    /// The modules on the shelf.
    pub stock: Vec<Piece>,
    /// What can be bought.
    pub offers: Vec<Offer>,
}

/// Modules of one piece at one processor of one machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Held {
    /// Which machine of the order, from 0.
    pub machine: u32,
    /// Which processor.
    pub group: u16,
    /// Which sort.
    pub sort: u32,
    /// The key of the piece.
    pub piece: i64,
    /// How many modules of it.
    pub count: u32,
}

/// An order in an earlier answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EarlierOrder {
    /// The order's key.
    pub key: i64,
    /// Which option it had.
    pub choice: usize,
    /// Which modules it had.
    pub held: Vec<Held>,
}

/// An earlier answer to nearly the same problem.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Earlier {
    /// The orders that it served.
    pub orders: Vec<EarlierOrder>,
}
