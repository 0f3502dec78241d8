//! Why a store can't do what was asked.

use domain::item::{ItemId, ItemState};
use domain::order::Stage;

/// A row of an intake that can't be taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    /// Which of the items given, from 0.
    pub row: usize,
    pub why: String,
}

/// A module that was asked for and can't be promised.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    pub item: ItemId,
    pub slot: String,
    pub why: String,
}

/// Why a store can't do what was asked. Nothing was changed then.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No such file or server, or not one of ours.
    #[error("the store {place} can't be opened: {why}")]
    Open { place: String, why: String },
    /// Of a later version of this program.
    #[error("the store {place} was written by a later version of this program")]
    Later { place: String },
    /// A neighbour held it for too long.
    #[error("the store is busy: other workers changed the same rows {turns} times in a row")]
    Busy { turns: u32 },
    /// Nothing by that name or number.
    #[error("there is no {what} {which}")]
    Absent { what: &'static str, which: String },
    /// Somebody else changed it since it was looked at.
    #[error("{what} {which} was changed by somebody else since you looked at it")]
    Changed { what: &'static str, which: String },
    /// Rows of an intake.
    #[error("{} row(s) can't be taken in", .0.len())]
    Rows(Vec<RowFault>),
    /// Modules that are promised elsewhere or gone.
    #[error("{} module(s) can't be promised: {}", .0.len(), taken(.0))]
    Taken(Vec<Taken>),
    /// The order is elsewhere in its life.
    #[error("order {order} is {from}; it can't become {to}")]
    Stage { order: String, from: Stage, to: Stage },
    /// The item is not where this needs it.
    #[error("item {item} is {state}; this needs one that is {needed}")]
    State { item: ItemId, state: ItemState, needed: &'static str },
    /// What was asked makes no sense, whatever is there.
    #[error("{0}")]
    Refused(String),
    /// What was asked makes sense, but not as things stand: closed, expired, promised.
    #[error("{why}")]
    NotNow { why: String, hint: &'static str },
    /// A value in the store that this program never writes.
    #[error("the store holds `{value}` where a {what} is expected")]
    Foreign { what: &'static str, value: String },
    /// The database's own word.
    #[error("the database says: {0}")]
    Database(#[source] sqlx::Error),
}

fn taken(list: &[Taken]) -> String {
    let few: Vec<String> = list.iter().take(3).map(|t| format!("item {} for {}: {}", t.item, t.slot, t.why)).collect();
    let more = list.len().saturating_sub(few.len());
    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
    format!("{}{more}", few.join("; "))
}

impl StoreError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Open { .. } => {
                "name a file that may be written, or postgres://USER@HOST/DATABASE of a running server"
            }
            Self::Later { .. } => "use that version, or open a backup of this version",
            Self::Busy { .. } => "try again; if it stays so, look for a worker that hangs",
            Self::Absent { .. } => "list what there is, and take a name from there",
            Self::Changed { .. } => "look at it again and repeat what is still right",
            Self::Rows(_) => "nothing was taken in: mend the rows, or leave them out, and give the rest again",
            Self::Taken(_) => "nothing was promised: choose other modules, or run the allocation again",
            Self::Stage { .. } => "look at the order's steps, and take the one that comes next",
            Self::State { .. } => "put the item back on the shelf first, if that is right",
            Self::Refused(_) => "mend what was given and try again",
            Self::NotNow { hint, .. } => hint,
            Self::Foreign { .. } => "restore a backup; if no other program wrote to the store, report this",
            Self::Database(_) => "look at the database's log and at its free space",
        }
    }
    /// Is it only that two workers met, so that the next try may pass?
    pub(crate) fn is_passing(&self) -> bool {
        let Self::Database(sqlx::Error::Database(error)) = self else { return false };
        // SQLite: busy, locked, busy snapshot; PostgreSQL: serialization failure, deadlock, and a row that another worker wrote
        // between our look and our write: the next look sees it.
        error.code().is_some_and(|c| ["5", "6", "261", "517", "40001", "40P01", "23505"].contains(&c.as_ref()))
    }
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error)
    }
}
