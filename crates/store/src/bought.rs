//! Suppliers and what was bought from them.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use crate::stock::{Page, Took};
use domain::Day;
use domain::item::{BatchId, NewItem, Who};

/// A purchase: from whom, by which reference, when.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Bought {
    pub supplier: String,
    /// The supplier's invoice or delivery, or the shop's own name of it.
    pub reference: String,
    pub on: Day,
}

/// A purchase with what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batch {
    pub id: BatchId,
    pub bought: Bought,
    pub warranty_until: Option<Day>,
    pub note: String,
    /// Modules of it that came in, whatever became of them since.
    pub modules: u32,
    /// Modules of it that were found faulty.
    pub failed: u32,
}

/// Items of one intake that change what the database should expect.
const MANY: usize = 500;

impl Store {
    /// Takes in all items, or none, each with what it was bought with; batches that are new are written down with them.
    ///
    /// # Errors
    /// As [`Store::take_in`].
    pub fn take_in_bought(&self, items: &[(NewItem, Option<Bought>)], who: &Who) -> Result<Vec<Took>, StoreError> {
        let took = changing!(self, stock::take_in_bought(items, who))?;
        if items.len() >= MANY {
            self.settle();
        }
        Ok(took)
    }
    /// Every batch, by supplier and reference.
    ///
    /// # Errors
    /// The database's.
    pub fn batches(&self) -> Result<Vec<Batch>, StoreError> {
        looking!(self, batches::list(None))
    }
    /// The newest batches, by the day on which they were bought.
    ///
    /// # Errors
    /// The database's.
    pub fn newest_batches(&self, most: u32) -> Result<Page<Batch>, StoreError> {
        looking!(self, batches::newest(most))
    }
    /// One batch.
    ///
    /// # Errors
    /// There is none of that number.
    pub fn batch(&self, id: BatchId) -> Result<Batch, StoreError> {
        let found = looking!(self, batches::list(Some(id)))?;
        found.into_iter().next().ok_or_else(|| StoreError::Absent { what: "batch", which: id.to_string() })
    }
    /// Says until when the modules of a batch can go back.
    ///
    /// # Errors
    /// There is none of that number.
    pub fn set_warranty(&self, id: BatchId, until: Day, words: &str, who: &Who) -> Result<Batch, StoreError> {
        changing!(self, batches::warranty(id, until, words, who))
    }
}
