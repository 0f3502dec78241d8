//! Plain aligned tables, key-value lines and wrapped text.

use comfy_table::{CellAlignment, Table, presets};

/// Widest line of running text, in characters.
pub const WIDTH: usize = 100;

/// Rows under a header line, two spaces in from the left; columns named in `right` are set to the right.
pub fn table(header: &[&str], right: &[usize], rows: Vec<Vec<String>>) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table.set_header(header.to_vec());
    for row in rows {
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((2, 0));
        if right.contains(&i) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let mut text = String::new();
    for line in table.lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
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

/// Text in lines of at most [`WIDTH`] characters, each `indent` spaces in.
pub fn wrap(text: &str, indent: usize) -> String {
    let mut out = String::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = indent + line.chars().count() + 1 + word.chars().count();
        if !line.is_empty() && longer > WIDTH {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_wraps_at_words_and_keeps_its_indent() {
        let long = "slot ".repeat(40);
        let wrapped = wrap(&long, 4);
        assert!(wrapped.lines().count() == 3, "{wrapped}");
        assert!(wrapped.lines().all(|l| l.starts_with("    slot") && l.len() <= WIDTH));
    }
}
