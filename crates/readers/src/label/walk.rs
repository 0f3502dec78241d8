//! A walk over the characters of a label, and the small pieces that it is made of.

use super::LONGEST;
use super::error::{Field, LabelError};

/// The characters of a label in capitals, one byte each, with a place among them; column = place + 1.
#[derive(Clone)]
pub struct Walk<'t> {
    text: &'t str,
    bytes: [u8; LONGEST],
    length: usize,
    /// Which letters occur.
    letters: u32,
    pub at: usize,
}

/// Stands for every character that no label has.
const FOREIGN: u8 = b'?';

/// What a character of ASCII counts as.
const PLAIN: [u8; 128] = {
    let mut table = [FOREIGN; 128];
    let mut at = 0;
    while at < 128 {
        let byte = at as u8;
        table[at] = match byte {
            b'_' => b'-',
            b'*' => b'X',
            b'!'..=b'~' => byte.to_ascii_uppercase(),
            b' ' | 9..=13 => b' ',
            _ => FOREIGN,
        };
        at += 1;
    }
    table
};

impl<'t> Walk<'t> {
    /// `None` where the text is longer than any label.
    pub fn new(text: &'t str) -> Option<Self> {
        let mut walk = Self { text, bytes: [0; LONGEST], length: 0, letters: 0, at: 0 };
        if text.is_ascii() {
            walk.length = text.len();
            for (place, byte) in walk.bytes.get_mut(..text.len())?.iter_mut().zip(text.bytes()) {
                *place = PLAIN[usize::from(byte & 0x7F)];
            }
        } else {
            for c in text.chars() {
                let place = walk.bytes.get_mut(walk.length)?;
                *place = match c {
                    c if c.is_ascii() => PLAIN[usize::from(c as u8 & 0x7F)],
                    '\u{d7}' => b'X',
                    '\u{2010}'..='\u{2015}' | '\u{2212}' => b'-',
                    c if c.is_whitespace() => b' ',
                    _ => FOREIGN,
                };
                walk.length += 1;
            }
        }
        walk.letters = letters(&walk.bytes[..walk.length]);
        Some(walk)
    }
    /// What has not been walked over yet.
    pub fn rest(&self) -> &[u8] {
        self.bytes.get(self.at..self.length).unwrap_or_default()
    }
    pub fn here(&self) -> Option<u8> {
        self.rest().first().copied()
    }
    /// Is this word anywhere in the text?
    pub fn has(&self, word: &[u8]) -> bool {
        letters(word) & !self.letters == 0 && self.bytes[..self.length].windows(word.len()).any(|w| w == word)
    }
    pub fn skip(&mut self, what: impl Fn(u8) -> bool) {
        self.at += self.rest().iter().take_while(|b| what(**b)).count();
    }
    /// Over spaces and dashes.
    pub fn separators(&mut self) {
        self.skip(|b| b == b' ' || b == b'-');
    }
    pub fn take(&mut self, what: impl Fn(u8) -> bool) -> &[u8] {
        let start = self.at;
        self.skip(what);
        &self.bytes[start..self.at]
    }
    /// Digits as a number, with how many there are; at most 7 are looked at.
    pub fn number(&mut self) -> (u32, usize) {
        let digits = self.take(|b| b.is_ascii_digit());
        let value = digits.iter().take(7).fold(0, |n, b| n * 10 + u32::from(b - b'0'));
        (value, digits.len())
    }
    pub fn eat(&mut self, wanted: u8) -> bool {
        let is = self.here() == Some(wanted);
        self.at += usize::from(is);
        is
    }
    /// The field up to the next space or dash.
    pub fn segment(&mut self) -> (usize, &[u8]) {
        self.separators();
        let start = self.at;
        (start, self.take(|b| b != b' ' && b != b'-'))
    }
    /// What stands from `start` to the next space or dash, for an error.
    pub fn found(&self, start: usize) -> String {
        let stop = |c: &char| !c.is_whitespace() && !matches!(c, '-' | '_');
        self.text.chars().skip(start).take_while(stop).take(24).collect()
    }
    pub fn bad<T>(&self, field: Field, start: usize) -> Result<T, LabelError> {
        let found = self.found(start);
        let column = start + 1;
        if found.is_empty() {
            return self.missing(field, start);
        }
        Err(LabelError::Unreadable { field, column, found, nearest: None })
    }
    pub fn missing<T>(&self, field: Field, start: usize) -> Result<T, LabelError> {
        Err(LabelError::Missing { field, column: start + 1, nearest: None })
    }
}

/// A bit for each letter that occurs.
fn letters(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0, |set, b| set | (1u32 << (b & 0x1F)))
}

/// Bytes of a walk as text.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A raw card (one letter or two) and its revision (one or two digits, or a letter); each may be absent.
pub type Card<'b> = (&'b [u8], &'b [u8]);

/// Reads a raw card and its revision: letters, then digits or one more letter. `None` where it is neither; nothing at
/// all is fine. `O` and `I` are never used, so that they are not taken for digits.
pub fn card(field: &[u8]) -> Option<Card<'_>> {
    if !field.iter().all(|b| b.is_ascii_alphanumeric() && !matches!(b, b'O' | b'I')) {
        return None;
    }
    let letters = field.iter().take_while(|b| b.is_ascii_alphabetic()).count();
    let (card, revision) = match (letters, field.len() - letters) {
        (0, 0) | (1, 0) => (field, &[][..]),
        (2 | 3, 0) => field.split_at(letters - 1),
        (1 | 2, 1 | 2) => field.split_at(letters),
        _ => return None,
    };
    (revision.len() <= 1 || revision.iter().all(u8::is_ascii_digit)).then_some((card, revision))
}
