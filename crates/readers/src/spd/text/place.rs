//! Puts the bytes of lines at their addresses: out of order, with repeated rows squeezed, page after page.

use super::layout::{Laid, Line};
use super::row::is_mark;
use super::{HexText, MOST, TextError};
use std::collections::BTreeMap;

/// How tokens turn into bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    /// Bytes as printed.
    Printed,
    /// Words whose least significant byte comes first in memory.
    Turned,
    /// Decimal numbers, a byte each.
    Decimal,
}

/// Puts lines into place.
pub fn place(laid: Laid<'_>) -> Result<HexText, TextError> {
    let Laid { lines, mut notes } = laid;
    let order = if decimal(&lines) { Order::Decimal } else { Order::Printed };
    if order == Order::Decimal {
        notes.push("the bytes are in decimal".into());
    }
    let mut read = assemble(&lines, order, &mut notes.clone())?;
    let words = lines.iter().flat_map(|l| &l.data).filter(|t| matches!(t.digits.len(), 4 | 8 | 16)).count();
    let tokens = lines.iter().map(|l| l.data.len()).sum::<usize>();
    if order == Order::Printed && words * 2 > tokens && uniform(&lines) {
        let turned = assemble(&lines, Order::Turned, &mut notes.clone())?;
        match (is_contents(&read), is_contents(&turned)) {
            (false, true) => {
                notes.push("the words are printed with their last byte first; they were turned".into());
                read = assemble(&lines, Order::Turned, &mut notes)?;
                return Ok(HexText { bytes: read, notes });
            }
            (true, false) => {}
            _ => notes.push(
                "the order of the bytes within a word is not certain; they were taken as printed, first byte first"
                    .into(),
            ),
        }
    }
    let bytes = assemble(&lines, order, &mut notes)?;
    Ok(HexText { bytes, notes })
}

/// Is a DRAM type that is read at byte 2?
fn is_contents(bytes: &[u8]) -> bool {
    matches!(bytes.get(2), Some(0x0B | 0x0C | 0x12))
}

