//! The rows as PostgreSQL has them.

/// The database that `rows` is compiled for here.
pub type Db = sqlx::Postgres;

#[path = "rows/mod.rs"]
#[allow(clippy::duplicate_mod, reason = "one text of SQL for two typed databases")]
pub mod rows;
