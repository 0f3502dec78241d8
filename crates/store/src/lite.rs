//! The rows as SQLite has them.

/// The database that `rows` is compiled for here.
pub type Db = sqlx::Sqlite;

#[path = "rows/mod.rs"]
pub mod rows;
