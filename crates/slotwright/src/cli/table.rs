//! Plain aligned tables, key-value lines and wrapped text.

use crate::world;
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

/// Widest line of running text, in characters, where there is room for it.
const WIDTH: usize = 100;

/// Rows under a header line, two spaces in from the left; columns named in `right` are set to the right.
///
/// Where there is less room than that takes, cells fold between words; figures and words stay whole.
pub fn table(header: &[&str], right: &[usize], rows: Vec<Vec<String>>) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if let Some(columns) = world::width() {
        table.set_content_arrangement(ContentArrangement::Dynamic).set_width(columns.min(u16::MAX.into()) as u16);
    }
    let least: Vec<u16> = (0..header.len()).map(|i| narrowest(header, &rows, i, right.contains(&i))).collect();
    table.set_header(header.to_vec());
    for row in rows {
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((GAP, 0));
        if right.contains(&i) {
            column.set_cell_alignment(CellAlignment::Right);
        }
        if let Some(least) = least.get(i) {
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(*least)));
        }
    }
    let mut text = String::new();
    for line in table.lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Columns left of each cell.
const GAP: u16 = 2;

/// The narrowest that a column can be, its gap with it: its longest word; of figures, the longest cell.
fn narrowest(header: &[&str], rows: &[Vec<String>], column: usize, figures: bool) -> u16 {
    let word = |text: &str| text.split(' ').map(|w| w.chars().count()).max().unwrap_or(0);
    let cell = |text: &String| if figures { text.chars().count() } else { word(text) };
    let cells = rows.iter().filter_map(|row| row.get(column)).map(cell).max().unwrap_or(0);
    let head = header.get(column).map_or(0, |h| word(h));
    u16::try_from(cells.max(head)).unwrap_or(u16::MAX).saturating_add(GAP)
}

/// `key   value` lines, keys in one column, values wrapped beside them.
pub fn facts(rows: &[(&str, String)]) -> String {
    let widest = rows.iter().map(|(k, _)| k.chars().count()).max().unwrap_or(0);
    let indent = widest + 4;
    let mut text = String::new();
    for (key, value) in rows {
        let wrapped = wrap(value, indent);
        let pad = widest - key.chars().count();
        let value = wrapped.trim_start();
        text.push_str(&format!("  {key}{:pad$}  {value}\n", ""));
    }
    text
}

/// Text in lines of at most 100 characters, or as many as there is room for, each `indent` spaces in.
pub fn wrap(text: &str, indent: usize) -> String {
    within(text, indent, world::columns().min(WIDTH))
}

/// Text as [`wrap`] has it, but for its first line, which is `first` spaces in; `first` is at most `rest`.
pub fn paragraph(text: &str, first: usize, rest: usize) -> String {
    format!("{:first$}{}", "", wrap(text, rest).trim_start())
}

fn within(text: &str, indent: usize, width: usize) -> String {
    let mut out = String::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = indent + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && longer > width {
            out.push_str(&format!("{:indent$}{line}\n", ""));
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    out.push_str(&format!("{:indent$}{line}", ""));
    out
}

/// What comes next, and the command line for it.
pub fn next(words: &str, command: Option<&str>) -> String {
    let command = command.map_or_else(String::new, |c| format!("  slotwright {c}\n"));
    format!("{}\n{command}", paragraph(&format!("next: {words}"), 0, 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_wraps_at_words_and_keeps_its_indent() {
        let long = "slot ".repeat(40);
        let wrapped = within(&long, 4, WIDTH);
        assert!(wrapped.lines().count() == 3, "{wrapped}");
        assert!(wrapped.lines().all(|l| l.starts_with("    slot") && l.len() <= WIDTH));
    }
}
