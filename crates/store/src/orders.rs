//! Orders, their steps, and the modules that are promised to them.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use crate::stock::Page;
use domain::Day;
use domain::item::{Item, ItemId, Who};
use domain::order::{Claim, NewOrder, Order, OrderId, Priced, Reservation, Stage, Stamped};

/// Which orders to list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderFilter {
    /// Part of a customer's name or of a number.
    pub words: String,
    pub stage: Option<Stage>,
    /// Only those with something left to do.
    pub open: bool,
    pub skip: u32,
    pub most: u32,
}

/// What becomes different about an order without touching its build; `None` leaves it as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Revision {
    /// 0 goes first, 9 last.
    pub priority: Option<u8>,
    /// `Some(None)` where no day is wanted any more.
    pub due: Option<Option<Day>>,
    /// What was and what is, for the history: days have names in the app only.
    pub words: String,
}

/// What picking came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picked {
    /// Modules that still wait.
    pub left: u32,
    /// The order as it is now: picked, when none waits any more.
    pub order: Order,
}

/// One module for another, at the bench.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swap {
    /// From 1.
    pub machine: u32,
    pub slot: String,
    /// What goes in.
    pub item: ItemId,
    /// Is what comes out to be set aside, and not sold again?
    pub faulty: bool,
    pub why: String,
}

impl Store {
    /// Writes an order down and gives it a number.
    ///
    /// # Errors
    /// It has no customer, or figures out of range.
    pub fn new_order(&self, order: &NewOrder, who: &Who) -> Result<Order, StoreError> {
        changing!(self, orders::create(order, who))
    }
    /// One order.
    ///
    /// # Errors
    /// There is none.
    pub fn order(&self, id: OrderId) -> Result<Order, StoreError> {
        looking!(self, orders::one(id))
    }
    /// One order by its number; `O-00042`, `o-42` and `42` are the same.
    ///
    /// # Errors
    /// There is none.
    pub fn order_by_number(&self, number: &str) -> Result<Order, StoreError> {
        looking!(self, orders::by_number(number))
    }
    /// Orders: open ones in the order in which they go, then closed ones, the newest first.
    ///
    /// # Errors
    /// The database's.
    pub fn orders(&self, filter: &OrderFilter) -> Result<Page<Order>, StoreError> {
        looking!(self, orders::list(filter))
    }
    /// The steps that an order took.
    ///
    /// # Errors
    /// The database's.
    pub fn steps(&self, id: OrderId) -> Result<Vec<Stamped>, StoreError> {
        looking!(self, orders::steps(id))
    }
    /// Chooses a build, a document of the app, with what it comes to; an earlier choice and its promises go.
    ///
    /// # Errors
    /// The order is past that, or was changed since `version`.
    pub fn choose_build(
        &self,
        id: OrderId,
        version: Option<i64>,
        build: &str,
        priced: Priced,
        who: &Who,
    ) -> Result<Order, StoreError> {
        changing!(self, orders::choose(id, version, build, priced, who))
    }
    /// Takes an order on to `to`. Cancelling releases everything; shipping takes the modules out of the stock.
    ///
    /// # Errors
    /// The stage does not follow, modules are not that far, or the order was changed since `version`.
    pub fn advance(
        &self,
        id: OrderId,
        version: Option<i64>,
        to: Stage,
        note: &str,
        who: &Who,
    ) -> Result<Order, StoreError> {
        changing!(self, orders::advance(id, version, to, note, who))
    }
    /// Changes an order's priority or due day.
    ///
    /// # Errors
    /// The order is closed or was changed since `version`, the priority is out of range, or nothing would be different.
    pub fn revise_order(
        &self,
        id: OrderId,
        version: Option<i64>,
        revision: &Revision,
        who: &Who,
    ) -> Result<Order, StoreError> {
        changing!(self, orders::revise(id, version, revision, who))
    }
    /// Promises these modules to an order whose build is chosen: all, or none.
    ///
    /// # Errors
    /// [`StoreError::Taken`] names every module that can't be had.
    pub fn reserve(&self, id: OrderId, version: Option<i64>, claims: &[Claim], who: &Who) -> Result<Order, StoreError> {
        changing!(self, promise::hold(id, version, claims, who))
    }
    /// What is and was promised to an order.
    ///
    /// # Errors
    /// The database's.
    pub fn reservations(&self, id: OrderId) -> Result<Vec<Reservation>, StoreError> {
        looking!(self, promise::of(id))
    }
    /// Marks promised items as picked, all or none; with the last one the order is picked.
    ///
    /// # Errors
    /// One of them is not what the order waits for, or the order was changed since `version`.
    pub fn pick(&self, id: OrderId, version: Option<i64>, items: &[ItemId], who: &Who) -> Result<Picked, StoreError> {
        changing!(self, promise::pick(id, version, items, who))
    }
    /// Exchanges a module at the bench; both keep their history. Gives the one that went in, and the order as it is now.
    ///
    /// # Errors
    /// The order is not at the bench or was changed since `version`, the slot is empty, or the new module can't be had.
    pub fn swap(
        &self,
        id: OrderId,
        version: Option<i64>,
        exchange: &Swap,
        who: &Who,
    ) -> Result<(Item, Order), StoreError> {
        changing!(self, promise::swap(id, version, exchange, who))
    }
    /// What does not hold together in the store; nothing, if all is well.
    ///
    /// # Errors
    /// The database's.
    pub fn faults(&self) -> Result<Vec<String>, StoreError> {
        looking!(self, check::all())
    }
}
