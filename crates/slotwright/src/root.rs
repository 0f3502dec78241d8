//! The root folder of a file system, this machine's or another one's, of which kernel files are read.

use readers::edac::{self, Files};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::PathBuf;

/// Most bytes of one file; the largest tables of real machines have some 64 KiB.
const MOST: u64 = 4 * 1024 * 1024;

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
    /// Is the folder itself there?
    pub fn is_there(&self) -> bool {
        self.0.is_dir()
    }
    /// A file's bytes.
    ///
    /// # Errors
    /// It is not there, may not be read, or is too large.
    pub fn bytes(&self, below: &str) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        File::open(self.0.join(below))?.take(MOST + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > MOST { Err(io::Error::other("it is larger than 4 MiB")) } else { Ok(bytes) }
    }
    /// The names in a folder, in order.
    ///
    /// # Errors
    /// It is not there or may not be read.
    pub fn names(&self, below: &str) -> io::Result<Vec<String>> {
        let entries = fs::read_dir(self.0.join(below))?;
        let mut names: Vec<String> = entries.flatten().map(|e| e.file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        Ok(names)
    }
}

/// Its error counters.
pub struct Counters<'a>(pub &'a Root);

impl Files for Counters<'_> {
    fn list(&self, folder: &str) -> Option<Vec<String>> {
        self.0.names(&format!("{}/{folder}", edac::FOLDER)).ok()
    }
    fn read(&self, path: &str) -> Option<String> {
        let bytes = self.0.bytes(&format!("{}/{path}", edac::FOLDER)).ok()?;
        Some(String::from_utf8_lossy(&bytes).into_owned())
    }
}

/// The time now, as RFC 3339 text to the second.
pub fn now() -> String {
    let now = jiff::Timestamp::now();
    jiff::Timestamp::from_second(now.as_second()).unwrap_or(now).to_string()
}
