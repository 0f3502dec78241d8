//! The good files in memory, and a reader of one label that stands for the real one.

use catalog::{Files, Folder, Input, Library, Unread};
use domain::{Module, module::ModuleId};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Files in memory.
#[derive(Debug, Clone, Default)]
pub struct Memory(pub BTreeMap<PathBuf, Vec<u8>>);

impl Memory {
    /// All files of `tests/good`.
    pub fn good() -> Self {
        let folder = Folder::new(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/good"));
        let mut all = BTreeMap::new();
        for place in ["", "boards", "modules", "processors"] {
            for path in folder.list(Path::new(place)).expect("the good files are there") {
                let bytes = folder.read(&path).expect("a good file can be read");
                all.insert(path, bytes);
            }
        }
        Self(all)
    }
    /// The text of a file.
    pub fn text(&self, path: &str) -> String {
        String::from_utf8(self.0[Path::new(path)].clone()).expect("good files are text")
    }
    /// The same files with one changed or added.
    pub fn with(mut self, path: &str, bytes: impl Into<Vec<u8>>) -> Self {
        self.0.insert(path.into(), bytes.into());
        self
    }
    /// Everything that these files say.
    pub fn library(&self) -> Library {
        Library::load(self).unwrap_or_else(|e| panic!("{}", e.render(false)))
    }
    /// Reads a file as what its name says it is; says what it is in one line.
    pub fn read(&self, path: &str) -> Result<(), catalog::CatalogError> {
        let library = Library::load(self)?;
        let input = Input::file(self, Path::new(path))?;
        match Path::new(path).file_stem().and_then(|s| s.to_str()) {
            Some("build") => library.build(&input, &label).map(drop),
            Some("need") => library.need(&input, &label).map(drop),
            Some("stock") => library.stock(&input, &label).map(drop),
            Some("own") => library.board(&input).map(drop),
            _ => Ok(()),
        }
    }
}

impl Files for Memory {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.0.get(path).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        Ok(self.0.keys().filter(|p| p.parent() == Some(folder)).cloned().collect())
    }
}

/// Knows one label that is in no catalogue.
pub fn label(text: &str) -> Result<Module, Unread> {
    let library = Memory::good().library();
    let like = &library.catalog().modules["r32"];
    if text != "16GB 1Rx4 PC4-2933Y-R" {
        let message = format!("`{text}` is no module label");
        return Err(Unread { message, hint: "copy the label from the module".into() });
    }
    Ok(Module { id: ModuleId(text.into()), label: text.into(), ..Module::clone(like) })
}
