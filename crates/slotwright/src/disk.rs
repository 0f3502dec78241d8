//! Files, folders and standard input that are read: whole, within limits, in the order of their names.

use std::fs;
use std::io::{self, IsTerminal, Read};
use std::path::{Path, PathBuf};

/// Largest file that is taken: a saved tree of a large machine has some 10 MB in one file.
const MOST: u64 = 64 * 1024 * 1024;
/// Most files of one folder and all below it.
const FILES_MOST: usize = 20_000;
/// Folders within folders.
const DEEPEST: usize = 16;

/// Reads a file.
///
/// # Errors
/// It is not there, may not be read, or is larger than 64 MiB.
pub fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    all(fs::File::open(path)?)
}

/// Reads standard input, unless it is a terminal.
///
/// # Errors
/// It can't be read, or holds more than 64 MiB.
pub fn standard_input() -> io::Result<Option<Vec<u8>>> {
    let input = io::stdin();
    if input.is_terminal() { Ok(None) } else { all(input.lock()).map(Some) }
}

fn all(source: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(MOST + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > MOST {
        return Err(io::Error::other("it is larger than 64 MiB"));
    }
    Ok(bytes)
}

/// The names in a folder, in order.
///
/// # Errors
/// It is not there or may not be read.
pub fn names(folder: &Path) -> io::Result<Vec<String>> {
    let mut names: Vec<String> =
        fs::read_dir(folder)?.flatten().map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    Ok(names)
}

/// Every file of a folder and of those in it, by name. Hidden ones are left out; links to folders are not followed.
///
/// # Errors
/// The folder can't be listed, or holds more than 20,000 files.
pub fn files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    list(folder, DEEPEST, &mut found)?;
    found.sort();
    Ok(found)
}

fn list(folder: &Path, deeper: usize, found: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        let kind = entry.file_type()?;
        if kind.is_dir() {
            if deeper > 0 {
                list(&path, deeper - 1, found)?;
            }
        } else if kind.is_file() || (kind.is_symlink() && path.is_file()) {
            found.push(path);
        }
        if found.len() > FILES_MOST {
            return Err(io::Error::other("the folder holds more than 20,000 files"));
        }
    }
    Ok(())
}

/// A folder as the reader of error counters sees it; paths start within.
#[derive(Debug)]
pub struct Tree(PathBuf);

impl Tree {
    /// The folder and all below it.
    pub fn new(root: &Path) -> Self {
        Self(root.to_path_buf())
    }
}

impl readers::edac::Files for Tree {
    fn list(&self, folder: &str) -> Option<Vec<String>> {
        names(&self.0.join(folder)).ok()
    }
    fn read(&self, path: &str) -> Option<String> {
        Some(String::from_utf8_lossy(&bytes(&self.0.join(path)).ok()?).into_owned())
    }
}
