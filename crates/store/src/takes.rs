//! Taking stock.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use domain::item::{Item, ItemId, Who};

/// What a stock-take of a bin changes; each item with the version that was looked at.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Counted {
    pub bin: String,
    /// Found here, and elsewhere by the store.
    pub here: Vec<(ItemId, i64)>,
    /// Found here, and missing by the store.
    pub back: Vec<(ItemId, i64)>,
    /// Not found.
    pub missing: Vec<(ItemId, i64)>,
    /// All of it, a document of the app.
    pub result: String,
}

impl Store {
    /// What a bin should hold: items on the shelf or held back, in the order of their numbers.
    ///
    /// # Errors
    /// The database's.
    pub fn in_bin(&self, bin: &str) -> Result<Vec<Item>, StoreError> {
        looking!(self, takes::of_bin(bin))
    }
    /// Makes the store say what a stock-take found; its number.
    ///
    /// # Errors
    /// An item was changed meanwhile, or one that is missing is promised. Nothing is changed then.
    pub fn accept_count(&self, counted: &Counted, who: &Who) -> Result<i64, StoreError> {
        changing!(self, takes::accept(counted, who))
    }
}
