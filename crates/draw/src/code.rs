//! A two-dimensional code (QR, ISO/IEC 18004): its squares, and how much text one of a size holds.

use qrcode::bits::Bits;
use qrcode::types::Mode;
use qrcode::{Color, EcLevel, QrCode, Version};

/// Modules of clear space around a code (ISO/IEC 18004, quiet zone).
pub const QUIET: usize = 4;

/// How much of a code may be unreadable and it is read all the same (ISO/IEC 18004: levels L, 7 %, and M, 15 %).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spare {
    /// On a screen, which has no dirt: the most text.
    Screen,
    /// On paper.
    Paper,
}

impl Spare {
    fn level(self) -> EcLevel {
        match self {
            Self::Screen => EcLevel::L,
            Self::Paper => EcLevel::M,
        }
    }
}

/// Dark squares side by side, counted from the upper left corner of the code.
pub struct Run {
    pub left: usize,
    pub top: usize,
    pub length: usize,
}

/// The squares of a code.
#[derive(Debug, Clone)]
pub struct Code {
    width: usize,
    dark: Vec<bool>,
}

impl Code {
    /// The smallest code that holds a text; nothing where it is too long for any.
    pub fn new(text: &str, spare: Spare) -> Option<Self> {
        let code = QrCode::with_error_correction_level(text.as_bytes(), spare.level()).ok()?;
        let dark = code.to_colors().into_iter().map(|c| c == Color::Dark).collect();
        Some(Self { width: code.width(), dark })
    }
    /// Squares on a side, without the clear space.
    pub fn width(&self) -> usize {
        self.width
    }
    /// Is that square dark? Those around the code are not.
    pub fn is_dark(&self, left: isize, top: isize) -> bool {
        let within = |at: isize| usize::try_from(at).ok().filter(|at| *at < self.width);
        let at = within(left).zip(within(top)).map(|(left, top)| top * self.width + left);
        at.and_then(|at| self.dark.get(at)).copied().unwrap_or(false)
    }
    /// The dark runs of every row.
    pub fn runs(&self) -> Vec<Run> {
        let mut runs = Vec::new();
        for (top, line) in self.dark.chunks(self.width.max(1)).enumerate() {
            let mut left = 0;
            while left < line.len() {
                let length = line[left..].iter().take_while(|d| **d).count();
                if length > 0 {
                    runs.push(Run { left, top, length });
                }
                left += length.max(1);
            }
        }
        runs
    }
}

/// How many digits and capitals a code holds that, with its clear space, is at most `side` squares wide and no larger than
/// `largest` (1 to 40); 0 where not even the smallest has room.
pub fn letters(side: usize, largest: i16, spare: Spare) -> usize {
    // Version v is 17 + 4 v squares wide.
    let squares = side.saturating_sub(2 * QUIET);
    let fits = |version: &i16| 17 + 4 * usize::try_from(*version).unwrap_or(usize::MAX / 8) <= squares;
    let Some(version) = (1..=largest.min(40)).rev().find(fits).map(Version::Normal) else { return 0 };
    let bits = Bits::new(version).max_len(spare.level()).unwrap_or(0);
    // Two letters in eleven bits, one alone in six, behind the indicator of four bits and the count.
    let bits = bits.saturating_sub(4 + Mode::Alphanumeric.length_bits_count(version));
    bits / 11 * 2 + usize::from(bits % 11 >= 6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_holds_as_many_letters_as_the_standard_says() {
        // ISO/IEC 18004, table 7: alphanumeric characters of versions 1, 5, 10 and 40.
        for (version, low, middle) in [(1, 25, 20), (5, 154, 122), (10, 395, 311), (40, 4296, 3391)] {
            let side = 17 + 4 * version + 2 * QUIET;
            assert_eq!(letters(side, 40, Spare::Screen), low, "version {version}");
            assert_eq!(letters(side, 40, Spare::Paper), middle, "version {version}");
            let full = Code::new(&"A".repeat(low), Spare::Screen).map(|c| c.width());
            assert_eq!(full, Some(17 + 4 * version));
        }
        assert_eq!(letters(28, 40, Spare::Screen), 0);
        assert_eq!(letters(200, 5, Spare::Screen), 154, "no larger than asked");
    }

    #[test]
    fn a_code_begins_with_its_finder_pattern_and_is_clear_around() {
        let code = Code::new("SNAPSHOT1:", Spare::Screen).unwrap();
        assert_eq!(code.width(), 21);
        assert!((0..7).all(|n| code.is_dark(n, 0) && code.is_dark(0, n)));
        assert!(!code.is_dark(-1, 0) && !code.is_dark(0, 21) && !code.is_dark(7, 0));
        assert!(Code::new(&"x".repeat(9000), Spare::Screen).is_none());
    }
}
