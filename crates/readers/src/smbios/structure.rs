//! One structure: its fields by offset and its strings by number. What lies past its end is `None`.

use domain::reading::Text;
use std::borrow::Cow;

/// A structure of the table, as it lies there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Structure<'a> {
    pub kind: u8,
    pub handle: u16,
    /// Offset in the table.
    pub at: usize,
    /// The fields, header included.
    pub formatted: &'a [u8],
    /// The strings with the NULs between them.
    pub text: &'a [u8],
}

/// Strings of one structure that are kept at hand.
const KEPT: usize = 12;

/// Where the strings of a structure begin and end, found in one pass.
pub(super) struct Strings<'a> {
    kept: [(u32, u32); KEPT],
    text: &'a [u8],
    /// The same, where nothing but printable ASCII stands between the NULs: checked once for all strings.
    plain: Option<&'a str>,
}

impl<'a> Strings<'a> {
    fn new(text: &'a [u8]) -> Self {
        let mut kept = [(0, 0); KEPT];
        // Two plain passes, each of which the compiler does many bytes at a time.
        let plain = text.iter().fold(true, |plain, b| plain & (*b == 0 || (0x20..0x7F).contains(b)));
        let (mut count, mut start) = (0, 0);
        for (at, _) in (0u32..).zip(text).filter(|(_, byte)| **byte == 0) {
            if let Some(place) = kept.get_mut(count) {
                *place = (start, at);
            }
            (count, start) = (count + 1, at + 1);
        }
        if let Some(place) = kept.get_mut(count) {
            *place = (start, u32::try_from(text.len()).unwrap_or(start));
        }
        let plain = if plain { std::str::from_utf8(text).ok() } else { None };
        Self { kept, text, plain }
    }
    /// Where string `number` lies; `None` for 0 or where there is none.
    fn place(&self, number: u8) -> Option<std::ops::Range<usize>> {
        let index = usize::from(number).checked_sub(1)?;
        let place = match self.kept.get(index) {
            Some((start, end)) => usize::try_from(*start).ok()?..usize::try_from(*end).ok()?,
            None => {
                let before = self.text.split(|b| *b == 0).take(index).map(|s| s.len() + 1).sum();
                let length = self.text.get(before..)?.split(|b| *b == 0).next()?.len();
                before..before + length
            }
        };
        (!place.is_empty()).then_some(place)
    }
    /// String `number` from 1; `None` for 0 or where there is none.
    pub fn get(&self, number: u8) -> Option<Cow<'a, str>> {
        let place = self.place(number)?;
        match self.plain {
            Some(plain) => plain.get(place).map(Cow::Borrowed),
            None => self.text.get(place).map(text),
        }
    }
}

impl<'a> Structure<'a> {
    pub fn byte(&self, at: usize) -> Option<u8> {
        self.formatted.get(at).copied()
    }
    pub fn word(&self, at: usize) -> Option<u16> {
        self.formatted.get(at..at + 2)?.try_into().ok().map(u16::from_le_bytes)
    }
    pub fn double(&self, at: usize) -> Option<u32> {
        self.formatted.get(at..at + 4)?.try_into().ok().map(u32::from_le_bytes)
    }
    pub fn quad(&self, at: usize) -> Option<u64> {
        self.formatted.get(at..at + 8)?.try_into().ok().map(u64::from_le_bytes)
    }
    pub fn strings(&self) -> Strings<'a> {
        Strings::new(self.text)
    }
    /// The string that the field at `at` names.
    pub fn string(&self, at: usize) -> Option<Cow<'a, str>> {
        self.strings().get(self.byte(at)?)
    }
    /// For notes.
    pub fn name(&self) -> String {
        format!("{} (type {})", handle(self.handle), self.kind)
    }
}

/// The text of a string: UTF-8, else one character a byte (Latin-1). Control characters become U+FFFD, so that no
/// report can steer a terminal.
fn text(bytes: &[u8]) -> Cow<'_, str> {
    let whole = match std::str::from_utf8(bytes) {
        Ok(utf8) => Cow::Borrowed(utf8),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    };
    if whole.contains(char::is_control) {
        return whole.chars().map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect();
    }
    whole
}

/// A handle as reports write it: `0x1100`.
pub(super) fn handle(number: u16) -> Text {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    let digit = |shift: u16| DIGITS[usize::from(number >> shift & 15)];
    let text = [b'0', b'x', digit(12), digit(8), digit(4), digit(0)];
    Text::new(std::str::from_utf8(&text).unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_are_counted_from_one() {
        let formatted = [11u8, 5, 0, 0, 2];
        let s = Structure { kind: 11, handle: 0, at: 0, formatted: &formatted, text: b"one\0two" };
        assert_eq!(s.string(4).as_deref(), Some("two"));
        let strings = s.strings();
        assert_eq!([strings.get(0), strings.get(3), strings.get(200)], [None, None, None]);
        assert_eq!(strings.get(1).as_deref(), Some("one"));
    }

    #[test]
    fn the_thirteenth_string_is_found_too() {
        let many: Vec<u8> = (1..=14).flat_map(|n: u8| [b'a' + n, 0]).collect();
        let s = Structure { kind: 11, handle: 0, at: 0, formatted: &[], text: &many[..many.len() - 1] };
        let strings = s.strings();
        assert_eq!(strings.get(14).as_deref(), Some("o"));
        assert_eq!([strings.get(15), strings.get(200)], [None, None]);
    }

    #[test]
    fn control_characters_and_latin_1_are_made_harmless() {
        assert_eq!(text(b"A\x1b[2J"), "A\u{FFFD}[2J");
        assert_eq!(text(&[b'A', 0xE9]), "A\u{e9}");
        assert_eq!(handle(0x00AF), "0x00AF");
    }
}
