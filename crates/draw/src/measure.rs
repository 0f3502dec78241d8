//! How wide text runs, estimated without a font, and how it is cut and broken so that it fits its box.

/// Text with characters that can't or must not be printed replaced: controls, direction overrides, what XML forbids.
pub fn printable(text: &str) -> String {
    let safe = |c: char| {
        !(c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}')
            || matches!(c, '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}'))
    };
    text.chars().map(|c| if safe(c) { c } else { '\u{fffd}' }).collect()
}

/// Width of a text in px at a font size: the widest of the common sans-serif faces, so that real text runs shorter.
pub fn width(text: &str, size: f64, bold: bool) -> f64 {
    let ems: f64 = text.chars().map(em).sum();
    ems * size * if bold { 1.1 } else { 1.0 }
}

fn em(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.32,
        'f' | 't' | 'r' | '-' | '(' | ')' | '[' | ']' | '/' => 0.42,
        'm' | 'W' | 'M' | '%' | '@' | '\u{2026}' => 1.0,
        'w' | '+' | '=' | '<' | '>' | '#' | '~' => 0.84,
        'a'..='z' | '0'..='9' => 0.64,
        'A'..='Z' => 0.76,
        c if c.is_ascii() => 0.66,
        c if cells(c) == 2 => 1.05,
        _ => 0.8,
    }
}

/// Columns that a character takes on a terminal: 2 for East Asian wide ones, 0 for combining marks, else 1.
pub fn cells(c: char) -> usize {
    match c {
        '\u{0300}'..='\u{036f}' | '\u{1ab0}'..='\u{1aff}' | '\u{20d0}'..='\u{20ff}' | '\u{fe00}'..='\u{fe0f}' => 0,
        '\u{1100}'..='\u{115f}'
        | '\u{2e80}'..='\u{303e}'
        | '\u{3041}'..='\u{a4cf}'
        | '\u{ac00}'..='\u{d7a3}'
        | '\u{f900}'..='\u{faff}'
        | '\u{fe30}'..='\u{fe6f}'
        | '\u{ff00}'..='\u{ff60}'
        | '\u{ffe0}'..='\u{ffe6}'
        | '\u{1f300}'..='\u{1faff}'
        | '\u{20000}'..='\u{3fffd}' => 2,
        _ => 1,
    }
}

/// Columns that a text takes on a terminal.
pub fn columns(text: &str) -> usize {
    text.chars().map(cells).sum()
}

/// The text, or its beginning and `…`, so that it measures at most `most`.
pub fn cut(text: &str, most: f64, measure: impl Fn(&str) -> f64) -> String {
    if measure(text) <= most {
        return text.to_string();
    }
    let mut kept: String = text.to_string();
    while kept.pop().is_some() {
        let shown = format!("{}\u{2026}", kept.trim_end());
        if measure(&shown) <= most {
            return shown;
        }
    }
    String::new()
}

/// Breaks a label behind its dashes, dots and spaces into at most `lines` lines of at most `most`, the last one cut.
pub fn wrap(text: &str, most: f64, lines: usize, measure: impl Fn(&str) -> f64) -> Vec<String> {
    let mut done: Vec<String> = Vec::new();
    let mut line = String::new();
    for piece in pieces(text) {
        let longer = format!("{line}{piece}");
        if line.is_empty() || measure(longer.trim_end()) <= most || done.len() + 1 == lines {
            line = longer;
        } else {
            done.push(std::mem::replace(&mut line, piece.to_string()));
        }
    }
    done.push(line);
    done.iter().map(|l| cut(l.trim(), most, &measure)).collect()
}

/// The width that a label needs on at most two lines.
pub fn in_two(label: &str, measure: impl Fn(&str) -> f64) -> f64 {
    let mut least = measure(label);
    let mut at = 0;
    for piece in pieces(label) {
        at += piece.len();
        least = least.min(measure(label[..at].trim_end()).max(measure(&label[at..])));
    }
    least
}

/// The pieces that a line may end behind.
pub fn pieces(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive(['-', '_', '.', '/', ' ', '#'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_broken_behind_its_dashes_and_cut_at_the_end() {
        let chars = |s: &str| s.chars().count() as f64;
        assert_eq!(wrap("west-2-outer", 7.0, 2, chars), ["west-2-", "outer"]);
        assert_eq!(wrap("west-2-outermost", 7.0, 2, chars), ["west-2-", "outerm\u{2026}"]);
        assert_eq!(wrap("a-b", 7.0, 2, chars), ["a-b"]);
        assert_eq!(wrap("", 7.0, 2, chars), [""]);
        assert_eq!(cut("abcdef", 0.5, chars), "");
    }

    #[test]
    fn hostile_characters_are_replaced() {
        assert_eq!(printable("a\u{1b}[31m\u{202e}b\n"), "a\u{fffd}[31m\u{fffd}b\u{fffd}");
        assert_eq!(columns("\u{8bb0}a"), 3);
    }
}
