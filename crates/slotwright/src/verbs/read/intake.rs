//! What comes into stock: a list as text, or modules scanned one by one, read and screened together as one tray.

use super::super::recognise::{self, What};
use super::beside::Beside;
use super::view::{InputView, NoteView, UnreadView};
use super::{Content, Heap, Piece, Question, ReadView, sources, view};
use crate::failure::Failure;
use crate::verbs::sent::Sent;
use domain::ModuleReading;
use engine::screen::{Evidence, Given};
use std::path::Path;

/// A module as it was scanned.
#[derive(Debug, Clone, Copy)]
pub struct Scanned<'a> {
    /// Its line, for messages and to find it again in `from`.
    pub line: usize,
    /// A label, a 2-D code or a part number.
    pub text: &'a str,
    pub serial: Option<&'a str>,
    pub count: u32,
}

/// The beginning of `from` of what this file reads: the line's number stands behind it.
const LINE: &str = "line:";

/// The line that a module or a fault is of.
pub fn line_of(from: &str) -> Option<usize> {
    from.strip_prefix(LINE)?.split(' ').next()?.parse().ok()
}

/// Reads a list whose dumps were sent with it: they never come from the disk.
pub fn list(text: &str, sent: &[Sent<'_>], question: &Question) -> ReadView {
    let mut heap = Heap::default();
    heap.list(LINE.trim_end_matches(':'), text, Beside::Sent(sent));
    view::build(heap, question)
}

/// Reads a list whose dumps lie in a folder.
pub fn list_in(text: &str, folder: &Path, question: &Question) -> ReadView {
    let mut heap = Heap::default();
    heap.list(LINE.trim_end_matches(':'), text, Beside::Folder(folder));
    view::build(heap, question)
}

/// Reads a folder of dumps, or a file.
///
/// # Errors
/// Nothing of it can be read.
pub fn folder(path: &Path, question: &Question) -> Result<ReadView, Failure> {
    let mut heap = Heap::default();
    heap.thing(&path.display().to_string(), None);
    if heap.pieces.is_empty() {
        return Err(Failure::Unread(heap.unread));
    }
    Ok(view::build(heap, question))
}

/// Reads what was scanned.
pub fn scanned(modules: &[Scanned<'_>], question: &Question) -> ReadView {
    let mut heap = Heap::default();
    for module in modules {
        let from = format!("{LINE}{}", module.line);
        let (input, told) = match recognise::line(module.text) {
            What::Code => ("label", sources::code(module.text)),
            What::PartNumber => ("part-number", sources::part_number(module.text)),
            _ => ("label", sources::label(module.text)),
        };
        match told {
            Ok(mut told) => {
                told.given.extend(module.serial.map(|serial| Given {
                    from: Evidence::List,
                    reading: ModuleReading { serial: Some(serial.into()), ..ModuleReading::default() },
                }));
                let notes = told.notes.into_iter().map(NoteView::words).collect();
                let content = Content::Module(told.given, module.count);
                heap.pieces.push(Piece::new(InputView::new(input, &from), content, notes));
            }
            Err(why) => heap.refuse(UnreadView { from, ..why.of(module.text) }),
        }
    }
    view::build(heap, question)
}
