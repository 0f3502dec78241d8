//! Parts of snapshots, such as scanned codes: gathered from everything that was given, joined at its end.

use super::Heap;
use super::sources;
use super::view::UnreadView;
use readers::snapshot::parts::Parts;

/// The parts so far, and what they were read from.
#[derive(Debug, Default)]
pub struct Gathered {
    parts: Parts,
    names: Vec<String>,
}

impl Heap {
    /// Takes the parts of one text.
    pub(super) fn parts(&mut self, name: &str, text: &str) {
        // A part that was typed in as it stands is too long for a name.
        let name = if name == text { "what was given" } else { name };
        for wrong in self.gathered.parts.add(text) {
            self.refuse(UnreadView::new(name, None, wrong.to_string(), wrong.hint()));
        }
        if !self.gathered.names.iter().any(|n| n == name) {
            self.gathered.names.push(name.to_string());
        }
    }

    /// Makes machines of the parts, or says which parts are missing.
    pub(super) fn join_parts(&mut self) {
        let Gathered { parts, names } = std::mem::take(&mut self.gathered);
        let name = match names.as_slice() {
            [one] => one.clone(),
            [first, .., last] => format!("{first} to {last}"),
            [] => return,
        };
        for document in parts.documents() {
            match document {
                Ok(text) => self.machine("snapshot", &name, sources::snapshot(&text)),
                Err(wrong) => self.refuse(UnreadView::new(&name, None, wrong.to_string(), wrong.hint())),
            }
        }
    }
}
