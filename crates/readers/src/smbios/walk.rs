//! From structure to structure through the table, with what is damaged on the way.

use super::structure::Structure;
use domain::snapshot::Note;

/// The structures of a table and what was wrong between them.
#[derive(Debug, Default)]
pub(super) struct Walked<'a> {
    pub structures: Vec<Structure<'a>>,
    pub notes: Vec<Note>,
    /// Was the end-of-table structure (type 127) reached?
    pub ended: bool,
}

/// Structures that must follow one another before a place counts as in step again.
const CHAIN: usize = 3;
/// Bytes searched for the next structure once the walk is out of step.
const SEARCH: usize = 64 * 1024;

/// Does a structure begin here: a length that fits, and strings that end?
pub(super) fn plausible(bytes: &[u8], at: usize) -> bool {
    step(bytes, at).is_some_and(|(_, _, closed)| closed)
}

/// The structure at `at`, where the next one begins, and whether its strings end in the double NUL.
fn step(bytes: &[u8], at: usize) -> Option<(Structure<'_>, usize, bool)> {
    let rest = bytes.get(at..)?;
    let &[kind, length, low, high, ..] = rest else { return None };
    let formatted = rest.get(..usize::from(length))?;
    if formatted.len() < 4 {
        return None;
    }
    let strings = rest.get(formatted.len()..)?;
    let end = strings.windows(2).position(|w| w == [0, 0]);
    let (text, used) = match end {
        Some(end) => (&strings[..end], end + 2),
        None => (strings, strings.len()),
    };
    let structure = Structure { kind, handle: u16::from_le_bytes([low, high]), at, formatted, text };
    Some((structure, at + formatted.len() + used, end.is_some()))
}

/// Walks the table. `base` is where it begins in the file, so that notes give offsets of the file.
pub(super) fn walk(table: &[u8], base: usize) -> Walked<'_> {
    let mut walked = Walked { structures: Vec::with_capacity(table.len() / 60 + 4), ..Walked::default() };
    let mut at = 0;
    while at < table.len() {
        let Some((structure, next, closed)) = step(table, at) else {
            match out_of_step(table, at, base, &mut walked) {
                Some(again) => {
                    at = again;
                    continue;
                }
                None => return walked,
            }
        };
        if !closed {
            walked.note(
                base + at,
                format!("the structure {} lacks the double NUL that ends it: the table is cut short", structure.name()),
            );
        }
        let last = structure.kind == 127;
        walked.structures.push(structure);
        at = next;
        if last {
            walked.ended = true;
            let left = table.len().saturating_sub(at);
            if table.iter().skip(at).any(|b| *b != 0 && *b != 0xFF) {
                walked.note(base + at, format!("{left} bytes follow the end of the table (type 127)"));
            }
            return walked;
        }
    }
    walked.note(
        base + table.len(),
        "the end of the table (type 127) is missing: structures behind it may be lost".to_string(),
    );
    walked
}

fn out_of_step(table: &[u8], at: usize, base: usize, walked: &mut Walked<'_>) -> Option<usize> {
    let rest = table.get(at..).unwrap_or_default();
    let head: Vec<String> = rest.iter().take(4).map(|b| format!("{b:02x}")).collect();
    let head = head.join(" ");
    let before = walked.structures.last().map_or_else(String::new, |s| format!(" after {}", s.name()));
    if rest.len() < 4 {
        walked.note(
            base + at,
            format!("{} bytes are left over{before} ({head}); no type 127 ends the table", rest.len()),
        );
        return None;
    }
    let length = rest.get(1).copied().unwrap_or_default();
    let why = if length < 4 {
        format!("length {length}, where 4 is the least")
    } else {
        format!("length {length}, where {} bytes are left: the table is cut short", rest.len())
    };
    let again = (at + 1..table.len().min(at + SEARCH)).find(|&place| in_step(table, place));
    let after = match again {
        Some(place) => {
            format!("the table is out of step, reading goes on at byte {}, and what lies between is lost", base + place)
        }
        None => format!("the table is out of step from here on, and {} bytes are unread", rest.len()),
    };
    walked.note(base + at, format!("no structure begins{before} ({head}: {why}); {after}"));
    again
}

/// Do several structures follow one another here, each at least as long as its kind must be?
fn in_step(table: &[u8], at: usize) -> bool {
    let mut place = at;
    for n in 0..CHAIN {
        match step(table, place) {
            Some((s, next, true)) if s.formatted.len() >= least(s.kind, n == 0) => {
                if s.kind == 127 {
                    return s.formatted.len() == 4 && n > 0;
                }
                place = next;
            }
            _ => return false,
        }
    }
    true
}

/// The least length of a structure by its kind (DSP0134 3.7, section 7; the first published layout of each). A maker's
/// own kinds are no sign of being in step, so the first of a chain may not be one.
fn least(kind: u8, first: bool) -> usize {
    match kind {
        0 => 0x12,
        4 => 0x1A,
        5 | 16 | 19 | 25 | 39 => 0x0F,
        7 | 18 | 20 => 0x13,
        8 | 3 | 40 => 0x09,
        9 => 0x0D,
        17 => 0x15,
        26..=28 => 0x14,
        38 => 0x10,
        127 => 4,
        1 | 2 => 8,
        6 => 0x0C,
        10 | 13..=15 | 21..=24 | 29..=36 | 41..=46 => 6,
        11 | 12 => 5,
        37 => 7,
        126 | 128.. if !first => 4,
        _ => usize::MAX,
    }
}

impl Walked<'_> {
    fn note(&mut self, offset: usize, what: String) {
        self.notes.push(Note { offset: u64::try_from(offset).ok(), place: None, what });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(kind: u8, handle: u8) -> Vec<u8> {
        vec![kind, 6, handle, 0, 0, 0, 0, 0]
    }

    #[test]
    fn a_whole_table_is_walked_without_a_note() {
        let table = [plain(11, 1), plain(12, 2), vec![127, 4, 3, 0, 0, 0]].concat();
        let walked = walk(&table, 0);
        assert_eq!((walked.structures.len(), walked.ended), (3, true));
        assert_eq!(walked.notes, []);
    }

    #[test]
    fn stray_nuls_are_told_and_the_rest_is_found_again() {
        let table = [plain(11, 1), vec![0, 0], plain(12, 2), plain(13, 3), vec![127, 4, 4, 0, 0, 0]].concat();
        let walked = walk(&table, 100);
        assert_eq!(walked.structures.iter().map(|s| s.kind).collect::<Vec<_>>(), [11, 12, 13, 127]);
        assert_eq!(walked.notes.first().and_then(|n| n.offset), Some(108));
    }

    #[test]
    fn bytes_behind_the_end_are_counted() {
        let table = [plain(11, 1), vec![127, 4, 4, 0, 0, 0], plain(11, 2)].concat();
        assert!(walk(&table, 0).notes.iter().any(|n| n.what.contains("8 bytes follow")));
    }
}
