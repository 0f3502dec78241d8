//! The small part of Markdown that our own texts are written in, as HTML: headings, paragraphs, lists, indented code, `code`.

use maud::{Markup, html};

#[derive(Debug, PartialEq, Eq)]
enum Block {
    Heading(String),
    Paragraph(String),
    List(Vec<String>),
    Code(String),
}

/// A text as HTML; its headings stand one below the page's own.
pub fn html(text: &str) -> Markup {
    html! {
        @for block in blocks(text) {
            @match block {
                Block::Heading(words) => h2 { (inline(&words)) },
                Block::Paragraph(words) => p { (inline(&words)) },
                Block::List(items) => ul { @for item in &items { li { (inline(item)) } } },
                Block::Code(lines) => pre.source tabindex="0" aria-label="In the text notation" { code { (lines) } },
            }
        }
    }
}

fn blocks(text: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    // A blank line ends what it follows; within code it belongs to the code where more code comes.
    let mut apart = true;
    for line in text.lines() {
        if line.trim().is_empty() {
            apart = true;
            continue;
        }
        let code = line.strip_prefix("    ");
        match (code, blocks.last_mut(), apart) {
            (Some(code), Some(Block::Code(lines)), blank) => {
                lines.push_str(if blank { "\n\n" } else { "\n" });
                lines.push_str(code);
            }
            (Some(code), _, true) => blocks.push(Block::Code(code.to_string())),
            (_, last, _) => plain(line.trim(), last, apart).into_iter().for_each(|b| blocks.push(b)),
        }
        apart = false;
    }
    blocks
}

/// A line that is no code: what it begins, or nothing where it goes on with what is before it.
fn plain(line: &str, before: Option<&mut Block>, apart: bool) -> Option<Block> {
    if let Some(words) = line.strip_prefix('#') {
        return Some(Block::Heading(words.trim_start_matches('#').trim().to_string()));
    }
    let item = line.strip_prefix("- ");
    match (before, item) {
        (Some(Block::List(items)), Some(item)) => items.push(item.to_string()),
        (Some(Block::List(items)), None) if !apart => {
            if let Some(last) = items.last_mut() {
                *last = format!("{last} {line}");
            }
        }
        (Some(Block::Paragraph(words)), None) if !apart => *words = format!("{words} {line}"),
        (_, Some(item)) => return Some(Block::List(vec![item.to_string()])),
        _ => return Some(Block::Paragraph(line.to_string())),
    }
    None
}

/// Words between backquotes are code.
pub fn inline(words: &str) -> Markup {
    html! { @for (at, part) in words.split('`').enumerate() { @if at % 2 == 1 { code { (part) } } @else { (part) } } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_are_told_apart() {
        let text = "## What\n\nOne `a<b>`\ntwo.\n\n    code 1\n\n    code 2\nafter\n\n- x\n  y\n- z\n";
        let code = Block::Code("code 1\n\ncode 2".to_string());
        let list = Block::List(vec!["x y".to_string(), "z".to_string()]);
        let [what, one, after] = [
            Block::Heading("What".to_string()),
            Block::Paragraph("One `a<b>` two.".to_string()),
            Block::Paragraph("after".to_string()),
        ];
        assert_eq!(blocks(text), [what, one, code, after, list]);
        assert!(html(text).into_string().contains("One <code>a&lt;b&gt;</code> two."));
    }
}
