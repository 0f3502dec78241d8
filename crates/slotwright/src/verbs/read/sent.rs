//! Texts and files that were sent, such as by a form: nothing of the disk is read, whatever they name.

use super::super::recognise::{self, What};
use super::super::sent::{self, Sent};
use super::beside::Beside;
use super::{As, Heap, Question, ReadView, sources, view};
use crate::failure::Failure;

/// Reads and screens texts and files; `things` of the question are not looked at.
///
/// # Errors
/// Nothing at all can be read.
pub fn read_sent(texts: &[&str], files: &[Sent<'_>], question: &Question) -> Result<ReadView, Failure> {
    let mut heap = Heap::default();
    for text in texts {
        let name = if text.trim().lines().count() > 1 { "what was pasted" } else { text };
        heap.text(name, text, question.kind, Beside::Sent(files));
    }
    heap.sent(files, question.kind);
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
    pub(super) fn sent(&mut self, files: &[Sent<'_>], kind: Option<As>) {
        let trees = kind.is_none_or(|k| k == As::Redfish);
        let (documents, others) = if trees { sent::tree(files) } else { (sent::Documents::new(), files.to_vec()) };
        if !documents.is_empty() {
            let name = format!("{} Redfish documents", documents.len());
            self.machines("redfish", &name, sources::redfish_tree(&documents));
        }
        // A list takes the dumps that it names, so it is read before them.
        let (lists, others): (Vec<Sent<'_>>, Vec<Sent<'_>>) =
            others.into_iter().partition(|f| recognise::bytes(f.bytes) == What::Csv);
        for file in lists.into_iter().chain(others) {
            let beside = Beside::Sent(files);
            if !self.taken.contains(&beside.mark(file.name)) {
                self.bytes(file.name, file.bytes, kind, beside);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::screen::Today;

    fn question() -> Question {
        let today = Today { year: 2026, week: 48 };
        let threshold = crate::verbs::read::threshold(None);
        Question { things: Vec::new(), kind: None, same: false, tray: false, today, threshold }
    }

    #[test]
    fn a_list_that_was_sent_reads_no_file_of_the_disk() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml");
        let list = format!("label,spd\n32GB 2Rx4 PC4-2933Y-R,{path}\n");
        let view = read_sent(&[&list], &[], &question()).unwrap();
        assert_eq!(view.unread.len(), 1);
        assert!(view.unread[0].why.contains("there is no file"), "{:?}", view.unread);
    }

    #[test]
    fn dumps_that_a_list_names_are_those_sent_with_it() {
        let dump = [0xFF; 512];
        let files = [
            Sent { name: "a.bin", bytes: &dump },
            Sent { name: "list.csv", bytes: b"label,spd\n32GB 2Rx4 PC4-2933Y-R,a.bin\n" },
        ];
        let view = read_sent(&[], &files, &question()).unwrap();
        assert_eq!(view.items.len(), 1, "{:?} {:?}", view.items, view.unread);
        let alone = read_sent(&["32GB 2Rx4 PC4-2933Y-R"], &files[..1], &question());
        assert!(alone.is_ok_and(|v| v.items.len() + v.unread.len() == 2));
    }

    #[test]
    fn nothing_that_can_be_read_is_a_failure_with_its_reason() {
        let refused = read_sent(&["/etc/hostname"], &[], &question()).unwrap_err();
        assert!(matches!(&refused, Failure::Unread(why) if why.len() == 1), "{refused}");
    }
}
