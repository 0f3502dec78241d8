//! A sheet of character cells, each with a colour, for terminals.

use crate::measure::cells;
use crate::palette::Tone;

/// One character cell.
#[derive(Debug, Clone, PartialEq)]
enum Square {
    Blank,
    /// A character with the marks that combine with it.
    Filled {
        text: String,
        tone: Option<Tone>,
    },
    /// The right half of a wide character.
    Covered,
}

/// The sheet. It grows to what is put on it.
#[derive(Debug, Clone, Default)]
pub struct Canvas {
    rows: Vec<Vec<Square>>,
}

impl Canvas {
    /// Lines so far.
    pub fn height(&self) -> usize {
        self.rows.len()
    }
    /// Columns of the longest line.
    pub fn width(&self) -> usize {
        self.rows.iter().map(Vec::len).max().unwrap_or(0)
    }
    /// Writes a text from a place to the right.
    pub fn put(&mut self, column: usize, line: usize, text: &str, tone: Option<Tone>) {
        if self.rows.len() <= line {
            self.rows.resize(line + 1, Vec::new());
        }
        let row = &mut self.rows[line];
        let mut at = column;
        for c in text.chars() {
            let wide = cells(c);
            if wide == 0 {
                if let Some(Square::Filled { text, .. }) = at.checked_sub(1).and_then(|i| row.get_mut(i)) {
                    text.push(c);
                }
                continue;
            }
            if row.len() < at + wide {
                row.resize(at + wide, Square::Blank);
            }
            row[at] = Square::Filled { text: c.to_string(), tone };
            for covered in &mut row[at + 1..at + wide] {
                *covered = Square::Covered;
            }
            at += wide;
        }
    }
    /// Puts another sheet on this one.
    pub fn place(&mut self, column: usize, line: usize, other: &Self) {
        for (y, row) in other.rows.iter().enumerate() {
            for (x, square) in row.iter().enumerate() {
                if let Square::Filled { text, tone } = square {
                    self.put(column + x, line + y, text, *tone);
                }
            }
        }
    }
    /// Prints the sheet, without blanks at the line ends.
    pub fn print(&self, colour: bool) -> String {
        let mut out = String::new();
        for row in &self.rows {
            let end = row.iter().rposition(|s| *s != Square::Blank).map_or(0, |i| i + 1);
            let mut now = None;
            for square in &row[..end] {
                let (text, tone) = match square {
                    Square::Blank => (" ", None),
                    Square::Filled { text, tone } => (text.as_str(), *tone),
                    Square::Covered => continue,
                };
                if colour && tone != now {
                    out.push_str(escape(tone));
                    now = tone;
                }
                out.push_str(text);
            }
            if now.is_some() {
                out.push_str(escape(None));
            }
            out.push('\n');
        }
        out
    }
}

/// The colours that every terminal has (ECMA-48 SGR); the terminal's theme says how they look.
fn escape(tone: Option<Tone>) -> &'static str {
    match tone {
        None | Some(Tone::Empty) => "\u{1b}[0m",
        Some(Tone::Ok) => "\u{1b}[0;36m",
        Some(Tone::Note) => "\u{1b}[0;34m",
        Some(Tone::Slower) => "\u{1b}[0;33m",
        Some(Tone::Wrong) => "\u{1b}[0;1;31m",
        Some(Tone::Unsupported) => "\u{1b}[0;35m",
    }
}
