//! A snapshot in numbered parts, short enough for 2-D codes: `SNAPSHOT1:2/5:3F2A91C0:9B1C:DATA`. The document without blanks is
//! compressed (zlib, RFC 1950), cut, and written in base 32 (RFC 4648), which 2-D codes hold densely and which lives through
//! wrapped lines. 3F2A91C0 is the CRC-32 of the whole, by which parts of several machines are told apart; 9B1C the CRC-16 of one
//! part, by which a part that was copied wrongly is named.

use super::document::Document;
use crc::{CRC_16_XMODEM, CRC_32_ISO_HDLC, Crc, Table};
use data_encoding::BASE32_NOPAD;
use domain::Snapshot;
use miniz_oxide::{deflate::compress_to_vec_zlib, inflate::decompress_to_vec_zlib_with_limit};
use std::collections::BTreeMap;

/// What a part begins with; the 1 is the way of cutting.
const TAG: &str = "SNAPSHOT1:";
/// Longest start of a part: tag, two numbers of four digits, two sums.
const START: usize = TAG.len() + 9 + 1 + 8 + 1 + 4 + 1;
const MOST_PARTS: usize = 9999;
/// A document may grow to this, in bytes; the largest that were seen have some hundred thousand.
const LARGEST: usize = 16 << 20;

static WHOLE: Crc<u32, Table<1>> = Crc::<u32, Table<1>>::new(&CRC_32_ISO_HDLC);
static PART: Crc<u16, Table<1>> = Crc::<u16, Table<1>>::new(&CRC_16_XMODEM);

/// Why parts give no document.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartsError {
    #[error("`{start}` begins like a part of a snapshot, but is not NUMBER/COUNT:SET:SUM:DATA behind {TAG}")]
    Shape { start: String },
    #[error("part {number} of {count} of snapshot {set:08X} was copied wrongly: its checksum differs")]
    Damaged { number: usize, count: usize, set: u32 },
    #[error("snapshot {set:08X} has {count} parts, and of these {} not there", missing_words(missing))]
    Missing { set: u32, count: usize, missing: Vec<usize> },
    #[error("the parts of snapshot {set:08X} are all there, but make no whole: {why}")]
    Whole { set: u32, why: String },
}

impl PartsError {
    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Shape { .. } => "scan that code again, and copy all of its text",
            Self::Damaged { .. } => "scan that code again, or copy its text again",
            Self::Missing { .. } => {
                "scan the missing codes too, and give all parts together, in any order (`snapshot --qr` of the machine as it \
                 was shows the same codes again)"
            }
            Self::Whole { .. } => "take the snapshot again, and scan all of its codes",
        }
    }
}

fn missing_words(missing: &[usize]) -> String {
    let numbers: Vec<String> = missing.iter().map(usize::to_string).collect();
    match numbers.as_slice() {
        [one] => format!("part {one} is"),
        several => format!("parts {} are", several.join(", ")),
    }
}

/// A snapshot that was cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// What its parts have in common, eight hexadecimal digits in each of them.
    pub set: u32,
    /// In order.
    pub parts: Vec<String>,
}

/// Cuts a snapshot into parts of at most `most` letters each, digits and capitals only; below 60 letters, 60.
pub fn split(snapshot: &Snapshot, most: usize) -> Cut {
    let document = serde_json::to_vec(&Document::from(snapshot)).unwrap_or_default();
    let whole = compress_to_vec_zlib(&document, 9);
    // Five bits a letter.
    let bytes = (most.max(60) - START) * 5 / 8;
    let pieces: Vec<&[u8]> = whole.chunks(bytes.max(whole.len().div_ceil(MOST_PARTS))).collect();
    let set = WHOLE.checksum(&whole);
    let one = |(at, piece): (usize, &&[u8])| part(at + 1, pieces.len(), set, &BASE32_NOPAD.encode(piece));
    Cut { set, parts: pieces.iter().enumerate().map(one).collect() }
}

