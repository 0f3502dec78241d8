//! Rows of an intake that can't be taken in.

use crate::verbs::read::{self, UnreadView};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;

/// A row that can't be taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RowFault {
    /// From 1, the header counted; null where it is no list.
    pub line: Option<usize>,
    /// From 1; null where no single column is at fault.
    pub column: Option<usize>,
    /// The file, cell or line as it was given.
    pub text: String,
    pub why: String,
    pub hint: String,
}

impl RowFault {
    /// `line 3, column 4 (`cost`): why`.
    pub fn place(&self) -> String {
        match (self.line, self.column) {
            (Some(line), Some(column)) => format!("line {line}, column {column}"),
            (Some(line), None) => format!("line {line}"),
            (None, _) => self.text.clone(),
        }
    }
    /// Of something that can't be read, in a text where it is of one.
    pub fn unread(unread: &UnreadView, text: &str) -> Self {
        let line = read::intake::line_of(&unread.from);
        let column = unread.why.strip_prefix("column ").and_then(|w| w.split(' ').next()?.parse().ok());
        let written = line.and_then(|l| text.lines().nth(l.checked_sub(1)?)).unwrap_or(&unread.from);
        // The column stands in a field of its own.
        let why = match unread.why.split_once(": ") {
            Some((_, why)) if column.is_some() => why.to_string(),
            _ => unread.why.clone(),
        };
        Self { line, column, text: short(written), why, hint: unread.hint.clone() }
    }
}

/// One line of at most 100 characters.
pub fn short(text: &str) -> String {
    const MOST: usize = 100;
    if text.chars().count() <= MOST { text.to_string() } else { text.chars().take(MOST - 1).chain(['…']).collect() }
}

/// Every fault on lines of its own, for a terminal.
pub fn told(faults: &[RowFault]) -> String {
    let mut words = format!("{} can't be taken in:", counted(faults));
    for fault in faults {
        words.push_str(&format!("\n  {}: {}", fault.place(), fault.why));
        if fault.line.is_some() && !fault.text.is_empty() {
            words.push_str(&format!("\n    in `{}`", fault.text));
        }
        words.push_str(&format!("\n    help: {}", fault.hint));
    }
    words
}

/// How many rows: one may have several faults.
pub fn counted(faults: &[RowFault]) -> String {
    let lines: BTreeSet<usize> = faults.iter().filter_map(|f| f.line).collect();
    let rows = lines.len() + faults.iter().filter(|f| f.line.is_none()).count();
    if rows == 1 { "1 row".to_string() } else { format!("{rows} rows") }
}
