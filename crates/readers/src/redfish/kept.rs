//! Resources that are held in memory.

use super::{Fetch, Unfetched, path_of};
use std::collections::BTreeMap;

/// Resources by path.
#[derive(Debug, Clone, Default)]
pub struct Kept(BTreeMap<String, Vec<u8>>);

impl Kept {
    /// Holds a resource under its path; a path that can't be one is left out.
    pub fn hold(&mut self, path: &str, text: impl Into<Vec<u8>>) {
        if let Some(path) = path_of(path) {
            self.0.insert(path, text.into());
        }
    }
}

impl Fetch for Kept {
    fn get(&mut self, path: &str) -> Result<Vec<u8>, Unfetched> {
        self.0.get(path).cloned().ok_or(Unfetched::Missing)
    }
    fn paths(&self) -> Vec<String> {
        self.0.keys().cloned().collect()
    }
}
