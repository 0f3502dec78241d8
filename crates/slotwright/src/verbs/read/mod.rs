//! `read`: labels, part numbers, SPD contents and machines' reports → modules, snapshots, and what is odd about them.

mod beside;
mod csv_rows;
mod errors;
mod folder;
mod found;
mod header;
pub mod intake;
mod machines;
mod merge;
mod module_view;
mod parts;
pub mod seen;
mod sent;
mod sources;
mod tray;
mod view;

pub use csv_rows::skip_comments;
pub use errors::{ErrorsView, EventView, SuspectView, threshold, thresholds};
pub use header::{Column, delimiter, is_header as csv_header};
pub use machines::{machines, machines_sent, name_of_paths};
pub use module_view::{FactView, ModuleView};
pub use sent::read_sent;
pub use tray::TrayView;
pub use view::{InputView, ItemView, NoteView, ReadView, SignView, UnreadView};

use super::recognise::{self, What};
use crate::failure::Failure;
use crate::{disk, remote};
use beside::Beside;
use domain::Snapshot;
use engine::screen::{Given, Today};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What a person can say that a thing is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum As {
    Label,
    PartNumber,
    Spd,
    Smbios,
    Redfish,
    Edac,
    Cper,
    Sel,
    Snapshot,
    Csv,
}

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    /// Files, folders, addresses, texts, or `-`. None: standard input.
    pub things: Vec<String>,
    pub kind: Option<As>,
    /// All of it is evidence about one module.
    pub same: bool,
    /// Sum up the modules as one tray.
    pub tray: bool,
    pub today: Today,
    /// When corrected errors are too many.
    pub threshold: engine::errors::Setting,
}

/// The week of a date (ISO 8601).
pub fn week_of(date: jiff::civil::Date) -> Today {
    let week = date.iso_week_date();
    Today { year: u16::try_from(week.year()).unwrap_or(u16::MAX), week: u8::try_from(week.week()).unwrap_or(u8::MAX) }
}

/// Something that was read.
#[derive(Debug)]
struct Piece {
    input: InputView,
    /// Everything that it was read from, where that is more than one thing.
    evidence: Vec<InputView>,
    content: Content,
    notes: Vec<NoteView>,
}

impl Piece {
    fn new(input: InputView, content: Content, notes: Vec<NoteView>) -> Self {
        Self { evidence: vec![input.clone()], input, content, notes }
    }
}

#[derive(Debug)]
enum Content {
    /// Everything that was read of one module, and how many alike a list tells of.
    Module(Vec<Given>, u32),
    Machine(Box<Snapshot>),
    /// Logged errors.
    Errors(Vec<domain::ErrorEvent>),
}

/// Everything that was read, and what could not be.
#[derive(Debug, Default)]
struct Heap {
    pieces: Vec<Piece>,
    unread: Vec<UnreadView>,
    /// A folder or list was among the things, so that a tray is meant.
    many: bool,
    /// Dumps that a list has named, which are not read again by themselves.
    taken: BTreeSet<PathBuf>,
    gathered: parts::Gathered,
}

/// Reads everything that was given and screens it.
///
/// # Errors
/// Nothing at all can be read.
pub fn read(question: &Question, services: &remote::Args) -> Result<ReadView, Failure> {
    let mut heap = Heap::default();
    let (addresses, things): (Vec<String>, Vec<String>) =
        question.things.iter().cloned().partition(|t| remote::is_address(t));
    for thing in &things {
        heap.thing(thing, question.kind);
    }
    if things.is_empty() && addresses.is_empty() {
        heap.standard_input(question.kind)?;
    }
    if !addresses.is_empty() {
        heap.services(&addresses, services)?;
    }
    heap.join_parts();
    if question.same {
        heap.join();
    }
    if heap.pieces.is_empty() {
        return Err(Failure::Unread(heap.unread));
    }
    Ok(view::build(heap, question))
}

impl Heap {
    fn refuse(&mut self, unread: UnreadView) {
        self.unread.push(unread);
    }

    fn standard_input(&mut self, kind: Option<As>) -> Result<(), Failure> {
        const NAME: &str = "standard input";
        match disk::standard_input() {
            Ok(Some(bytes)) => self.bytes(NAME, &bytes, kind, Beside::here()),
            Ok(None) => return Err(Failure::NothingToRead),
            Err(e) => self.refuse(UnreadView::new(NAME, None, e.to_string(), "pipe the bytes of one file into it")),
        }
        Ok(())
    }

