//! Where files come from: a folder on disk, the data that the program carries, or nowhere.

use crate::error::CatalogError;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};

/// The longest file that is read, in bytes.
pub const LONGEST: usize = 4 << 20;

/// A place that holds files, by relative path.
pub trait Files {
    /// The bytes of a file; at most [`LONGEST`] + 1 of them.
    ///
    /// # Errors
    /// The file is not there or can't be read.
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// The `.toml` files of a folder, in order of name; none where there is no such folder.
    ///
    /// # Errors
    /// The folder is there but can't be read.
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;
}

/// A folder on disk.
#[derive(Debug, Clone, Default)]
pub struct Folder(PathBuf);

impl Folder {
    /// The folder at `root`; an empty path means that paths hold as they are written.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self(root.into())
    }
}

impl Files for Folder {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let mut bytes = Vec::new();
        let file = File::open(self.0.join(path))?;
        file.take(LONGEST as u64 + 1).read_to_end(&mut bytes)?;
        Ok(bytes)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let mut paths = Vec::new();
        let entries = match std::fs::read_dir(self.0.join(folder)) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(paths),
            entries => entries?,
        };
        for entry in entries {
            let name = PathBuf::from(entry?.file_name());
            if name.extension().is_some_and(|e| e == "toml") {
                paths.push(folder.join(name));
            }
        }
        paths.sort();
        Ok(paths)
    }
}

/// The data files that the program carries.
#[derive(Debug, Clone, Copy, Default)]
pub struct Shipped;

const SHIPPED: &[(&str, &[u8])] = include!(concat!(env!("OUT_DIR"), "/shipped.rs"));

impl Files for Shipped {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        SHIPPED
            .iter()
            .find(|(name, _)| Path::new(name) == path)
            .map(|(_, bytes)| bytes.to_vec())
            .ok_or_else(|| io::ErrorKind::NotFound.into())
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let inside = SHIPPED.iter().map(|(name, _)| PathBuf::from(name));
        Ok(inside.filter(|p| p.parent() == Some(folder)).collect())
    }
}

/// No files at all: for texts that may name none, such as those typed into a web page.
#[derive(Debug, Clone, Copy, Default)]
pub struct Nowhere;

impl Files for Nowhere {
    fn read(&self, _: &Path) -> io::Result<Vec<u8>> {
        Err(io::Error::new(io::ErrorKind::PermissionDenied, "a text that is no file can name no other file"))
    }
    fn list(&self, _: &Path) -> io::Result<Vec<PathBuf>> {
        Ok(Vec::new())
    }
}

/// One file to read: its name as errors show it, its bytes, and where the files are that it may name.
pub struct Input<'a> {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    pub(crate) beside: &'a dyn Files,
}

impl<'a> Input<'a> {
    /// A file of `files`; it may name others there, by paths relative to its own folder.
    ///
    /// # Errors
    /// The file is not there or can't be read.
    pub fn file(files: &'a dyn Files, path: &Path) -> Result<Self, CatalogError> {
        let bytes = files.read(path).map_err(|e| CatalogError::unreadable(path, &e))?;
        Ok(Self { name: path.display().to_string(), bytes, beside: files })
    }
    /// What stands in it.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// A text that is no file and may name none.
    pub fn text(name: impl Into<String>, text: impl Into<Vec<u8>>) -> Self {
        Self { name: name.into(), bytes: text.into(), beside: &Nowhere }
    }
    /// A path written in this file, as its place reads it.
    pub(crate) fn near(&self, path: &str) -> PathBuf {
        near(&self.name, path)
    }
}

/// A path that the file `from` names, relative to the folder of `from`, without `.` and `..` where they can go.
pub(crate) fn near(from: &str, path: &str) -> PathBuf {
    let mut whole = PathBuf::new();
    let joined = Path::new(from).parent().unwrap_or(Path::new("")).join(path);
    for part in joined.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(whole.components().next_back(), Some(Component::Normal(_))) => {
                whole.pop();
            }
            other => whole.push(other),
        }
    }
    whole
}
