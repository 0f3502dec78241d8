//! The repository in memory: every text file by its path. Checks read this, so that a test can bring its own.

use std::collections::BTreeMap;
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

/// What a chore gives: is the repository as it should be?
pub type Done = Result<bool, Box<dyn Error>>;

/// Folders that hold nothing of ours.
const SKIPPED: &[&str] = &[".git", "target", "node_modules"];
/// Files that are read as text, by how their name ends.
const TEXT: &[&str] = &["rs", "toml", "md", "json", "yml", "css", "js", "sql", "lock"];
/// Text files whose name has no ending.
const BARE: &[&str] = &["test", "run", "LICENSE-APACHE", "LICENSE-MIT"];

/// All text files of the repository.
pub struct Repo {
    pub root: PathBuf,
    /// Path from the root with `/`, and the text.
    pub files: BTreeMap<String, String>,
}

impl Repo {
    /// Reads the repository that this program was built from.
    pub fn load() -> Result<Self, Box<dyn Error>> {
        let root =
            Path::new(env!("CARGO_MANIFEST_DIR")).parent().ok_or("xtask does not lie in a repository")?.to_path_buf();
        let mut files = BTreeMap::new();
        read_folder(&root, "", &mut files)?;
        Ok(Self { root, files })
    }
    /// A repository of a few files, for a test.
    #[cfg(test)]
    pub fn of(files: &[(&str, &str)]) -> Self {
        Self { root: PathBuf::new(), files: files.iter().map(|(p, t)| ((*p).to_string(), (*t).to_string())).collect() }
    }
    /// The files under a folder with an ending.
    pub fn under<'a>(&'a self, folder: &'a str, ending: &'a str) -> impl Iterator<Item = (&'a str, &'a str)> {
        self.files
            .iter()
            .filter(move |(p, _)| p.starts_with(folder) && p.ends_with(ending))
            .map(|(p, t)| (p.as_str(), t.as_str()))
    }
    /// All Rust files.
    pub fn rust(&self) -> impl Iterator<Item = (&str, &str)> {
        self.under("", ".rs")
    }
}

fn read_folder(folder: &Path, prefix: &str, files: &mut BTreeMap<String, String>) -> Result<(), Box<dyn Error>> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        if entry.file_type()?.is_dir() {
            if !SKIPPED.contains(&name.as_str()) {
                read_folder(&entry.path(), &format!("{path}/"), files)?;
            }
        } else if is_text(&name) {
            files.insert(path, fs::read_to_string(entry.path())?);
        }
    }
    Ok(())
}

fn is_text(name: &str) -> bool {
    match name.rsplit_once('.') {
        Some((_, ending)) => TEXT.contains(&ending),
        None => BARE.contains(&name),
    }
}

/// Something that is not as it should be.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Remark {
    pub path: String,
    /// Counted from 1; 0 for the whole file.
    pub line: usize,
    pub words: String,
    /// Does it fail the check, or is it only told?
    pub fails: bool,
}

impl Remark {
    /// A remark that fails the check.
    pub fn fail(path: &str, line: usize, words: impl Into<String>) -> Self {
        Self { path: path.to_string(), line, words: words.into(), fails: true }
    }
    /// A remark that is only told.
    pub fn tell(path: &str, line: usize, words: impl Into<String>) -> Self {
        Self { fails: false, ..Self::fail(path, line, words) }
    }
}
