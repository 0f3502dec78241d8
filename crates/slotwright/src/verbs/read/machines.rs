//! The machines of a report, for verbs that ask for one.

use super::{Content, Heap};
use crate::failure::Failure;
use crate::verbs::sent::{Sent, name_of};
use domain::Snapshot;
use std::path::Path;

/// Every machine that a report tells of: a file, a folder, or `-` for standard input; several where they are its parts. A service
/// may hold several machines.
///
/// # Errors
/// It can't be read, or tells of no machine.
pub fn machines(from: &[impl AsRef<Path>]) -> Result<Vec<Snapshot>, Failure> {
    let mut heap = Heap::default();
    for path in from.iter().map(AsRef::as_ref) {
        let name = path.display().to_string();
        if name != "-"
            && let Err(error) = std::fs::metadata(path)
        {
            let hint = "check the path, and that it may be read".to_string();
            return Err(Failure::Machine { from: name, why: error.to_string(), hint });
        }
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")) {
            let why = "it is TOML, as plans are, and no report of a machine".to_string();
            let hint =
                "name the plan first and the machine's report behind it, such as what `snapshot` wrote".to_string();
            return Err(Failure::Machine { from: name, why, hint });
        }
        heap.thing(&name, None);
    }
    heap.join_parts();
    heap.only_machines(&name_of_paths(from))
}

/// What the files of a report are called together.
pub fn name_of_paths(files: &[impl AsRef<Path>]) -> String {
    let names: Vec<String> = files.iter().map(|f| f.as_ref().display().to_string()).collect();
    name_of(&names.iter().map(|name| Sent { name, bytes: &[] }).collect::<Vec<_>>())
}

/// The same from files that were sent.
///
/// # Errors
/// As [`machines`].
pub fn machines_sent(files: &[Sent<'_>]) -> Result<Vec<Snapshot>, Failure> {
    let mut heap = Heap::default();
    heap.sent(files, None);
    heap.join_parts();
    heap.only_machines(&name_of(files))
}

impl Heap {
    /// The machines among what was read.
    fn only_machines(self, name: &str) -> Result<Vec<Snapshot>, Failure> {
        let failed = |why: String, hint: String| Failure::Machine { from: name.to_string(), why, hint };
        let modules = self.pieces.iter().any(|p| matches!(p.content, Content::Module(..)));
        let machines: Vec<Snapshot> = self
            .pieces
            .into_iter()
            .filter_map(|piece| match piece.content {
                Content::Machine(snapshot) => Some(*snapshot),
                Content::Module(..) | Content::Errors(_) => None,
            })
            .collect();
        if !machines.is_empty() {
            return Ok(machines);
        }
        Err(match self.unread.into_iter().next() {
            Some(unread) if !modules => failed(unread.why, unread.hint),
            _ => failed(
                "it tells of modules, and of no machine".to_string(),
                "give a snapshot, an SMBIOS table, or what a service said".to_string(),
            ),
        })
    }
}