/// Do words of one length make up the text? Unbroken digits of several lengths are bytes as printed.
fn uniform(lines: &[Line<'_>]) -> bool {
    let mut lengths = lines.iter().flat_map(|l| &l.data).map(|t| t.digits.len());
    let first = lengths.next();
    lengths.filter(|l| Some(*l) != first).count() <= 1
}

/// Are the tokens decimal? Only where one has three digits, and none could be nothing but hexadecimal.
fn decimal(lines: &[Line<'_>]) -> bool {
    let mut tokens = lines.iter().flat_map(|l| &l.data).peekable();
    let fits = |d: &str| d == "0" || (!d.starts_with('0') && d.parse::<u8>().is_ok());
    let three = lines.iter().flat_map(|l| &l.data).any(|t| t.digits.len() == 3);
    three && tokens.peek().is_some() && tokens.all(|t| !t.marked && fits(t.digits))
}

fn bytes_of(line: &Line<'_>, order: Order, missing: &mut Vec<usize>) -> Vec<u8> {
    let mut bytes = Vec::new();
    for token in &line.data {
        let digits = token.digits;
        if digits.is_empty() {
            missing.push(bytes.len());
            bytes.push(0);
        } else if order == Order::Decimal {
            bytes.extend(digits.parse::<u8>().ok());
        } else if digits.len() == 1 || digits.len() % 2 == 0 {
            let start = bytes.len();
            let pairs = (0..digits.len()).step_by(2).filter_map(|i| digits.get(i..(i + 2).min(digits.len())));
            bytes.extend(pairs.filter_map(|p| u8::from_str_radix(p, 16).ok()));
            if order == Order::Turned
                && let Some(word) = bytes.get_mut(start..)
            {
                word.reverse();
            }
        } else {
            // An odd number of digits is no byte: the text column has begun.
            break;
        }
    }
    bytes
}

/// Bytes at addresses, and what has been placed so far.
#[derive(Default)]
struct Placed {
    bytes: Vec<Option<u8>>,
    /// Where the next page's addresses start.
    page: usize,
    last: Vec<u8>,
    end: usize,
    star: bool,
    twice: Option<usize>,
}

impl Placed {
    fn put(&mut self, at: usize, bytes: &[u8]) {
        let end = at + bytes.len();
        if self.bytes.len() < end {
            self.bytes.resize(end, None);
        }
        for (i, byte) in bytes.iter().enumerate() {
            if let Some(slot) = self.bytes.get_mut(at + i) {
                if slot.is_some_and(|old| old != *byte) {
                    self.twice.get_or_insert(at + i);
                }
                *slot = Some(*byte);
            }
        }
    }
    /// Repeats the last row up to an address.
    fn repeat_to(&mut self, at: usize) {
        let row = std::mem::take(&mut self.last);
        while self.star && !row.is_empty() && self.end < at {
            let n = row.len().min(at - self.end);
            let from = self.end;
            self.put(from, row.get(..n).unwrap_or_default());
            self.end += n;
        }
        self.star = false;
        self.last = row;
    }
}

fn assemble(lines: &[Line<'_>], order: Order, notes: &mut Vec<String>) -> Result<Vec<u8>, TextError> {
    let least = lines.iter().filter(|l| !l.data.is_empty()).filter_map(|l| l.address).min().unwrap_or(0);
    // Addresses of a memory dump start far beyond the contents; those of contents start within them.
    let origin = if least >= 4096 { least } else { 0 };
    let addresses = next_addresses(lines);
    let mut placed = Placed::default();
    let mut told = Told::default();
    for line in lines {
        if line.star {
            placed.star = true;
            continue;
        }
        let mut missing = Vec::new();
        let mut bytes = bytes_of(line, order, &mut missing);
        let at = match line.address {
            Some(address) => {
                let far = || TextError::TooFar { line: line.number, address };
                let offset = address.checked_sub(origin).and_then(|o| usize::try_from(o).ok());
                let offset = offset.filter(|o| bytes.is_empty() || *o < MOST);
                let Some(offset) = offset else {
                    if bytes.is_empty() {
                        continue;
                    }
                    return Err(far());
                };
                if let Some(next) = addresses.get(&address) {
                    bytes.truncate(usize::try_from(next - address).unwrap_or(usize::MAX));
                }
                // The first address comes again: the next page, counted from its own start.
                if address == least && placed.bytes.get(placed.page + offset).is_some_and(Option::is_some) {
                    placed.page = placed.bytes.len().saturating_sub(offset);
                }
                placed.page.saturating_add(offset)
            }
            None => placed.bytes.len(),
        };
        if at.saturating_add(bytes.len()) > MOST {
            return match bytes.is_empty() {
                true => continue,
                false => Err(TextError::TooFar { line: line.number, address: at as u64 }),
            };
        }
        placed.repeat_to(at);
        if bytes.is_empty() {
            continue;
        }
        let texts = line.data.iter().filter_map(|t| t.unreadable);
        told.unreadable.extend(missing.into_iter().zip(texts).map(|(i, text)| (at + i, line.number, text.to_string())));
        placed.put(at, &bytes);
        placed.end = at + bytes.len();
        told.ends.insert(placed.end, line.number);
        placed.last = bytes;
    }
    told.notes(&placed, notes);
    Ok(placed.bytes.into_iter().map(Option::unwrap_or_default).collect())
}

/// For each address the next higher one, which cuts off what a text column adds to a row.
fn next_addresses(lines: &[Line<'_>]) -> BTreeMap<u64, u64> {
    let filled = lines.iter().filter(|l| !l.data.is_empty());
    let mut addresses: Vec<u64> = filled.filter_map(|l| l.address).collect();
    addresses.sort_unstable();
    addresses.dedup();
    addresses.windows(2).filter_map(|w| Some((*w.first()?, *w.get(1)?))).collect()
}

/// Where lines left something out.
#[derive(Default)]
struct Told {
    /// Offset, line and text of what stands in a byte's place.
    unreadable: Vec<(usize, usize, String)>,
    /// The line whose bytes end in front of an offset.
    ends: BTreeMap<usize, usize>,
}

/// Tokens that are named one by one.
const NAMED: usize = 4;

impl Told {
    fn notes(&self, placed: &Placed, notes: &mut Vec<String>) {
        let gaps: Vec<usize> = (0..placed.bytes.len()).filter(|i| placed.bytes.get(*i) == Some(&None)).collect();
        if let (Some(first), Some(last)) = (gaps.first(), gaps.last()) {
            let behind = self.ends.get(first).map_or(String::new(), |line| format!(" behind those of line {line}"));
            notes.push(match gaps.len() {
                1 => format!("the byte at offset {first}{behind} is not told; it stands as 00"),
                n => format!("{n} bytes between offsets {first} and {last}{behind} are not told; they stand as 00"),
            });
        }
        let (marks, odd): (Vec<_>, Vec<_>) = self.unreadable.iter().partition(|(_, _, text)| is_mark(text));
        if let Some((first, line, _)) = marks.first() {
            let bytes = if marks.len() == 1 { "1 byte".to_string() } else { format!("{} bytes", marks.len()) };
            notes.push(format!(
                "{bytes} could not be read on the machine, the first at offset {first} (line {line}): taken as 00"
            ));
        }
        for (offset, line, text) in odd.iter().take(NAMED) {
            notes.push(format!("line {line}: `{text}` is no byte in hexadecimal; offset {offset} stands as 00"));
        }
        if odd.len() > NAMED {
            notes.push(format!("{} more such places", odd.len() - NAMED));
        }
        if let Some(at) = placed.twice {
            notes.push(format!("offset {at} is told twice with different bytes; the later one counts"));
        }
    }
}
