//! The two faces that sheets are set in, and how wide their text runs.
//!
//! DejaVu Sans covers Latin, Greek, Cyrillic and the marks that sheets use; its licence stands beside the files.

use crate::measure;
use std::sync::OnceLock;

/// A face of type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    Plain,
    Bold,
}

impl Face {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Plain, Self::Bold];
    /// The font file.
    pub fn data(self) -> &'static [u8] {
        match self {
            Self::Plain => include_bytes!("../../fonts/DejaVuSans.ttf"),
            Self::Bold => include_bytes!("../../fonts/DejaVuSans-Bold.ttf"),
        }
    }
    /// Its PostScript name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "DejaVuSans",
            Self::Bold => "DejaVuSans-Bold",
        }
    }
    /// The parsed file; `None` only if the file that the program carries is broken.
    pub fn parsed(self) -> Option<&'static ttf_parser::Face<'static>> {
        static PLAIN: OnceLock<Option<ttf_parser::Face<'static>>> = OnceLock::new();
        static BOLD: OnceLock<Option<ttf_parser::Face<'static>>> = OnceLock::new();
        let place = match self {
            Self::Plain => &PLAIN,
            Self::Bold => &BOLD,
        };
        place.get_or_init(|| ttf_parser::Face::parse(self.data(), 0).ok()).as_ref()
    }
    /// The glyph of a character; what the face lacks becomes its replacement character.
    pub fn glyph(self, c: char) -> u16 {
        let Some(face) = self.parsed() else { return 0 };
        face.glyph_index(c).or_else(|| face.glyph_index('\u{fffd}')).map_or(0, |g| g.0)
    }
    /// Advance of a glyph in thousandths of the size.
    pub fn advance(self, glyph: u16) -> f64 {
        let Some(face) = self.parsed() else { return 600.0 };
        let units = f64::from(face.units_per_em()).max(1.0);
        f64::from(face.glyph_hor_advance(ttf_parser::GlyphId(glyph)).unwrap_or(0)) * 1000.0 / units
    }
    /// Width of a text in pt at a size.
    pub fn width(self, text: &str, size: f64) -> f64 {
        text.chars().map(|c| self.advance(self.glyph(c))).sum::<f64>() * size / 1000.0
    }
}

/// Width of printable text in the plain face.
pub fn printed_width(text: &str, size: f64) -> f64 {
    Face::Plain.width(&measure::printable(text), size)
}

/// Breaks text into lines of at most `most` pt, at blanks, else inside a word that is too long for a line.
pub fn lines(text: &str, face: Face, size: f64, most: f64) -> Vec<String> {
    let text = measure::printable(text);
    let mut done = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
        if face.width(&longer, size) <= most {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            done.push(std::mem::take(&mut line));
        }
        line = long_word(word, face, size, most, &mut done);
    }
    if !line.is_empty() || done.is_empty() {
        done.push(line);
    }
    done
}

/// Cuts a word that no line holds; the last piece stays open.
fn long_word(word: &str, face: Face, size: f64, most: f64, done: &mut Vec<String>) -> String {
    let mut line = String::new();
    for piece in measure::pieces(word) {
        for c in piece.chars() {
            let wider = face.width(&line, size) + face.width(&c.to_string(), size);
            if !line.is_empty() && wider > most {
                done.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_faces_are_there_and_bold_runs_wider() {
        let (plain, bold) = (Face::Plain.width("64 GiB 2Rx4", 10.0), Face::Bold.width("64 GiB 2Rx4", 10.0));
        assert!(plain > 40.0 && bold > plain, "{plain} {bold}");
        assert_ne!(Face::Plain.glyph('Ω'), Face::Plain.glyph('\u{fffd}'));
        assert_eq!(Face::Plain.glyph('\u{10fffd}'), Face::Plain.glyph('\u{fffd}'));
    }

    #[test]
    fn no_line_is_wider_than_asked_and_no_letter_is_lost() {
        let text = "Press both ends until both latches close: M393A8G40MB2-CVFBYM393A8G40MB2-CVFBYM393A8G40MB2 end";
        let broken = lines(text, Face::Plain, 10.0, 120.0);
        assert!(broken.iter().all(|l| Face::Plain.width(l, 10.0) <= 120.0), "{broken:?}");
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&broken.concat()), letters(text));
        assert_eq!(lines("", Face::Plain, 10.0, 50.0), [""]);
    }
}
