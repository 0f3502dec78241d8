//! A board's own file while it is written: what is understood of it so far, what is wrong with it, and where it is kept.

use super::draft::blank;
use super::draft::file::Fit;
use crate::failure::Failure;
use crate::world;
use catalog::{BoardDraft, CatalogError, Held, Input, Library, Sheet, SocketDraft};
use domain::{Board, Catalog, Generation, Kind};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Longest name of a board, in characters.
const NAME_MOST: usize = 60;
/// Times that a text is cut before what can't be read of it.
const CUTS_MOST: usize = 8;

/// What is understood of a text.
#[derive(Debug)]
pub struct Understood {
    /// The board; with faults what can be drawn of it, if anything.
    pub board: Option<Arc<Board>>,
    pub faults: Vec<Fault>,
}

/// Something wrong with a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line and column, from 1, where it has a place in this text.
    pub place: Option<(usize, usize)>,
    /// That line itself.
    pub line: String,
    pub problem: String,
    pub hint: String,
    /// The key that is missing at that place.
    pub missing: Option<String>,
}

/// Reads a text as the board of that name.
pub fn understand(library: &Library, name: &str, text: &str) -> Understood {
    let file = format!("{}.toml", if is_name(name) { name } else { "board" });
    match library.board(&Input::text(&file, text)) {
        Ok(board) => Understood { board: Some(board), faults: Vec::new() },
        Err(error) => Understood { board: so_far(library, text, &error), faults: faults(&error, &file, text) },
    }
}

fn faults(error: &CatalogError, file: &str, text: &str) -> Vec<Fault> {
    let one = |report: &catalog::Report| {
        let place = report.place.as_ref().filter(|p| p.file == file);
        let elsewhere = report.place.as_ref().filter(|p| p.file != file).map(|p| format!("{p}: "));
        let line = place.and_then(|p| text.lines().nth(p.line.saturating_sub(1)));
        Fault {
            place: place.map(|p| (p.line, p.column)),
            line: line.unwrap_or_default().to_string(),
            problem: format!("{}{}", elsewhere.unwrap_or_default(), report.problem),
            hint: report.hint.clone(),
            missing: match &report.problem {
                catalog::Problem::MissingKey { key } => Some(key.clone()),
                _ => None,
            },
        }
    };
    error.reports().iter().map(one).collect()
}

/// What can be drawn of a text with faults: its sockets with a family that fits, else the board that it inherits.
fn so_far(library: &Library, text: &str, error: &CatalogError) -> Option<Arc<Board>> {
    let sheet = readable(text, error)?;
    let sockets = sheet.sockets();
    let catalog = library.catalog();
    if sockets.iter().all(|s| s.controllers.is_empty()) {
        return catalog.boards.get(&words(&sheet, "inherit")).cloned();
    }
    let draft = drawn(&sheet, sockets, catalog);
    library.board(&Input::text("board.toml", catalog::write_board(&draft))).ok()
}

/// The text, or as much of its beginning as is TOML.
fn readable(text: &str, error: &CatalogError) -> Option<Sheet> {
    let mut rest = text.to_string();
    let mut line = error.reports().iter().filter_map(|r| r.place.as_ref().map(|p| p.line)).min().unwrap_or(1);
    for _ in 0..CUTS_MOST {
        if let Some(sheet) = Sheet::read(&rest) {
            return Some(sheet);
        }
        rest = rest.lines().take(line.saturating_sub(1)).map(|l| format!("{l}\n")).collect();
        // A list that is never closed is told at its end; a table of the file begins before it.
        line = rest.lines().collect::<Vec<_>>().iter().rposition(|l| l.starts_with('['))?.saturating_add(1);
    }
    None
}

fn words(sheet: &Sheet, key: &str) -> String {
    sheet.get(&[key]).map(|held| held.words()).unwrap_or_default()
}

fn drawn(sheet: &Sheet, sockets: Vec<SocketDraft>, catalog: &Catalog) -> BoardDraft {
    let listed = |key: &str| match sheet.get(&[key]) {
        Some(Held::List(items)) => items.iter().map(Held::words).collect(),
        _ => Vec::new(),
    };
    let generation = Generation::parse(&words(sheet, "generation"));
    let channels = sockets.iter().map(|s| s.controllers.iter().map(Vec::len).sum::<usize>()).max().unwrap_or(0);
    let deepest = sockets.iter().flat_map(|s| s.controllers.iter().flatten().map(Vec::len)).max().unwrap_or(0);
    let fits = Fit::find(catalog, generation, channels, deepest).families;
    let named: Vec<String> = listed("processors");
    let named: Vec<String> = named.into_iter().filter(|p| fits.contains(p)).collect();
    BoardDraft {
        title: words(sheet, "title"),
        about: "so far".to_string(),
        generation: generation.or_else(|| fits.first().and_then(|f| catalog.processors.get(f)).map(|p| p.generation)),
        processors: if named.is_empty() { fits } else { named },
        kinds: listed("kinds").iter().filter_map(|k| Kind::parse(k)).collect(),
        source: "so far".to_string(),
        sockets,
        ..BoardDraft::default()
    }
}