fn part(number: usize, count: usize, set: u32, data: &str) -> String {
    let sum = sum(number, count, set, data);
    format!("{TAG}{number}/{count}:{set:08X}:{sum:04X}:{data}")
}

/// Numbers and set are summed too: a digit that was misread would put the data elsewhere.
fn sum(number: usize, count: usize, set: u32, data: &str) -> u16 {
    PART.checksum(format!("{number}/{count}:{set:08X}:{data}").as_bytes())
}

/// Does a text hold parts?
pub fn recognises(text: &str) -> bool {
    text.to_ascii_uppercase().contains(TAG)
}

/// Parts that came together so far, of one snapshot or of several.
#[derive(Debug, Clone, Default)]
pub struct Parts {
    /// By set and count: what each part holds, by number.
    sets: BTreeMap<(u32, usize), BTreeMap<usize, Vec<u8>>>,
}

impl Parts {
    /// Takes every part that a text holds, however its lines are broken; the same part twice is one. What is wrong with others is
    /// given back.
    pub fn add(&mut self, text: &str) -> Vec<PartsError> {
        let letters: String = text.split_whitespace().collect::<String>().to_ascii_uppercase();
        // What stands in front of the first, such as an app's own words, is none.
        letters.split(TAG).skip(1).filter_map(|one| self.one(one).err()).collect()
    }

    fn one(&mut self, text: &str) -> Result<(), PartsError> {
        let shape = || PartsError::Shape { start: format!("{TAG}{}", text.chars().take(30).collect::<String>()) };
        let fields: Vec<&str> = text.splitn(4, ':').collect();
        let [numbers, set, check, data] = fields.as_slice() else { return Err(shape()) };
        let (number, count) = numbers.split_once('/').ok_or_else(shape)?;
        let digits = |t: &str| t.parse::<usize>().ok().filter(|n| (1..=MOST_PARTS).contains(n));
        let (number, count) = (digits(number).ok_or_else(shape)?, digits(count).ok_or_else(shape)?);
        let set = u32::from_str_radix(set, 16).map_err(|_| shape())?;
        let check = u16::from_str_radix(check, 16).map_err(|_| shape())?;
        let damaged = PartsError::Damaged { number, count, set };
        if number > count || check != sum(number, count, set, data) {
            return Err(damaged);
        }
        let data = BASE32_NOPAD.decode(data.as_bytes()).map_err(|_| damaged)?;
        self.sets.entry((set, count)).or_default().insert(number, data);
        Ok(())
    }

    /// Nothing came?
    pub fn is_empty(&self) -> bool {
        self.sets.is_empty()
    }

    /// The document of every set, or what is missing of it.
    pub fn documents(&self) -> Vec<Result<String, PartsError>> {
        self.sets.iter().map(|((set, count), parts)| document(*set, *count, parts)).collect()
    }
}

