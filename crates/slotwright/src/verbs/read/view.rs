//! The answer of `read` as plain data.

use super::errors::ErrorsView;
use super::module_view::ModuleView;
use super::tray::{self, TrayView};
use super::{Content, Heap, Piece, Question, found, sources};
use domain::Snapshot;
use domain::snapshot::{ErrorCounts, Note};
use schemars::JsonSchema;
use serde::Serialize;

/// Everything that was read.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReadView {
    /// In the order given; of a folder by name.
    pub items: Vec<ItemView>,
    /// What several modules show together, and their sums; where more than one module was read.
    pub tray: Option<TrayView>,
    /// What could not be read.
    pub unread: Vec<UnreadView>,
}

/// One module or machine.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ItemView {
    /// What it was read from: `label`, `part-number`, `spd`, `smbios`, `redfish`, `edac`, `cper`, `sel` or `snapshot`; with several
    /// about one module the one that tells most.
    pub input: String,
    /// The file, address or text.
    pub from: String,
    /// All that was read about it.
    pub evidence: Vec<InputView>,
    pub module: Option<ModuleView>,
    /// The snapshot document, as the verb `snapshot` writes it.
    pub snapshot: Option<serde_json::Value>,
    /// Logged errors, and the modules that they point to.
    pub errors: Option<ErrorsView>,
    /// How many alike; more than one only in a list.
    pub quantity: u32,
    /// Heaviest first.
    pub findings: Vec<SignView>,
    /// What else is worth knowing of how it was read.
    pub notes: Vec<NoteView>,
    #[serde(skip)]
    pub machine: Option<Box<domain::Snapshot>>,
}

/// One thing that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct InputView {
    /// As in `input`.
    pub input: String,
    pub from: String,
}

/// A sign, or something odd that was met while reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SignView {
    /// The pattern found; `explain` tells more of it.
    pub name: String,
    /// `reject`, `suspect` or `note`.
    pub weight: String,
    /// What was seen, with the figures.
    pub evidence: String,
    /// Byte offset in what was read, from 0, where it has one place.
    pub offset: Option<usize>,
    /// What it means where it is not innocent.
    pub means: String,
    /// What it can innocently be.
    pub innocent: String,
    pub advice: String,
    /// Where the sign is written down.
    pub source: String,
}

impl SignView {
    /// Is it more than a note?
    pub fn matters(&self) -> bool {
        self.weight != domain::reading::Weight::Note.word()
    }
}

/// Something worth knowing that is no finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NoteView {
    pub offset: Option<u64>,
    /// Slot, path or handle.
    pub place: Option<String>,
    pub what: String,
}

impl NoteView {
    /// A note of a snapshot.
    pub fn new(note: &Note) -> Self {
        Self { offset: note.offset, place: note.place.clone(), what: note.what.clone() }
    }
    /// A note without a place.
    pub fn words(what: String) -> Self {
        Self { offset: None, place: None, what }
    }
}

/// What could not be read, and why.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct UnreadView {
    /// The file, its line, or the text.
    pub from: String,
    /// Byte offset in a file, or column of a text, from 0.
    pub offset: Option<usize>,
    pub why: String,
    /// What to do next.
    pub hint: String,
    /// Was it named itself, not met in a folder or list?
    pub named: bool,
}

impl UnreadView {
    /// Something that can't be read.
    pub fn new(from: &str, offset: Option<usize>, why: impl Into<String>, hint: &str) -> Self {
        Self { from: short(from), offset, why: why.into(), hint: hint.to_string(), named: true }
    }
    /// Something that nothing here reads.
    pub fn unknown(from: &str, bytes: &[u8]) -> Self {
        let start: String = bytes.iter().take(8).map(|b| format!("{b:02X} ")).collect();
        let why = format!(
            "it is neither label, part number, SPD contents, SMBIOS table, Redfish resource, error record nor snapshot: {} bytes that start {}",
            bytes.len(),
            start.trim_end()
        );
        Self::new(from, Some(0), why, "say with --as what it is, or take it again in another form")
    }
    /// The same, met in a folder or list.
    pub fn met(self) -> Self {
        Self { named: false, ..self }
    }
}

impl InputView {
    /// Something that was read; long texts are cut.
    pub fn new(input: &'static str, from: &str) -> Self {
        Self { input: input.to_string(), from: short(from) }
    }
}

/// A name for reports: one line of at most 120 characters.
fn short(text: &str) -> String {
    const MOST: usize = 120;
    let line: String = text.split_whitespace().collect::<Vec<_>>().join(" ").replace(|c: char| c.is_control(), "?");
    if line.chars().count() <= MOST {
        return line;
    }
    line.chars().take(MOST - 1).chain(['…']).collect()
}

impl ReadView {
    /// Is there something to act on, or something unread in a folder?
    pub fn has_findings(&self) -> bool {
        let items = self.items.iter().flat_map(|i| &i.findings).any(SignView::matters);
        let tray = self.tray.iter().flat_map(|t| &t.together).any(|t| t.finding.matters());
        let erring = self.items.iter().filter_map(|i| i.errors.as_ref()).any(|e| !e.suspects.is_empty());
        items || tray || erring || !self.unread.is_empty()
    }
    /// Was something that was named itself not read?
    pub fn has_unread(&self) -> bool {
        self.unread.iter().any(|u| u.named)
    }
}

/// Screens what was read.
pub fn build(heap: Heap, question: &Question) -> ReadView {
    let tray = tray::screen(&heap.pieces, question.tray || heap.many, question.today);
    let mut unread = heap.unread;
    unread.dedup();
    let machine = machine(&heap.pieces);
    let items: Vec<ItemView> = heap.pieces.into_iter().map(|piece| item(piece, question, machine.as_ref())).collect();
    let tray = tray.map(|tray| tray.with(&items));
    ReadView { items, tray, unread }
}

/// The machines among the pieces as one, so that logged errors find their slots; `None` where there is none.
fn machine(pieces: &[Piece]) -> Option<Snapshot> {
    let mut all: Option<Snapshot> = None;
    for piece in pieces {
        let Content::Machine(snapshot) = &piece.content else { continue };
        let whole = all.get_or_insert_default();
        whole.slots.extend(snapshot.slots.iter().cloned());
        whole.ranges.extend(snapshot.ranges.iter().cloned());
        if whole.errors == ErrorCounts::NotRead {
            whole.errors = snapshot.errors.clone();
        }
    }
    all
}

fn item(piece: Piece, question: &Question, machine: Option<&Snapshot>) -> ItemView {
    let Piece { input, evidence, content, notes } = piece;
    let mut view = ItemView {
        input: input.input,
        from: input.from,
        evidence,
        module: None,
        snapshot: None,
        errors: None,
        quantity: 1,
        findings: Vec::new(),
        notes,
        machine: None,
    };
    match content {
        Content::Module(given, quantity) => {
            view.findings = found::module(&given, question.today);
            view.module = Some(ModuleView::new(&given));
            view.quantity = quantity;
        }
        Content::Machine(snapshot) => {
            view.findings = found::machine(&snapshot, question.today);
            view.snapshot = sources::document(&snapshot);
            view.machine = Some(snapshot);
        }
        Content::Errors(events) => view.errors = Some(ErrorsView::new(&events, machine, question.threshold)),
    }
    view
}
