//! Texts laid end to end, so that one span names a file and a place in it, whichever file a value came from.

use std::sync::Arc;

/// A stretch of the laid-out texts, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Span {
    pub start: usize,
    pub end: usize,
}

/// One file's text.
#[derive(Debug, Clone)]
pub(crate) struct Text {
    pub name: String,
    pub text: Arc<str>,
    pub base: usize,
}

/// All texts that one reading has opened.
#[derive(Debug, Clone, Default)]
pub(crate) struct Texts(Vec<Text>);

impl Texts {
    /// Adds a text; gives the offset at which its spans start.
    pub fn add(&mut self, name: &str, text: Arc<str>) -> usize {
        let base = self.0.last().map_or(0, |t| t.base + t.text.len() + 1);
        self.0.push(Text { name: name.to_string(), text, base });
        base
    }
    /// The text that a span lies in.
    pub fn of(&self, span: Span) -> Option<&Text> {
        self.0.iter().rev().find(|t| t.base <= span.start)
    }
    /// File, line and column of a span's start; lines and columns count from 1, columns in characters.
    pub fn place(&self, span: Span) -> Option<Place> {
        let text = self.of(span)?;
        let mut at = (span.start - text.base).min(text.text.len());
        while !text.text.is_char_boundary(at) {
            at -= 1;
        }
        let before = &text.text[..at];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        Some(Place {
            file: text.name.clone(),
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
        })
    }
}

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The file's name or path, as it was given.
    pub file: String,
    /// From 1.
    pub line: usize,
    /// In characters, from 1.
    pub column: usize,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}", self.file, self.line, self.column)
    }
}

/// A number with its noun: `1 slot`, `2 slots`.
pub(crate) fn count(n: usize, noun: &str) -> String {
    format!("{n} {noun}{}", if n == 1 { "" } else { "s" })
}

/// A name from a file made fit to print: control characters escaped, long ones cut.
pub(crate) fn shown(name: &str) -> String {
    const MOST: usize = 60;
    let mut out: String = name.chars().take(MOST).flat_map(visible).collect();
    if name.chars().nth(MOST).is_some() {
        out.push('…');
    }
    out
}

fn visible(c: char) -> Vec<char> {
    // Bidirectional controls would let a name show as another.
    let hidden =
        c.is_control() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if hidden { c.escape_unicode().collect() } else { vec![c] }
}
