//! A place in a part number, and how a code at that place is looked up.

use super::error::PartError;

/// The characters of a part number in capitals.
pub struct Cursor<'n> {
    bytes: &'n [u8],
    pub at: usize,
}

impl<'n> Cursor<'n> {
    pub fn new(bytes: &'n [u8]) -> Self {
        Self { bytes, at: 0 }
    }
    pub fn rest(&self) -> &'n [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }
    pub fn here(&self) -> Option<u8> {
        self.rest().first().copied()
    }
    pub fn eat(&mut self, wanted: &[u8]) -> bool {
        let is = self.rest().starts_with(wanted);
        self.at += if is { wanted.len() } else { 0 };
        is
    }
    pub fn next(&mut self) -> Option<u8> {
        let here = self.here();
        self.at += usize::from(here.is_some());
        here
    }
    pub fn take(&mut self, what: impl Fn(u8) -> bool) -> &'n [u8] {
        let rest = self.rest();
        let length = rest.iter().take_while(|b| what(**b)).count();
        self.at += length;
        &rest[..length]
    }
    /// Digits as a number below a million.
    pub fn number(&mut self) -> Option<u32> {
        let digits = self.take(|b| b.is_ascii_digit());
        let fits = (1..=6).contains(&digits.len());
        fits.then(|| digits.iter().fold(0, |n, b| n * 10 + u32::from(b - b'0')))
    }
    /// The value of the code that stands here.
    pub fn code<T: Copy>(&mut self, table: &[(&str, T)]) -> Option<T> {
        let (code, value) = table.iter().find(|(code, _)| self.rest().starts_with(code.as_bytes()))?;
        self.at += code.len();
        Some(*value)
    }
    /// An error at this place.
    pub fn bad<T>(&self, maker: &'static str, expected: &'static str) -> Result<T, PartError> {
        let found: String = self.rest().iter().take(8).map(|b| char::from(*b)).collect();
        let found = if found.is_empty() { "the end".to_string() } else { found };
        Err(PartError::NotInForm { maker, column: self.at + 1, found, expected, nearest: None })
    }
}