    /// One thing as it was written on the command line.
    fn thing(&mut self, thing: &str, kind: Option<As>) {
        if thing == "-" {
            if self.standard_input(kind).is_err() {
                self.refuse(UnreadView::new("-", None, "standard input is a terminal", "pipe something into it"));
            }
            return;
        }
        let path = Path::new(thing);
        match std::fs::metadata(path) {
            Ok(found) if found.is_dir() => self.folder(path, kind),
            Ok(_) => match disk::bytes(path) {
                Ok(bytes) => {
                    let folder = path.parent().map_or_else(Beside::here, Beside::Folder);
                    self.bytes(thing, &bytes, kind, folder);
                }
                Err(e) => self.refuse(UnreadView::new(thing, None, e.to_string(), "check that you may read it")),
            },
            Err(_) => self.words(thing, kind),
        }
    }

    /// Text on the command line, unless it is the name of a file that is not there.
    fn words(&mut self, text: &str, kind: Option<As>) {
        let sure = matches!(
            recognise::text(text),
            What::Label | What::Code | What::Hex | What::Snapshot | What::Parts | What::Redfish
        );
        if kind.is_none() && !sure && is_like_path(text) {
            self.refuse(UnreadView::new(
                text,
                None,
                "there is no such file",
                "check the path; a part number with a slash is read with --as part-number",
            ));
            return;
        }
        self.text(text, text, kind, Beside::here());
    }

    /// The bytes of a file; `beside` is the folder that a list's own paths start from.
    fn bytes(&mut self, name: &str, bytes: &[u8], kind: Option<As>, beside: Beside<'_>) {
        let what = kind.map_or_else(|| recognise::bytes(bytes), |kind| forced(kind, bytes));
        // Said to be contents or a table, a file may still hold them as hexadecimal text.
        if let (Some(_), What::Spd | What::Smbios) = (kind, what)
            && let Some(text) = recognise::text_of(bytes).filter(|text| recognise::hex_bytes(text).is_some())
        {
            return self.text(name, &text, kind, beside);
        }
        match what {
            What::Spd => self.module(InputView::new("spd", name), sources::spd(bytes)),
            What::Smbios => self.machine("smbios", name, sources::smbios(bytes)),
            What::Cper => self.errors("cper", name, sources::cper(bytes)),
            What::Sel => self.errors("sel", name, sources::sel(bytes)),
            What::Empty => self.refuse(UnreadView::new(name, Some(0), "it is empty", "take the dump again")),
            What::Unknown => self.refuse(UnreadView::unknown(name, bytes)),
            _ => match recognise::text_of(bytes) {
                Some(text) => self.text(name, &text, kind, beside),
                None => self.refuse(UnreadView::unknown(name, bytes)),
            },
        }
    }

    fn text(&mut self, name: &str, text: &str, kind: Option<As>, beside: Beside<'_>) {
        let what = kind.map_or_else(|| recognise::text(text), |kind| forced(kind, text.as_bytes()));
        match what {
            What::Label => self.module(InputView::new("label", name), sources::label(text)),
            What::Code => self.module(InputView::new("label", name), sources::code(text)),
            What::PartNumber => self.module(InputView::new("part-number", name), sources::part_number(text)),
            What::Hex | What::Spd | What::Smbios | What::Cper | What::Sel => self.hex(name, text, what),
            What::Redfish => self.machines("redfish", name, sources::redfish(text.as_bytes())),
            What::Snapshot => self.machine("snapshot", name, sources::snapshot(text)),
            What::Parts => self.parts(name, text),
            What::Csv => self.list(name, text, beside),
            What::Lines => self.lines(name, text),
            What::Empty => {
                self.refuse(UnreadView::new(name, Some(0), "it is empty", "give a label, a file or a folder"))
            }
            What::Unknown => self.refuse(UnreadView::unknown(name, text.as_bytes())),
        }
    }

    fn hex(&mut self, name: &str, text: &str, what: What) {
        let (bytes, noted) = match sources::hex(text) {
            Ok(read) => read,
            Err(why) => return self.refuse(why.of(name)),
        };
        let before = self.pieces.len();
        match if what == What::Hex { recognise::bytes(&bytes) } else { what } {
            What::Cper => self.errors("cper", name, sources::cper(&bytes)),
            What::Sel => self.errors("sel", name, sources::sel(&bytes)),
            What::Smbios => self.machine("smbios", name, sources::smbios(&bytes)),
            _ => self.module(InputView::new("spd", name), sources::spd(&bytes)),
        }
        // What the text left out comes first: it is why the rest may be odd.
        for piece in self.pieces.iter_mut().skip(before) {
            piece.notes.splice(0..0, noted.iter().cloned().map(NoteView::words));
        }
    }

