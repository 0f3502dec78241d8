//! Lines as rows of tokens: comments, prefixes, brackets and text columns taken off.

/// A token of hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token<'a> {
    /// Without prefix; of an unreadable byte, empty.
    pub digits: &'a str,
    /// Had it `0x` in front or `h` behind?
    pub marked: bool,
    /// Were there two spaces or more in front of it?
    pub gap: bool,
    /// What stands in an unreadable byte's place.
    pub unreadable: Option<&'a str>,
}

/// A line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row<'a> {
    /// From 1.
    pub line: usize,
    /// The token in front of a colon.
    pub address: Option<Token<'a>>,
    pub tokens: Vec<Token<'a>>,
    /// A line with `*` alone: the row before it repeats.
    pub star: bool,
    /// Where the reading of bytes stopped short of the line's end, unless a text column may stand there.
    pub stopped: Option<&'a str>,
    /// Has the line text that is no byte, and no byte either?
    pub prose: bool,
}

/// Words that stand in front of an offset.
const WORDS: [&str; 6] = ["byte", "bytes", "offset", "addr", "address", "reg"];

/// Makes rows of the lines that hold anything.
pub fn rows(text: &str) -> Vec<Row<'_>> {
    let arrays = text.contains("0x") && text.contains('{');
    let mut in_comment = false;
    let mut all = Vec::new();
    for (at, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let line = if arrays { outside_comment(line, &mut in_comment) } else { line };
        let body = body(line);
        if body.trim().is_empty() {
            continue;
        }
        all.push(row(at + 1, body));
    }
    all
}

/// What of a C line is in front of a block comment, or behind one.
fn outside_comment<'a>(line: &'a str, inside: &mut bool) -> &'a str {
    let rest = if *inside {
        match line.split_once("*/") {
            Some((_, rest)) => rest,
            None => return "",
        }
    } else {
        line
    };
    *inside = false;
    match rest.split_once("/*") {
        // A comment in front of the bytes: `/* 0x00 */ 0x23, ...`.
        Some((front, comment)) if front.trim().is_empty() => match comment.split_once("*/") {
            Some((_, rest)) => rest.split_once("/*").map_or(rest, |(front, _)| front),
            None => {
                *inside = true;
                ""
            }
        },
        Some((front, comment)) => {
            *inside = !comment.contains("*/");
            front
        }
        None => rest,
    }
}

/// The line without comments, brackets of an array, and a text column behind a bar.
fn body(line: &str) -> &str {
    let trimmed = line.trim();
    if trimmed.starts_with(['#', ';']) || trimmed.starts_with("//") || trimmed.starts_with("--") {
        return "";
    }
    let inner = match line.split_once('|') {
        Some((front, _)) if !front.trim().is_empty() => front,
        _ => line,
    };
    // A brace opens an array only at the start or behind `=`; elsewhere it is in a text column.
    let opens = |front: &str| front.trim().is_empty() || front.trim_end().ends_with('=');
    let inner = inner.split_once('{').filter(|(front, _)| opens(front)).map_or(inner, |(_, inner)| inner);
    let inner = inner.split_once('}').map_or(inner, |(inner, _)| inner);
    let inner = inner.split_once("//").map_or(inner, |(front, _)| front);
    inner.split_once(" #").map_or(inner, |(front, _)| front)
}

fn separates(c: char) -> bool {
    c.is_whitespace() || matches!(c, ',' | ';' | '"' | '\'' | '[' | ']' | '(' | ')' | '|' | '\\' | '=')
}

/// What programs print for a byte that they could not read.
pub fn is_mark(token: &str) -> bool {
    matches!(token, "XX" | "xx" | "??" | "--")
}

/// The digits of a token and whether it was marked as hexadecimal; `None` for what is no number.
fn digits(token: &str) -> Option<(&str, bool)> {
    if is_mark(token) {
        return Some(("", false));
    }
    let bare = token.strip_prefix("0x").or_else(|| token.strip_prefix("0X")).or_else(|| token.strip_prefix('x'));
    let unmarked = bare.unwrap_or(token);
    let tail = unmarked.strip_suffix(['h', 'H']);
    let digits = tail.unwrap_or(unmarked);
    let hex = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_hexdigit());
    hex.then_some((digits, bare.is_some() || tail.is_some()))
}

