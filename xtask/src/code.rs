//! Just enough of Rust's lexical rules to look at code without being misled by comments and literals.

/// What to blank out of Rust text.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Blank {
    Comments,
    CommentsAndLiterals,
}

/// The text with comments (and literals) replaced by blanks; lines stay where they are.
pub fn blanked(text: &str, blank: Blank) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    while at < chars.len() {
        let (end, literal) = match token_end(&chars, at) {
            Some(token) => token,
            None => {
                out.push(chars[at]);
                at += 1;
                continue;
            }
        };
        let keep = literal && blank == Blank::Comments;
        out.extend(chars[at..end].iter().map(|c| if keep || *c == '\n' { *c } else { ' ' }));
        at = end;
    }
    out
}

/// Where a comment or literal that starts here ends, and whether it is a literal.
fn token_end(chars: &[char], at: usize) -> Option<(usize, bool)> {
    let next = chars.get(at + 1).copied();
    match chars[at] {
        '/' if next == Some('/') => Some((line_end(chars, at), false)),
        '/' if next == Some('*') => Some((block_end(chars, at), false)),
        '"' => Some((string_end(chars, at + 1), true)),
        'r' if !follows_word(chars, at) => raw_end(chars, at + 1).map(|end| (end, true)),
        '\'' => char_end(chars, at).map(|end| (end, true)),
        _ => None,
    }
}

fn line_end(chars: &[char], at: usize) -> usize {
    (at..chars.len()).find(|i| chars[*i] == '\n').unwrap_or(chars.len())
}

/// Block comments nest.
fn block_end(chars: &[char], at: usize) -> usize {
    let mut depth = 0;
    let mut i = at;
    while i + 1 < chars.len() {
        match (chars[i], chars[i + 1]) {
            ('/', '*') => (depth, i) = (depth + 1, i + 2),
            ('*', '/') => (depth, i) = (depth - 1, i + 2),
            _ => i += 1,
        }
        if depth == 0 {
            return i;
        }
    }
    chars.len()
}

fn string_end(chars: &[char], mut at: usize) -> usize {
    while at < chars.len() {
        match chars[at] {
            '\\' => at += 2,
            '"' => return at + 1,
            _ => at += 1,
        }
    }
    chars.len()
}

/// `r` may also follow the `b` or `c` of a byte or C string.
fn follows_word(chars: &[char], at: usize) -> bool {
    let word = |i: usize| chars[i].is_alphanumeric() || chars[i] == '_';
    match at.checked_sub(1) {
        None => false,
        Some(before) if matches!(chars[before], 'b' | 'c') => before.checked_sub(1).is_some_and(word),
        Some(before) => word(before),
    }
}

fn raw_end(chars: &[char], at: usize) -> Option<usize> {
    let hashes = chars[at..].iter().take_while(|c| **c == '#').count();
    if chars.get(at + hashes) != Some(&'"') {
        return None;
    }
    let closes = |i: usize| chars[i] == '"' && chars[i + 1..].iter().take_while(|c| **c == '#').count() >= hashes;
    let end = (at + hashes + 1..chars.len()).find(|i| closes(*i));
    Some(end.map_or(chars.len(), |i| i + 1 + hashes))
}

/// A character literal, told from a lifetime.
fn char_end(chars: &[char], at: usize) -> Option<usize> {
    if chars.get(at + 1) == Some(&'\\') {
        let from = at + 3;
        return (from..chars.len()).find(|i| chars[*i] == '\'').map(|i| i + 1);
    }
    (chars.get(at + 2) == Some(&'\'')).then_some(at + 3)
}

/// One function: its name, the line it starts on (from 1) and how many lines it has, attributes not counted.
#[derive(Debug, PartialEq, Eq)]
pub struct Function {
    pub name: String,
    pub line: usize,
    pub lines: usize,
}

/// Every function with a body.
pub fn functions(text: &str) -> Vec<Function> {
    let code = blanked(text, Blank::CommentsAndLiterals);
    let mut found = Vec::new();
    for (start, _) in code.match_indices("fn ") {
        let whole_word = code[..start].chars().next_back().is_none_or(|c| !c.is_alphanumeric() && c != '_');
        let name: String = code[start + 3..].chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
        if !whole_word || name.is_empty() {
            continue;
        }
        if let Some(end) = body_end(&code[start..]) {
            found.push(Function {
                name,
                line: code[..start].matches('\n').count() + 1,
                lines: code[start..start + end].matches('\n').count() + 1,
            });
        }
    }
    found
}

/// Where the body ends; `None` for a declaration without one.
fn body_end(code: &str) -> Option<usize> {
    let (mut round, mut curly) = (0i32, 0i32);
    for (i, c) in code.char_indices() {
        match c {
            '(' | '[' => round += 1,
            ')' | ']' => round -= 1,
            ';' if round == 0 && curly == 0 => return None,
            '{' => curly += 1,
            '}' => {
                curly -= 1;
                if curly <= 0 {
                    return (curly == 0).then_some(i);
                }
            }
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_literals_are_blanked_and_lines_stay() {
        let text = "a(\"x // y\", 'z', r#\"q\"w\"#); // c\n/* d /* e */ */ b<'l>('\\'');";
        let code = blanked(text, Blank::CommentsAndLiterals);
        let words: Vec<&str> = code.split_whitespace().collect();
        assert_eq!(words, ["a(", ",", ",", ");", "b<'l>(", ");"]);
        assert_eq!(code.matches('\n').count(), 1);
        let kept = blanked(text, Blank::Comments);
        assert!(kept.contains("x // y") && !kept.contains("// c"));
    }

    #[test]
    fn functions_are_measured_from_name_to_brace() {
        let text = "trait T {\n    fn a(x: [u8; 2]);\n}\nfn b(\n    f: fn(u8) -> u8,\n) {\n    \"}\";\n    {}\n}\n";
        assert_eq!(functions(text), [Function { name: "b".to_string(), line: 4, lines: 6 }]);
    }
}
