//! The shop's settings, a text of the app: kept once, so that no paper lacks them because a file was not named.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use domain::item::Who;

/// Settings that are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// A document of the app.
    pub text: String,
    /// Who kept them, and when.
    pub who: Who,
}

impl Store {
    /// Keeps settings; they hold from now on, and those before stay in the store.
    ///
    /// # Errors
    /// The database's.
    pub fn keep_settings(&self, text: &str, who: &Who) -> Result<Settings, StoreError> {
        changing!(self, settings::keep(text, who))
    }
    /// The settings that hold, where there are some.
    ///
    /// # Errors
    /// The database's.
    pub fn settings(&self) -> Result<Option<Settings>, StoreError> {
        looking!(self, settings::newest())
    }
}
