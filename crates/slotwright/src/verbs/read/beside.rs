//! Where the files are that a list of modules names.

use super::super::sent::Sent;
use crate::disk;
use std::io;
use std::path::{Path, PathBuf};

/// Files beside a list: those of its folder, or those that were sent with it, and then never one of the disk.
#[derive(Debug, Clone, Copy)]
pub enum Beside<'a> {
    Folder(&'a Path),
    Sent(&'a [Sent<'a>]),
}

impl Beside<'_> {
    /// The folder that the program was started in.
    pub fn here() -> Self {
        Self::Folder(Path::new("."))
    }
    /// A file by the name that the list gives it; `None` where there is none.
    pub fn bytes(self, name: &str) -> Option<io::Result<Vec<u8>>> {
        match self {
            Self::Folder(folder) => {
                let path = folder.join(name);
                path.is_file().then(|| disk::bytes(&path))
            }
            Self::Sent(files) => files.iter().find(|f| f.name == name).map(|f| Ok(f.bytes.to_vec())),
        }
    }
    /// What marks a file as read with its list.
    pub fn mark(self, name: &str) -> PathBuf {
        match self {
            Self::Folder(folder) => folder.join(name),
            Self::Sent(_) => PathBuf::from(name),
        }
    }
}
