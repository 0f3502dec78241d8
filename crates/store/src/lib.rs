//! The shop's memory: stock, orders, quotes and what happened to them, in SQLite or PostgreSQL.
//!
//! The only room that knows SQL. The files under `rows/` are compiled once for each database with the same SQL; what is
//! public here hides which one it is, waits for it, and tries again where two workers got in each other's way.

mod allocation;
mod bought;
mod db;
mod error;
mod evidence;
mod lite;
mod migrate;
mod orders;
mod pg;
mod quotes;
mod settings;
mod stock;
mod takes;
mod tokens;

pub use allocation::{Allocation, Assigned};
pub use bought::{Batch, Bought};
pub use db::{Engine, Place, Store};
pub use error::{RowFault, StoreError, Taken};
pub use evidence::{ATTACHMENT_MOST, Closing, Content, NewAttachment, Record, Sending};
pub use orders::{OrderFilter, Picked, Revision, Swap};
pub use quotes::{KeptList, QuoteFilter, Terms};
pub use settings::Settings;
pub use stock::{Correction, ItemChange, Page, Took};
pub use takes::Counted;
pub use tokens::Token;
