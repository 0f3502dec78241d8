//! The library: everything that data files say, the program's own and a shop's over it.

use crate::error::{CatalogError, Fault, Problem};
use crate::files::{Files, Input, Shipped};
use crate::inherit::{Bases, Layer, Layers, whole};
use crate::read;
use crate::reading::{Citing, Origins, Reading};
use crate::shape::names::NamesFile;
use crate::shape::processor::{ModulesFile, ProcessorFile};
use crate::shape::{SourcesFile, board::BoardFile};
use crate::text::{Span, shown};
use crate::tree::Node;
use domain::board::Board;
use domain::source::Source;
use domain::{Catalog, ProcessorName, SourceId};
use std::collections::BTreeMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Boards, processors, modules and sources, and the texts that boards can be inherited from.
#[derive(Debug, Clone, Default)]
pub struct Library {
    catalog: Catalog,
    boards: BTreeMap<String, Layers>,
    names: Vec<ProcessorName>,
}

impl Library {
    /// The data that the program carries.
    ///
    /// # Errors
    /// A file of it is wrong, which tests rule out.
    pub fn shipped() -> Result<Self, CatalogError> {
        Self::load(&Shipped)
    }
    /// A folder of data that stands alone: every source must be in its `sources.toml`.
    ///
    /// # Errors
    /// All faults of all its files.
    pub fn load(files: &dyn Files) -> Result<Self, CatalogError> {
        Self::default().over(files, true)
    }
    /// This library with a shop's own folder of data over it. An entry of the same id replaces what was there;
    /// a source may be any text.
    ///
    /// # Errors
    /// All faults of all files of the folder.
    pub fn with(&self, files: &dyn Files) -> Result<Self, CatalogError> {
        self.over(files, false)
    }
    /// Boards, processors, modules and sources by id.
    pub fn catalog(&self) -> &Catalog {
        &self.catalog
    }
    /// What processors' own names tell, a shop's before the program's: the first that matches holds.
    pub fn names(&self) -> &[ProcessorName] {
        &self.names
    }
    /// This library with a file of processor names before those that it has.
    ///
    /// # Errors
    /// All faults of the file.
    pub fn with_names(&self, input: &Input<'_>) -> Result<Self, CatalogError> {
        let mut reading = Reading::default();
        let mut library = self.clone();
        library.add_names(&mut reading, &input.name, &input.bytes, false);
        reading.finish(Some(library))
    }
    /// The text of a board's own file, without those that it inherits.
    pub fn board_text(&self, id: &str) -> Option<String> {
        let own = self.boards.get(id)?.first()?;
        Some(String::from_utf8_lossy(&own.bytes).into_owned())
    }
    /// Reads a board file; its id is the stem of its name. It may inherit boards of this library by name, and files by path.
    ///
    /// # Errors
    /// All faults of the file and those that it inherits.
    pub fn board(&self, input: &Input<'_>) -> Result<Arc<Board>, CatalogError> {
        let mut reading = Reading::default();
        let board = self.board_in(&mut reading, input);
        reading.finish(board)
    }
    pub(crate) fn board_in(&self, reading: &mut Reading, input: &Input<'_>) -> Option<Arc<Board>> {
        let first = Layer { name: input.name.clone(), bytes: input.bytes.as_slice().into() };
        let bases = Bases { files: input.beside, siblings: &BTreeMap::new(), before: &self.boards };
        let id = stem(Path::new(&input.name));
        self.read_board(reading, &id, first, &bases, false).map(|(board, _)| board)
    }

    fn read_board(
        &self,
        reading: &mut Reading,
        id: &str,
        first: Layer,
        bases: &Bases<'_>,
        strict: bool,
    ) -> Option<(Arc<Board>, Layers)> {
        let whole = whole(reading, first, bases)?;
        let file: BoardFile = reading.decode(&whole.root)?;
        let citing = Citing { origins: whole.origins, register: &self.catalog.sources, strict };
        let board = read::board::board(reading, &citing, id, &file, &self.catalog.processors)?;
        Some((Arc::new(board), whole.layers))
    }

    fn over(&self, files: &dyn Files, strict: bool) -> Result<Self, CatalogError> {
        let mut reading = Reading::default();
        let mut library = self.clone();
        library.read_sources(&mut reading, files);
        library.read_processors(&mut reading, files, strict);
        library.read_names(&mut reading, files, strict);
        library.read_modules(&mut reading, files, strict);
        // Boards name processors: while those are wrong, faults of boards would only repeat it.
        if reading.is_clean() {
            library.read_boards(&mut reading, files, strict);
        }
        reading.finish(Some(library))
    }

    fn read_sources(&mut self, reading: &mut Reading, files: &dyn Files) {
        let path = Path::new("sources.toml");
        let bytes = match files.read(path) {
            Err(e) if e.kind() == ErrorKind::NotFound => return,
            read => read,
        };
        let Some(bytes) = opened(reading, path, bytes) else {
            return;
        };
        let Some(root) = reading.parse("sources.toml", &bytes) else {
            return;
        };
        reading.check_format(&root, false);
        let Some(file) = reading.decode::<SourcesFile>(&root) else {
            return;
        };
        for (id, entry) in file.source.0 {
            let source = Source {
                id: SourceId::new(id.trim()),
                publisher: entry.publisher,
                title: entry.title,
                edition: entry.edition.unwrap_or_default(),
                place: entry.place.unwrap_or_default(),
                mark: entry.mark.value(),
            };
            self.catalog.sources.insert(id.trim().to_string(), source);
        }
    }

