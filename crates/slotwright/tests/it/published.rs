//! Replays `published/<source>/*.toml`: what published documents say, held against what the engine answers.
//!
//! An expected value comes from its source only. A row marked `fit` gave the engine a constant or the board its data
//! and proves nothing; only `test` rows count.

mod bandwidth;
mod charts;
mod diagnosis;
mod edge;
mod facts;
mod power;
mod reliability;

use catalog::Library;
use domain::{Board, Build, Mode, Module, Processor};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Does a row prove anything?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Role {
    Fit,
    Test,
}

/// What a set-up is told by: a board, a processor, and what lies in each channel.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Setup {
    board: String,
    processor: String,
    #[serde(default)]
    mode: Option<String>,
    #[serde(default)]
    numa: Option<String>,
    /// A word a channel: a letter of `modules` for each slot, farthest first, `.` for an empty slot, `-`
    /// for an empty channel.
    fill: String,
    /// The second socket's, where it differs; `none` leaves its processor out.
    #[serde(default)]
    second: Option<String>,
    modules: BTreeMap<char, String>,
}

/// Every file of one name in the folders of `published/`, with its source's id.
fn files(name: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(crate::top().join("published")).unwrap() {
        let folder = entry.unwrap().path();
        let file = folder.join(name);
        if file.is_file() {
            let id = folder.file_name().unwrap().to_string_lossy().into_owned();
            found.push((id, std::fs::read_to_string(file).unwrap()));
        }
    }
    found.sort();
    assert!(!found.is_empty(), "no {name} was found");
    found
}

/// Everything that the program carries.
fn library() -> Library {
    Library::shipped().unwrap()
}

fn board(library: &Library, id: &str) -> Arc<Board> {
    Arc::clone(library.catalog().boards.get(id).unwrap_or_else(|| panic!("no board {id}")))
}

fn processor(library: &Library, board: &Board, id: &str) -> Arc<Processor> {
    let known = board.processors.iter().any(|p| p.0 == id);
    assert!(known, "{} does not take {id}", board.id);
    Arc::clone(&library.catalog().processors[id])
}

/// The board as it would be if its maker had published no chart.
fn chartless(board: &Board) -> Arc<Board> {
    Arc::new(Board { charts: Vec::new(), ..board.clone() })
}

/// The build that a set-up tells of. Sockets after the first are filled like it, unless told otherwise.
fn build(library: &Library, setup: &Setup, board: Arc<Board>) -> Build {
    let processor = processor(library, &board, &setup.processor);
    let mode = setup.mode.clone().map_or_else(Mode::independent, Mode);
    let alone = setup.second.as_deref() == Some("none");
    let sockets = board.sockets.len();
    let processors = (0..sockets).map(|s| (s == 0 || !alone).then(|| Arc::clone(&processor))).collect();
    let mut build = Build::empty(Arc::clone(&board), processors, mode);
    build.numa.clone_from(&setup.numa);
    build.blanks = Some(true);
    for (s, socket) in board.sockets.iter().enumerate() {
        let fill = match setup.second.as_deref() {
            Some("none") if s > 0 => continue,
            Some(second) if s == 1 => second,
            _ => setup.fill.as_str(),
        };
        let words: Vec<&str> = fill.split_whitespace().collect();
        let channels: Vec<_> = socket.channels().map(|(_, _, slots)| slots.to_vec()).collect();
        assert_eq!(words.len(), channels.len(), "`{fill}` is not a word a channel of {}", board.id);
        for (word, slots) in words.iter().zip(&channels) {
            assert!(word.len() <= slots.len(), "`{word}` has more letters than {} has slots", board.id);
            for (letter, slot) in word.chars().zip(slots).filter(|(c, _)| !matches!(c, '.' | '-')) {
                build.slots[slot.at()] = Some(module(library, &setup.modules[&letter]));
            }
        }
    }
    build
}

fn module(library: &Library, id: &str) -> Arc<Module> {
    Arc::clone(library.catalog().modules.get(id).unwrap_or_else(|| panic!("no module {id}")))
}

#[test]
fn every_folder_is_a_source_and_is_replayed() {
    let library = library();
    let told = std::fs::read_to_string(crate::top().join("published/README.md")).unwrap();
    for entry in std::fs::read_dir(crate::top().join("published")).unwrap() {
        let folder = entry.unwrap().path();
        let Some(id) = folder.file_name().map(|n| n.to_string_lossy().into_owned()).filter(|_| folder.is_dir()) else {
            continue;
        };
        assert!(library.catalog().sources.keys().any(|s| *s == id), "published/{id} is no source");
        for file in std::fs::read_dir(&folder).unwrap() {
            let name = file.unwrap().file_name().to_string_lossy().into_owned();
            // March tests and records are replayed by the crates that read them.
            let known = [
                "bandwidth.toml",
                "charts.toml",
                "diagnosis.toml",
                "facts.toml",
                "labels.toml",
                "parts.toml",
                "march.toml",
                "records.toml",
                "threshold.toml",
                "fit.toml",
                "incidence.toml",
                "spares.toml",
                "power.toml",
                "stream.toml",
                "edge.toml",
            ];
            let known = known.contains(&name.as_str());
            assert!(known, "published/{id}/{name} is replayed by nothing");
            assert!(told.contains(&name), "published/README.md does not tell what {name} is");
        }
    }
}

/// The counts that the README tells are those that were counted: `kind: 3 fit, 4 met`.
fn told(kind: &str, counts: &[(&str, usize)]) {
    let told = std::fs::read_to_string(crate::top().join("published/README.md")).unwrap();
    let all: Vec<String> = counts.iter().map(|(word, n)| format!("{n} {word}")).collect();
    let line = format!("{kind}: {}", all.join(", "));
    assert!(told.lines().any(|l| l.trim_start_matches("- ") == line), "published/README.md does not say `{line}`");
}