fn document(set: u32, count: usize, parts: &BTreeMap<usize, Vec<u8>>) -> Result<String, PartsError> {
    let missing: Vec<usize> = (1..=count).filter(|n| !parts.contains_key(n)).collect();
    if !missing.is_empty() {
        return Err(PartsError::Missing { set, count, missing });
    }
    let whole: Vec<u8> = parts.values().flatten().copied().collect();
    let failed = |why: &str| PartsError::Whole { set, why: why.to_string() };
    if WHOLE.checksum(&whole) != set {
        return Err(failed("the checksum of the whole differs"));
    }
    let text = decompress_to_vec_zlib_with_limit(&whole, LARGEST).map_err(|e| failed(&e.to_string()))?;
    String::from_utf8(text).map_err(|_| failed("it is no text"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::snapshot::Note;
    use proptest::prelude::*;

    fn snapshot(notes: usize) -> Snapshot {
        let note = |n: usize| Note { offset: Some(n as u64 * 7919), place: None, what: format!("note {}", n * n) };
        Snapshot { system: Some("Sanderling".into()), notes: (0..notes).map(note).collect(), ..Snapshot::default() }
    }

    fn joined(texts: &[String]) -> Vec<Result<String, PartsError>> {
        let mut parts = Parts::default();
        assert_eq!(parts.add(&texts.join("\n")), []);
        parts.documents()
    }

    #[test]
    fn parts_in_any_order_wrapped_and_twice_give_the_snapshot() {
        let before = snapshot(40);
        let mut texts = split(&before, 114).parts;
        assert!(texts.len() > 3 && texts.iter().all(|t| t.len() <= 114), "{texts:?}");
        texts.reverse();
        texts.push(texts[0].clone());
        let mut parts = Parts::default();
        let wrapped =
            format!("scanned today: {}\n{}", texts[1].to_lowercase(), texts.join(" \r\n").replace("AA", "A\nA"));
        assert_eq!(parts.add(&wrapped), []);
        let documents = parts.documents();
        assert_eq!(documents.len(), 1);
        assert_eq!(super::super::read(documents[0].as_ref().unwrap()), Ok(before));
    }

    #[test]
    fn parts_of_two_machines_are_told_apart() {
        let (a, b) = (split(&snapshot(9), 90).parts, split(&snapshot(10), 90).parts);
        let mixed: Vec<String> = a.iter().zip(&b).flat_map(|(a, b)| [a.clone(), b.clone()]).collect();
        let rest = b[a.len().min(b.len())..].iter().cloned();
        let both = joined(&mixed.into_iter().chain(rest).collect::<Vec<_>>());
        let notes = |d: &Result<String, PartsError>| super::super::read(d.as_ref().unwrap()).unwrap().notes.len();
        let mut counts: Vec<usize> = both.iter().map(notes).collect();
        counts.sort_unstable();
        assert_eq!(counts, [9, 10]);
    }

    #[test]
    fn what_is_missing_or_was_copied_wrongly_is_named() {
        let texts = split(&snapshot(40), 114).parts;
        let count = texts.len();
        let lacking: Vec<String> = texts.iter().enumerate().filter(|(i, _)| *i != 1).map(|(_, t)| t.clone()).collect();
        let told = joined(&lacking).remove(0).unwrap_err();
        assert!(matches!(&told, PartsError::Missing { missing, .. } if missing == &[2]), "{told}");
        assert!(told.to_string().contains(&format!("{count} parts, and of these part 2 is not there")), "{told}");
        let at = texts[2].len() - 3;
        let other = if texts[2].as_bytes()[at] == b'A' { "B" } else { "A" };
        let mut changed = texts[2].clone();
        changed.replace_range(at..=at, other);
        let mut parts = Parts::default();
        assert!(matches!(parts.add(&changed)[..], [PartsError::Damaged { number: 3, .. }]));
        assert!(matches!(parts.add("SNAPSHOT1:x/y")[..], [PartsError::Shape { .. }]));
        assert!(parts.is_empty());
    }

    #[test]
    fn a_document_that_would_swell_is_refused() {
        let whole = compress_to_vec_zlib(&vec![b' '; LARGEST + 1], 9);
        let set = WHOLE.checksum(&whole);
        let told = joined(&[part(1, 1, set, &BASE32_NOPAD.encode(&whole))]).remove(0);
        assert!(matches!(told, Err(PartsError::Whole { .. })), "{told:?}");
    }

    proptest! {
        #[test]
        fn any_text_is_survived(words in "(SNAPSHOT1:)?[0-9]{0,5}/?[0-9]{0,5}:?[0-9A-F]{0,9}:?.{0,40}") {
            let mut parts = Parts::default();
            parts.add(&words);
            for document in parts.documents() {
                prop_assert!(document.is_err(), "{:?}", document);
            }
        }

        #[test]
        fn every_length_of_part_reads_back(most in 0usize..2000, notes in 0usize..30) {
            let before = snapshot(notes);
            let texts = split(&before, most).parts;
            prop_assert!(texts.iter().all(|t| t.len() <= most.max(60)));
            let documents = joined(&texts);
            prop_assert_eq!(super::super::read(documents[0].as_ref().unwrap()), Ok(before));
        }
    }
}