/// How many lines of a text are marked as guesses, by a comment after them that asks to confirm it.
pub fn unconfirmed(text: &str) -> usize {
    text.lines().filter(|line| guess(line).is_some()).count()
}

/// The same text without those marks, for whoever held every such line against the manual.
pub fn confirmed(text: &str) -> String {
    text.split_inclusive('\n')
        .map(|line| guess(line).map_or_else(|| line.to_string(), |value| format!("{}\n", value.trim_end())))
        .collect()
}

/// What stands before the mark of a guess, where a line has one.
fn guess(line: &str) -> Option<&str> {
    let (before, comment) = line.rsplit_once('#')?;
    let asks = comment.split(|c: char| !c.is_alphabetic()).any(|word| word == "confirm");
    (asks && !before.trim().is_empty()).then_some(before)
}

/// Can a board be called that? Small letters, digits and dashes, which are the same on every disk and in every address.
pub fn is_name(name: &str) -> bool {
    let plain = name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    plain && (1..=NAME_MOST).contains(&name.len()) && !name.starts_with('-')
}

/// A board to fill in, from counts that are taken into their range.
pub fn blank(catalog: &Catalog, sockets: usize, controllers: usize, channels: usize, slots: usize) -> String {
    catalog::write_board(&blank::of(sockets, controllers, channels, slots, catalog))
}

/// A file that was written, and what stood there before.
#[derive(Debug)]
pub struct Saved {
    path: PathBuf,
    before: Option<String>,
}

/// Keeps a text as a board of a folder of data; a board of that name that is there, or `known`, stays unless `replace`.
///
/// # Errors
/// The name is none, the board is there already, or the file can't be written.
pub fn save(folder: &Path, name: &str, text: &str, known: bool, replace: bool) -> Result<Saved, Failure> {
    if !is_name(name) {
        return Err(Failure::BoardName { name: name.to_string() });
    }
    let boards = folder.join("boards");
    let path = boards.join(format!("{name}.toml"));
    if (known || path.exists()) && !replace {
        return Err(Failure::BoardThere { name: name.to_string() });
    }
    let failed = |e: std::io::Error| Failure::Write { path: path.display().to_string(), why: e.to_string() };
    fs::create_dir_all(&boards).map_err(failed)?;
    let before = if path.exists() { Some(fs::read_to_string(&path).map_err(failed)?) } else { None };
    world::write_file(&path, text)?;
    Ok(Saved { path, before })
}

impl Saved {
    /// Puts back what stood there before.
    ///
    /// # Errors
    /// It can't be written.
    pub fn undo(self) -> Result<(), Failure> {
        let failed = |e: std::io::Error| Failure::Write { path: self.path.display().to_string(), why: e.to_string() };
        match &self.before {
            Some(text) => world::write_file(&self.path, text),
            None => fs::remove_file(&self.path).map_err(failed),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_understood_is_drawn_while_the_rest_is_wrong() {
        let library = world::shipped().unwrap();
        let text = library.board_text("dunlin-2s6").unwrap();
        let whole = understand(&library, "x", &text);
        assert!(whole.faults.is_empty());
        let slots = whole.board.unwrap().slots.len();
        let slips = [
            ("generation = \"DDR4\"", "generation = \"DDR9\""),
            ("module = \"128 GiB\"", "module = \"128 apples\""),
            ("module = \"128 GiB\"", "module = "),
            ("ecc = \"required\"", "eck = 1"),
        ];
        for (from, to) in slips {
            let read = understand(&library, "x", &text.replace(from, to));
            let fault = read.faults.first().unwrap();
            assert!(fault.place.is_some() && fault.line.contains(to), "{to}: {fault:?}");
            assert_eq!(read.board.map(|b| b.slots.len()), Some(slots), "{to}");
        }
        assert!(understand(&library, "x", "").board.is_none());
        assert!(understand(&library, "x", "socket = 3\n[[[").board.is_none());
    }

    #[test]
    fn guesses_are_counted_until_their_comment_says_otherwise() {
        let library = world::shipped().unwrap();
        let text = blank(library.catalog(), 1, 1, 2, 1);
        assert_eq!(unconfirmed(&text), 4, "{text}");
        let sure = confirmed(&text);
        assert_eq!(unconfirmed(&sure), 0);
        let read = |text: &str| toml::from_str::<toml::Table>(text).unwrap();
        assert_eq!(read(&sure), read(&text));
        for board in library.catalog().boards.keys() {
            assert_eq!(unconfirmed(&library.board_text(board).unwrap()), 0, "{board}");
        }
    }

    #[test]
    fn a_name_is_never_a_path() {
        for name in ["", "..", "a/b", "-x", "A", "a.toml", "a b", "é", "nul\0"] {
            assert!(!is_name(name), "{name}");
        }
        assert!(is_name("heron-2s8"));
    }
}
