//! SQL, in one text for both databases. `Db` is the one that these files are being compiled for.

use super::Db;

pub mod allocation;
pub mod attachments;
pub mod batches;
pub mod cells;
pub mod check;
pub mod correct;
pub mod failures;
pub mod find;
pub mod history;
pub mod orders;
pub mod prices;
pub mod promise;
pub mod quotes;
pub mod settings;
pub mod stock;
pub mod takes;
pub mod tokens;

/// A transaction; everything here runs within one.
pub type Tx<'t> = sqlx::Transaction<'t, Db>;
/// A row of an answer.
pub type Row = <Db as sqlx::Database>::Row;
