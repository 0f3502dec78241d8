//! The root folder of a file system, this machine's or another one's, of which kernel files are read.

use crate::disk;
use std::io;
use std::path::PathBuf;

/// The root folder.
pub struct Root(PathBuf);

impl Root {
    /// A root folder; `None` is this machine's.
    pub fn new(folder: Option<PathBuf>) -> Self {
        Self(folder.unwrap_or_else(|| PathBuf::from("/")))
    }
    /// A path below it, as a person would write it.
    pub fn path(&self, below: &str) -> String {
        self.0.join(below).display().to_string()
    }
    /// Its error counters.
    pub fn counters(&self) -> disk::Tree {
        disk::Tree::new(&self.0.join(readers::edac::FOLDER))
    }
    /// Is the folder itself there?
    pub fn is_there(&self) -> bool {
        self.0.is_dir()
    }
    /// A file's bytes.
    ///
    /// # Errors
    /// It is not there, may not be read, or is too large.
    pub fn bytes(&self, below: &str) -> io::Result<Vec<u8>> {
        disk::bytes(&self.0.join(below))
    }
    /// The names in a folder, in order.
    ///
    /// # Errors
    /// It is not there or may not be read.
    pub fn names(&self, below: &str) -> io::Result<Vec<String>> {
        disk::names(&self.0.join(below))
    }
}

/// The time now, as RFC 3339 text to the second.
pub fn now() -> String {
    let now = jiff::Timestamp::now();
    jiff::Timestamp::from_second(now.as_second()).unwrap_or(now).to_string()
}
