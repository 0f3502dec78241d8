//! `store`: where it is, whether it holds together, and a copy of it.

use crate::failure::Failure;
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;
use store::{Engine, Store};

/// The store, looked over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StoreView {
    /// The file, or the server without a password.
    pub place: String,
    /// `sqlite` or `postgresql`.
    pub database: String,
    /// What does not hold together; empty where all is well.
    pub faults: Vec<String>,
}

/// Looks the store over.
///
/// # Errors
/// The database's.
pub fn look(store: &Store) -> Result<StoreView, Failure> {
    let database = match store.engine() {
        Engine::Sqlite => "sqlite",
        Engine::Postgres => "postgresql",
    };
    Ok(StoreView { place: store.place().to_string(), database: database.to_string(), faults: store.faults()? })
}

/// Copies a store in one file to a new one, also while others work with it.
///
/// # Errors
/// The new file is there already, or the store is on a server.
pub fn backup(store: &Store, to: &Path) -> Result<(), Failure> {
    Ok(store.backup(to)?)
}
