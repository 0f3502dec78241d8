//! Stock: taking in, looking up, changing.

use crate::bought::Bought;
use crate::db::{Store, changing, looking};
use crate::error::{RowFault, StoreError};
use domain::item::{
    Event, FreeItem, FreeLot, Item, ItemId, ItemState, Model, NewItem, Screened, Search, Shelf, Subject, Who, Worth,
};
use domain::{Condition, Day, Money};

/// An item that was taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Took {
    pub id: ItemId,
    /// Was it here before?
    pub again: bool,
}

/// Some of what was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page<T> {
    pub list: Vec<T>,
    /// How many there are in all; where counting would take long, at least so many.
    pub found: u64,
}

/// What becomes different about an item; `None` leaves it as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ItemChange {
    pub bin: Option<String>,
    pub state: Option<ItemState>,
    pub screened: Option<Screened>,
    pub screening_note: Option<String>,
    pub note: Option<String>,
    /// Of a lot only so many, which become an item of their own.
    pub part: Option<u32>,
    /// Why, for the history.
    pub why: String,
}

impl ItemChange {
    /// What it changes, for the history.
    pub(crate) fn words(&self, old: &Item) -> String {
        let mut parts = Vec::new();
        let mut part = |what: &str, from: String, to: Option<String>| {
            if let Some(to) = to.filter(|to| *to != from) {
                parts.push(format!("{what} {} to {}", quoted(&from), quoted(&to)));
            }
        };
        part("bin", old.bin.clone(), self.bin.clone());
        part("state", old.state.to_string(), self.state.map(|s| s.to_string()));
        part("screening", old.screened.to_string(), self.screened.map(|s| s.to_string()));
        part("note", old.note.clone(), self.note.clone());
        if !self.why.is_empty() {
            parts.push(self.why.clone());
        }
        parts.join("; ")
    }
}

/// What was written wrong of an item; `None` leaves it as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Correction {
    pub model: Option<Model>,
    /// `Some(None)`: it bears none.
    pub serial: Option<Option<String>>,
    pub condition: Option<Condition>,
    pub quantity: Option<u32>,
    pub cost: Option<Money>,
    pub received: Option<Day>,
    pub bought: Option<Bought>,
    /// Why, for the history.
    pub why: String,
}

fn quoted(text: &str) -> String {
    if text.is_empty() { "none".to_string() } else { format!("`{text}`") }
}

impl Store {
    /// Takes in all items, or none: every row that can't be is then told.
    ///
    /// # Errors
    /// [`StoreError::Rows`] where a serial is in stock already, twice among the items, or a count is wrong.
    pub fn take_in(&self, items: &[NewItem], who: &Who) -> Result<Vec<Took>, StoreError> {
        changing!(self, stock::take_in(items, who))
    }
    /// Why some of these could not be taken in, each as if it came alone.
    ///
    /// # Errors
    /// The database's.
    pub fn refusals(&self, items: &[NewItem]) -> Result<Vec<RowFault>, StoreError> {
        looking!(self, stock::refusals(items))
    }
    /// One item.
    ///
    /// # Errors
    /// There is none of that number.
    pub fn item(&self, id: ItemId) -> Result<Item, StoreError> {
        looking!(self, stock::item(id))
    }
    /// Items with that whole serial, in any case; makers may share one.
    ///
    /// # Errors
    /// The database's.
    pub fn items_by_serial(&self, serial: &str) -> Result<Vec<Item>, StoreError> {
        looking!(self, stock::by_serial(serial))
    }
    /// Changes an item; `version` is the one that somebody looked at, where it matters.
    ///
    /// # Errors
    /// It is not there, was changed meanwhile, or would leave the shelf while it is promised.
    pub fn change_item(
        &self,
        id: ItemId,
        version: Option<i64>,
        change: &ItemChange,
        who: &Who,
    ) -> Result<Item, StoreError> {
        changing!(self, stock::change(id, version, change, who))
    }
    /// Mends what was written wrong of an item; `version` is the one that somebody looked at, where it matters.
    ///
    /// # Errors
    /// It is not there, was changed meanwhile, is promised as what it was, says that already, or serial or currency don't fit
    /// to the others.
    pub fn correct_item(
        &self,
        id: ItemId,
        version: Option<i64>,
        to: &Correction,
        who: &Who,
    ) -> Result<Item, StoreError> {
        changing!(self, correct::correct(id, version, to, who))
    }
    /// What there is by model and condition.
    ///
    /// # Errors
    /// The database's.
    pub fn shelf(&self, search: &Search) -> Result<Page<Shelf>, StoreError> {
        looking!(self, find::shelf(search))
    }
    /// Single items, the newest first. `found` counts only as far as the page after this one.
    ///
    /// # Errors
    /// The database's.
    pub fn items(&self, search: &Search) -> Result<Page<Item>, StoreError> {
        looking!(self, find::items(search))
    }
    /// What is in stock by generation, kind, condition and state, with what it cost.
    ///
    /// # Errors
    /// The database's.
    pub fn worth(&self) -> Result<Vec<Worth>, StoreError> {
        looking!(self, find::worth())
    }
    /// What can be promised, gathered as a planner needs it.
    ///
    /// # Errors
    /// The database's.
    pub fn free_lots(&self) -> Result<Vec<FreeLot>, StoreError> {
        looking!(self, find::free_lots())
    }
    /// What can be promised, item by item.
    ///
    /// # Errors
    /// The database's.
    pub fn free_items(&self) -> Result<Vec<FreeItem>, StoreError> {
        looking!(self, find::free_items())
    }
    /// What happened to something, the oldest first.
    ///
    /// # Errors
    /// The database's.
    pub fn history(&self, about: Subject) -> Result<Vec<Event>, StoreError> {
        looking!(self, history::of(about))
    }
}
