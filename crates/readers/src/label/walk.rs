//! A walk over the characters of a label, and the small pieces that it is made of.

use super::error::{Field, LabelError};

/// The characters of a label in capitals, with a place among them; column = place + 1.
pub struct Walk {
    pub chars: Vec<char>,
    pub at: usize,
}

impl Walk {
    pub fn new(text: &str) -> Self {
        let plain = |c: char| match c {
            '\u{d7}' | '*' => 'X',
            '\u{2010}'..='\u{2015}' | '\u{2212}' | '_' => '-',
            c if c.is_whitespace() => ' ',
            c => c.to_ascii_uppercase(),
        };
        Self { chars: text.chars().map(plain).collect(), at: 0 }
    }

    pub fn here(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }
    pub fn skip(&mut self, what: impl Fn(char) -> bool) {
        while self.here().is_some_and(&what) {
            self.at += 1;
        }
    }
    /// Over spaces and dashes.
    pub fn separators(&mut self) {
        self.skip(|c| c == ' ' || c == '-');
    }
    pub fn take(&mut self, what: impl Fn(char) -> bool) -> String {
        let start = self.at;
        self.skip(what);
        self.chars[start..self.at].iter().collect()
    }
    pub fn eat(&mut self, wanted: char) -> bool {
        let is = self.here() == Some(wanted);
        if is {
            self.at += 1;
        }
        is
    }
    /// What stands from `start` to the next space or dash, for an error.
    pub fn found(&self, start: usize) -> String {
        let rest = self.chars.get(start..).unwrap_or_default();
        rest.iter().take_while(|c| **c != ' ' && **c != '-').take(24).collect()
    }
    pub fn bad<T>(&self, field: Field, start: usize) -> Result<T, LabelError> {
        let found = self.found(start);
        let column = start + 1;
        if found.is_empty() {
            return Err(LabelError::Missing { field, column, nearest: None });
        }
        Err(LabelError::Unreadable { field, column, found, nearest: None })
    }
    pub fn missing<T>(&self, field: Field, start: usize) -> Result<T, LabelError> {
        Err(LabelError::Missing { field, column: start + 1, nearest: None })
    }
    /// Does this text stand at a place?
    pub fn is_at(&self, place: usize, text: &str) -> bool {
        text.chars().enumerate().all(|(i, c)| self.chars.get(place + i) == Some(&c))
    }
    /// The field up to the next space or dash.
    pub fn segment(&mut self) -> (usize, String) {
        self.separators();
        let start = self.at;
        (start, self.take(|c| c != ' ' && c != '-'))
    }
}

/// A raw card and its revision: letters, then digits or one more letter. `None` where it is neither; nothing at all is
/// fine. `O` and `I` are never used, so that they are not taken for digits.
pub fn card(text: &str) -> Option<(Option<String>, Option<String>)> {
    if text.is_empty() {
        return Some((None, None));
    }
    if !text.bytes().all(|b| b.is_ascii_alphanumeric()) || text.contains(['O', 'I']) {
        return None;
    }
    let letters = text.bytes().take_while(u8::is_ascii_alphabetic).count();
    let (card, revision) = match (letters, text.len() - letters) {
        (1, 0) => (text, ""),
        (2 | 3, 0) => text.split_at(letters - 1),
        (1 | 2, 1 | 2) => text.split_at(letters),
        _ => return None,
    };
    if !revision.is_empty() && revision.len() > 1 && !revision.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    Some((Some(card.to_string()), (!revision.is_empty()).then(|| revision.to_string())))
}
