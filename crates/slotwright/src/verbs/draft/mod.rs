//! `draft`: a machine's report → sockets, channels and slots of its board, what is sure of it, and a board file to finish.

pub mod blank;
pub mod confirm;
pub(in crate::verbs) mod file;

use super::read;
use crate::failure::Failure;
use crate::verbs::sent::{self, Sent};
use catalog::{BoardDraft, Library};
use domain::Snapshot;
use engine::draft::{self, Draft};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;

/// A board drafted from a machine's report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DraftView {
    /// The file or folder that was read.
    pub from: String,
    /// What the machine calls itself.
    pub system: Option<String>,
    /// `sure`, `likely` or `unsure`: that of the least sure slot.
    pub confidence: String,
    pub sockets: Option<usize>,
    pub channels_per_socket: Option<usize>,
    /// The processor's own name, as a file of processor names would have it.
    pub processor: Option<String>,
    /// The family that it is known to be of.
    pub family: Option<String>,
    /// In the report's order.
    pub slots: Vec<SlotView>,
    /// Handles of entries that are no slot for main memory.
    pub not_memory_slots: Vec<String>,
    /// What a person must confirm.
    pub questions: Vec<QuestionView>,
    pub notes: Vec<String>,
}

/// One slot; numbers count from 0.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SlotView {
    /// The SMBIOS handle, or the Redfish path.
    pub handle: String,
    pub label: String,
    pub socket: Option<usize>,
    /// Within the socket.
    pub channel: Option<usize>,
    /// 0 is filled first.
    pub position: Option<usize>,
    /// `sure`, `likely` or `unsure`.
    pub confidence: String,
    /// What it rests on, in sentences.
    pub evidence: Vec<String>,
}

/// Something to confirm.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuestionView {
    pub question: String,
    /// The readings that are left, the likelier first.
    pub readings: Vec<String>,
    /// The slots that it is about; empty for all.
    pub slots: Vec<String>,
}

/// A draft and the board file that it makes.
pub struct Drafted {
    pub view: DraftView,
    /// The board file's text.
    pub board: String,
    /// What it was written from.
    pub known: BoardDraft,
}

/// Drafts the board of the machine of that number (from 1) in a report.
///
/// # Errors
/// The report can't be read, or holds no machine of that number.
pub fn draft(from: &Path, number: usize, library: &Library) -> Result<Drafted, Failure> {
    chosen(read::machines(&[from])?, from.display().to_string(), number, library)
}

/// The same from files that were sent.
///
/// # Errors
/// As [`draft`].
pub fn draft_sent(files: &[Sent<'_>], number: usize, library: &Library) -> Result<Drafted, Failure> {
    chosen(read::machines_sent(files)?, sent::name_of(files), number, library)
}

fn chosen(machines: Vec<Snapshot>, name: String, number: usize, library: &Library) -> Result<Drafted, Failure> {
    let count = machines.len();
    let snapshot = number.checked_sub(1).and_then(|at| machines.into_iter().nth(at));
    let Some(snapshot) = snapshot else {
        let hint = format!("give --system 1 to {count}");
        return Err(Failure::Machine {
            from: name,
            why: format!("it holds {count} systems and no system {number}"),
            hint,
        });
    };
    let drafted = draft::draft(&snapshot, library.names());
    let board = file::board(&drafted, &snapshot, library.catalog(), library.names(), &name);
    let mut view = view(&drafted, &snapshot, library, name);
    if count > 1 {
        view.notes.push(format!("the report holds {count} systems; this is number {number} (--system N for another)"));
    }
    if board.processors.is_empty() {
        let why = match drafted.channels_per_socket {
            Some(channels) => format!("no processor family in the data has {channels} channels of this generation"),
            None => "the channels of a socket are not known, and so no processor family is named".to_string(),
        };
        view.notes.push(format!("{why}: the board file can be read once it names one"));
    }
    let text = catalog::write_board(&board);
    Ok(Drafted { view, board: text, known: board })
}

fn view(drafted: &Draft, snapshot: &Snapshot, library: &Library, from: String) -> DraftView {
    let slots = drafted.slots.iter().map(|s| SlotView {
        handle: s.handle.clone(),
        label: s.label.clone(),
        socket: s.socket,
        channel: s.channel,
        position: s.position,
        confidence: s.confidence.word().to_string(),
        evidence: s.evidence.clone(),
    });
    let questions = drafted.questions.iter().map(|q| QuestionView {
        question: q.text.clone(),
        readings: q.readings.clone(),
        slots: q.slots.clone(),
    });
    DraftView {
        from,
        system: snapshot.system.clone(),
        confidence: drafted.confidence.word().to_string(),
        sockets: drafted.sockets,
        channels_per_socket: drafted.channels_per_socket,
        family: file::family(drafted.processor.as_deref(), library.names()),
        processor: drafted.processor.clone(),
        slots: slots.collect(),
        not_memory_slots: drafted.others.clone(),
        questions: questions.collect(),
        notes: snapshot.notes.iter().map(|n| n.what.clone()).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalog::Input;

    /// Each machine of the captures as a board file. Where the data has its family and every slot has a place, the file is
    /// read back and has the slots of the draft.
    #[test]
    fn drafted_boards_are_read_back() {
        let library = Library::shipped().unwrap();
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../captures/smbios/machines.jsonl");
        let mut back = 0;
        for line in std::fs::read_to_string(path).unwrap().lines() {
            let machine: serde_json::Value = serde_json::from_str(line).unwrap();
            let table: readers::smbios::write::Table = serde_json::from_value(machine["table"].clone()).unwrap();
            let snapshot = readers::smbios::read(&table.bytes()).unwrap();
            let drafted = draft::draft(&snapshot, library.names());
            let board = file::board(&drafted, &snapshot, library.catalog(), library.names(), "test");
            let text = catalog::write_board(&board);
            assert!(text.starts_with("# DRAFTED AND UNCONFIRMED"), "{text}");
            let widths = board.sockets.iter().map(|s| s.controllers.iter().map(Vec::len).sum::<usize>());
            let even = widths.clone().min() == widths.clone().max();
            if board.processors.is_empty() || board.sockets.is_empty() || !even {
                continue;
            }
            let read = library.board(&Input::text("drafted.toml", text.clone()));
            let read = read.unwrap_or_else(|e| panic!("{}: {e}\n{text}", machine["id"]));
            let placed = drafted.slots.iter().filter(|s| s.channel.is_some()).count();
            assert_eq!(read.slots.len(), placed, "{}", machine["id"]);
            back += 1;
        }
        assert!(back >= 60, "only {back} boards had a family");
    }
}
