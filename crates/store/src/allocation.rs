//! Proposals of who gets what.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use domain::item::Who;
use domain::order::{Claim, OrderId, Priced};

/// A proposal that is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Allocation {
    pub number: i64,
    /// `proposed`, `accepted`, `partly accepted` or `withdrawn`.
    pub state: String,
    /// A document of the app.
    pub answer: String,
}

/// Which proposal it is and how it stands, without its document: that is long, and never changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllocationHead {
    pub number: i64,
    /// When it was made, in seconds since 1970.
    pub made: i64,
    /// As of [`Allocation`].
    pub state: String,
}

/// What a proposal gives to one order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assigned {
    pub order: OrderId,
    /// The order's version that was looked at.
    pub version: i64,
    /// The chosen build, a document of the app.
    pub build: String,
    pub priced: Priced,
    pub claims: Vec<Claim>,
}

impl Store {
    /// Keeps a proposal and gives its number; an older one that still waits is withdrawn.
    ///
    /// # Errors
    /// The database's.
    pub fn propose(&self, answer: &str, served: &[OrderId], who: &Who) -> Result<i64, StoreError> {
        changing!(self, allocation::propose(answer, served, who))
    }
    /// A proposal by its number.
    ///
    /// # Errors
    /// There is none.
    pub fn allocation(&self, number: i64) -> Result<Allocation, StoreError> {
        looking!(self, allocation::one(number))
    }
    /// The newest proposal.
    ///
    /// # Errors
    /// The database's.
    pub fn newest_allocation(&self) -> Result<Option<Allocation>, StoreError> {
        looking!(self, allocation::newest())
    }
    /// The newest proposal without its document.
    ///
    /// # Errors
    /// The database's.
    pub fn newest_allocation_head(&self) -> Result<Option<AllocationHead>, StoreError> {
        looking!(self, allocation::newest_head())
    }
    /// Orders that a proposal serves and that still wait for modules, with the version that each has now.
    ///
    /// # Errors
    /// The database's.
    pub fn waiting_of(&self, number: i64) -> Result<Vec<(OrderId, i64)>, StoreError> {
        looking!(self, allocation::waiting(number))
    }
    /// Orders that a proposal serves, each with what became of that: `proposed` or `accepted`.
    ///
    /// # Errors
    /// The database's.
    pub fn allocated(&self, number: i64) -> Result<Vec<(OrderId, String)>, StoreError> {
        looking!(self, allocation::states(number))
    }
    /// Accepts what a proposal gives to these orders: all of them, or none.
    ///
    /// # Errors
    /// It was accepted or withdrawn, an order was changed meanwhile, or a module is gone.
    pub fn accept(&self, number: i64, assigned: &[Assigned], who: &Who) -> Result<(), StoreError> {
        changing!(self, allocation::accept(number, assigned, who))
    }
}