    fn read_processors(&mut self, reading: &mut Reading, files: &dyn Files, strict: bool) {
        for (path, root) in folder(reading, files, "processors") {
            let Some(file) = reading.decode::<ProcessorFile>(&root) else {
                continue;
            };
            let citing = Citing { origins: origins(reading, &root), register: &self.catalog.sources, strict };
            citing.cite(reading, file.source.span, None, None);
            let id = stem(&path);
            if let Some(processor) = read::processor::processor(reading, &citing, &id, &file) {
                self.catalog.processors.insert(id, Arc::new(processor));
            }
        }
    }

    fn read_names(&mut self, reading: &mut Reading, files: &dyn Files, strict: bool) {
        let path = Path::new("processor-names.toml");
        let bytes = match files.read(path) {
            Err(e) if e.kind() == ErrorKind::NotFound => return,
            read => read,
        };
        if let Some(bytes) = opened(reading, path, bytes) {
            self.add_names(reading, "processor-names.toml", &bytes, strict);
        }
    }

    fn add_names(&mut self, reading: &mut Reading, name: &str, bytes: &[u8], strict: bool) {
        let Some(root) = reading.parse(name, bytes) else {
            return;
        };
        reading.check_format(&root, false);
        let Some(file) = reading.decode::<NamesFile>(&root) else {
            return;
        };
        if let Some(source) = &file.source {
            let citing = Citing { origins: origins(reading, &root), register: &self.catalog.sources, strict };
            citing.cite(reading, source.span, None, None);
        }
        let mut names = read::names::names(reading, &file, &self.catalog.processors);
        names.append(&mut self.names);
        self.names = names;
    }

    fn read_modules(&mut self, reading: &mut Reading, files: &dyn Files, strict: bool) {
        let mut ids: BTreeMap<String, Span> = BTreeMap::new();
        for (_, root) in folder(reading, files, "modules") {
            let Some(file) = reading.decode::<ModulesFile>(&root) else {
                continue;
            };
            let citing = Citing { origins: origins(reading, &root), register: &self.catalog.sources, strict };
            citing.cite(reading, file.source.span, None, None);
            for entry in &file.module {
                let Some(module) = read::module::module(reading, &citing, entry) else {
                    continue;
                };
                if let Some(first) = ids.insert(module.id.0.clone(), entry.id.span) {
                    reading.twice("module", &entry.id, first, entry.id.span);
                }
                self.catalog.modules.insert(module.id.0.clone(), Arc::new(module));
            }
        }
    }

    fn read_boards(&mut self, reading: &mut Reading, files: &dyn Files, strict: bool) {
        let mut siblings = BTreeMap::new();
        for path in listed(reading, files, "boards") {
            let Some(bytes) = opened(reading, &path, files.read(&path)) else {
                continue;
            };
            siblings.insert(stem(&path), Layer { name: path.display().to_string(), bytes: bytes.into() });
        }
        let before = self.boards.clone();
        let bases = Bases { files, siblings: &siblings, before: &before };
        for (id, layer) in &siblings {
            if let Some((board, layers)) = self.read_board(reading, id, layer.clone(), &bases, strict) {
                self.catalog.boards.insert(id.clone(), board);
                self.boards.insert(id.clone(), layers);
            }
        }
    }
}

fn origins(reading: &mut Reading, root: &Node) -> Origins {
    let mut origins = Origins::default();
    origins.add(reading, root);
    origins
}

fn stem(path: &Path) -> String {
    path.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned())
}

fn opened(reading: &mut Reading, path: &Path, bytes: std::io::Result<Vec<u8>>) -> Option<Vec<u8>> {
    let unreadable = |e: std::io::Error| {
        let path = shown(&path.display().to_string());
        let fault = Fault::new(None, Problem::Unreadable { path, reason: e.to_string() });
        fault.hint("check the path, and that the file may be read")
    };
    reading.keep(bytes.map_err(unreadable))
}

fn listed(reading: &mut Reading, files: &dyn Files, name: &str) -> Vec<PathBuf> {
    let path = Path::new(name);
    match files.list(path) {
        Ok(paths) => paths,
        Err(error) => {
            opened(reading, path, Err(error));
            Vec::new()
        }
    }
}

/// The files of a folder as trees, their format checked.
fn folder(reading: &mut Reading, files: &dyn Files, name: &str) -> Vec<(PathBuf, Node)> {
    let mut trees = Vec::new();
    for path in listed(reading, files, name) {
        let Some(bytes) = opened(reading, &path, files.read(&path)) else {
            continue;
        };
        let Some(root) = reading.parse(&path.display().to_string(), &bytes) else {
            continue;
        };
        reading.check_format(&root, true);
        trees.push((path, root));
    }
    trees
}