fn row(line: usize, body: &str) -> Row<'_> {
    let mut row =
        Row { line, address: None, tokens: Vec::new(), star: body.trim() == "*", stopped: None, prose: false };
    if row.star {
        return row;
    }
    let mut rest = body;
    let word = rest.trim_start().split(|c: char| !c.is_ascii_alphabetic()).next().unwrap_or_default();
    if WORDS.iter().any(|w| w.eq_ignore_ascii_case(word)) {
        rest = rest.trim_start().get(word.len()..).unwrap_or_default();
    }
    let colons = rest.matches(':').count();
    if colons == 1
        && let Some((front, behind)) = rest.split_once(':')
        && let Some((digits, marked)) = digits(front.trim_matches(separates))
    {
        row.address = Some(Token { digits, marked, gap: false, unreadable: None });
        rest = behind;
    } else if colons > 1
        && let Some((front, behind)) = rest.split_once(':')
        && behind.starts_with([' ', '\t'])
        && let Some((digits, marked)) = digits(front.trim_matches(separates))
    {
        // Colons further on are in the text column.
        row.address = Some(Token { digits, marked, gap: false, unreadable: None });
        rest = behind;
    }
    let apart = |c: char| separates(c) || (row.address.is_none() && c == ':');
    let parts = rest.split(apart).flat_map(|part| part.split(move |c| c == '-' && !is_mark(part)));
    let parts: Vec<&str> = parts.filter(|t| !t.is_empty()).collect();
    let mut end = 0;
    for (number, token) in parts.iter().copied().enumerate() {
        // Both are slices of one text, so the difference of their addresses is an offset.
        let start = token.as_ptr() as usize - rest.as_ptr() as usize;
        let between = rest.get(end..start).unwrap_or_default();
        let gap = end > 0 && (between.matches(' ').count() > 1 || between.contains('\t'));
        match digits(token) {
            Some((digits, marked)) => {
                let unreadable = digits.is_empty().then_some(token);
                row.tokens.push(Token { digits, marked, gap, unreadable });
            }
            None if !gap && is_amid_bytes(&row, token, parts.get(number + 1..).unwrap_or_default()) => {
                row.tokens.push(Token { digits: "", marked: false, gap, unreadable: Some(token) });
            }
            None => {
                // "a module", "added": words that happen to be hexadecimal digits.
                let word = |t: &Token<'_>| !t.marked && t.digits.bytes().all(|b| b.is_ascii_alphabetic());
                if row.tokens.iter().all(word) && row.tokens.iter().any(|t| t.digits.len() % 2 == 1) {
                    row.tokens.clear();
                }
                let column = gap || row.tokens.len() == ROW || row.address.is_some();
                row.stopped = Some(token).filter(|_| !column && row.tokens.len() >= FEW);
                break;
            }
        }
        end = start + token.len();
    }
    row.prose = row.tokens.is_empty() && row.address.is_none();
    row
}

/// Bytes of a usual row, behind which a text column may begin.
const ROW: usize = 16;
/// Bytes from which on a line without an address is one of bytes.
const FEW: usize = 4;

/// Is this no byte where one has to be: two characters between bytes of two digits, or behind them at the line's end?
fn is_amid_bytes(row: &Row<'_>, token: &str, behind: &[&str]) -> bool {
    let byte = |t: &Token<'_>| t.unreadable.is_some() || (t.digits.len() == 2 && !t.marked);
    let is_byte = |t: &&&str| digits(t).is_some_and(|(digits, marked)| matches!(digits.len(), 0 | 2) && !marked);
    let follow = behind.iter().take_while(is_byte).count();
    let before = row.tokens.len();
    if token.len() != 2 || before == 0 || !row.tokens.iter().all(byte) {
        return false;
    }
    match row.address {
        Some(_) => before < ROW - 1 && follow > 0,
        // Words of a text column may look like a byte or two.
        None if before == ROW => follow >= FEW,
        None => before >= FEW && (follow > 0 || behind.is_empty()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tokens(line: &str) -> (Option<&str>, Vec<&str>) {
        let mut rows = rows(line);
        let row = rows.remove(0);
        (row.address.map(|a| a.digits), row.tokens.iter().map(|t| t.digits).collect())
    }

    #[test]
    fn lines_come_apart() {
        assert_eq!(tokens("0x00: 23 11 0C  #.."), (Some("00"), vec!["23", "11", "0C"]));
        assert_eq!(tokens("  0x23, 0x11, 0x0c, // sizes"), (None, vec!["23", "11", "0c"]));
        assert_eq!(tokens("00000000: 2311 0c01  a:b#"), (Some("00000000"), vec!["2311", "0c01"]));
        assert_eq!(tokens("Byte 3: 01h"), (Some("3"), vec!["01"]));
        assert_eq!(tokens("23:11:0c:01"), (None, vec!["23", "11", "0c", "01"]));
        assert_eq!(tokens("\\x23\\x11"), (None, vec!["23", "11"]));
        assert_eq!(tokens("00 11-22 33"), (None, vec!["00", "11", "22", "33"]));
        assert_eq!(tokens("| 0 | 23 |"), (None, vec!["0", "23"]));
        assert_eq!(tokens("00: 23 zz 0C -- 01"), (Some("00"), vec!["23", "", "0C", "", "01"]));
        assert_eq!(tokens("00: 23 11 0C 01  is ab"), (Some("00"), vec!["23", "11", "0C", "01"]));
        assert_eq!(tokens("23 11 0C 01 zz"), (None, vec!["23", "11", "0C", "01", ""]));
        let long = format!("{} zz 01 02 03 04", ["AB"; 16].join(" "));
        assert_eq!(tokens(&long).1.len(), 21);
        assert_eq!(tokens(&format!("{} zz ab cd ef", ["AB"; 16].join(" "))).1.len(), 16);
        assert_eq!(tokens("Byte 3: 01h to be added"), (Some("3"), vec!["01"]));
        assert!(rows("  # a comment").is_empty());
        assert!(rows("some words").remove(0).prose);
    }
}