    /// One label, code or part number a line.
    fn lines(&mut self, name: &str, text: &str) {
        let told = |l: &&str| !l.is_empty() && !l.starts_with('#');
        if text.lines().map(str::trim).filter(told).all(|l| recognise::line(l) == What::Unknown) {
            return self.refuse(UnreadView::unknown(name, text.as_bytes()));
        }
        self.many = true;
        let lines = text.lines().enumerate().map(|(i, l)| (i + 1, l.trim()));
        for (number, line) in lines.filter(|(_, l)| told(l)) {
            let place = format!("{name}:{number}");
            match recognise::line(line) {
                What::Label => self.module(InputView::new("label", &place), sources::label(line)),
                What::Code => self.module(InputView::new("label", &place), sources::code(line)),
                What::PartNumber => self.module(InputView::new("part-number", &place), sources::part_number(line)),
                _ => self.refuse(UnreadView::unknown(&place, line.as_bytes())),
            }
        }
    }

    fn module(&mut self, input: InputView, read: Result<sources::Told, sources::Why>) {
        match read {
            Ok(told) => {
                let notes = told.notes.into_iter().map(NoteView::words).collect();
                self.pieces.push(Piece::new(input, Content::Module(told.given, 1), notes));
            }
            Err(why) => self.refuse(why.of(&input.from)),
        }
    }

    fn machine(&mut self, input: &'static str, name: &str, read: Result<Snapshot, sources::Why>) {
        self.machines(input, name, read.map(|snapshot| vec![snapshot]));
    }

    fn machines(&mut self, input: &'static str, name: &str, read: Result<Vec<Snapshot>, sources::Why>) {
        match read {
            Ok(snapshots) => {
                for snapshot in snapshots {
                    let notes = snapshot.notes.iter().map(NoteView::new).collect();
                    let content = Content::Machine(Box::new(snapshot));
                    self.pieces.push(Piece::new(InputView::new(input, name), content, notes));
                }
            }
            Err(why) => self.refuse(why.of(name)),
        }
    }

    fn errors(&mut self, input: &'static str, name: &str, read: Result<sources::Errors, sources::Why>) {
        match read {
            Ok((events, notes)) => {
                let notes = notes.into_iter().map(NoteView::words).collect();
                self.pieces.push(Piece::new(InputView::new(input, name), Content::Errors(events), notes));
            }
            Err(why) => self.refuse(why.of(name)),
        }
    }

    fn services(&mut self, addresses: &[String], services: &remote::Args) -> Result<(), Failure> {
        let options = services.options()?;
        for (address, answer) in remote::fetch(addresses, &options) {
            match answer {
                Ok(snapshots) => self.machines("redfish", &address, Ok(snapshots)),
                Err(failure) => self.refuse(UnreadView::new(&address, None, failure.to_string(), &failure.hint())),
            }
        }
        Ok(())
    }
}

/// A path, by a separator or a short ending behind a dot; labels have neither.
fn is_like_path(text: &str) -> bool {
    let ending = PathBuf::from(text).extension().is_some_and(|e| (1..=5).contains(&e.len()));
    text.contains(['/', '\\']) || ending
}

fn forced(kind: As, bytes: &[u8]) -> What {
    let binary = recognise::text_of(bytes).is_none();
    match kind {
        As::Label => match recognise::text_of(bytes).map(|t| recognise::line(&t)) {
            Some(What::Code) => What::Code,
            _ => What::Label,
        },
        As::PartNumber => What::PartNumber,
        As::Spd => What::Spd,
        As::Smbios => What::Smbios,
        As::Redfish => What::Redfish,
        As::Edac => What::Unknown,
        As::Cper => What::Cper,
        As::Sel => What::Sel,
        As::Snapshot => match recognise::text_of(bytes).map(|t| recognise::text(&t)) {
            Some(What::Parts) => What::Parts,
            _ => What::Snapshot,
        },
        As::Csv if binary => What::Unknown,
        As::Csv => What::Csv,
    }
}
