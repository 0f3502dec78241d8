//! A board file written for a person to finish: what is known as keys, what is open as comments.

use domain::module::{Generation, Kind};
use std::fmt::Write as _;

/// What a drafted board file says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BoardDraft {
    /// Comments at the head, a paragraph each: how it was drafted, what is unconfirmed.
    pub head: Vec<String>,
    pub title: String,
    pub about: String,
    /// `None` where it is open; DDR4 is written then, marked as a guess.
    pub generation: Option<Generation>,
    /// Families; where there are none, a line to fill in.
    pub processors: Vec<String>,
    /// Names that the machine gives its processors, to be mapped to a family.
    pub processor_names: Vec<String>,
    /// Kinds seen; RDIMM, marked as a guess, where none.
    pub kinds: Vec<Kind>,
    /// Where it comes from.
    pub source: String,
    pub sockets: Vec<SocketDraft>,
}

/// A socket.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SocketDraft {
    pub name: String,
    /// Controllers, their channels, their slots, the first to fill first.
    pub controllers: Vec<Vec<Vec<SlotDraft>>>,
}

/// A slot.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SlotDraft {
    pub label: String,
    /// What a person must confirm of it; empty where nothing.
    pub confirm: String,
}

/// Columns of a comment.
const WIDE: usize = 110;

/// The file's text.
pub fn write_board(draft: &BoardDraft) -> String {
    let mut text = String::new();
    for paragraph in &draft.head {
        comment(&mut text, paragraph);
        text.push_str("#\n");
    }
    text.push_str("format = 1\n");
    line(&mut text, "title", &quoted(&draft.title), "");
    line(&mut text, "about", &quoted(&draft.about), "");
    let guess = if draft.generation.is_none() { "a guess: no module tells; confirm" } else { "" };
    let generation = draft.generation.unwrap_or(Generation::Ddr4);
    line(&mut text, "generation", &quoted(generation.name()), guess);
    processors(&mut text, draft);
    let kinds: Vec<Kind> = if draft.kinds.is_empty() { vec![Kind::Rdimm] } else { draft.kinds.clone() };
    let seen = if draft.kinds.is_empty() {
        "a guess: confirm"
    } else {
        "those seen in this machine; add what the manual names"
    };
    line(&mut text, "kinds", &list(kinds.iter().map(|k| k.name())), seen);
    line(&mut text, "source", &quoted(&draft.source), "put the manual here when you have checked it");
    text.push_str(&sockets_text(&draft.sockets));
    for todo in TODO {
        text.push('\n');
        comment(&mut text, todo);
    }
    text
}

/// The tables of sockets, a blank line before each.
pub(crate) fn sockets_text(sockets: &[SocketDraft]) -> String {
    let mut text = String::new();
    for socket in sockets {
        text.push_str("\n[[socket]]\n");
        line(&mut text, "name", &quoted(&socket.name), "");
        controllers(&mut text, socket);
    }
    text
}

/// What no report tells and a manual does; the guide to the file says how it is written.
const TODO: [&str; 4] = [
    "Data rates: [[rate]] rows where the manual's are lower than the processor's, by kind and modules per channel.",
    "Limits: [limits] with module, processor and system capacity, watts, heights.",
    "Population charts: [[chart]] with the manual's order of filling; a chart wins over every general rule.",
    "Also: [[channel_ranks]], [mixing], [[mode]] for mirroring and sparing, [firmware], [rulings], [layout].",
];

fn processors(text: &mut String, draft: &BoardDraft) {
    if draft.processors.is_empty() {
        line(text, "processors", "[\"FILL-IN\"]", "no family in the data has these channels: name one, or add one");
    } else {
        let note = if draft.processors.len() > 1 {
            "those with as many channels: strike out what the manual does not name"
        } else {
            "confirm"
        };
        line(text, "processors", &list(draft.processors.iter().map(String::as_str)), note);
    }
    for name in &draft.processor_names {
        comment(text, &format!("seen in this machine: {}", quoted(name)));
        comment(
            text,
            &format!("to know it by name: processors = {{ {} = \"FAMILY\" }} in processor-names.toml", quoted(name)),
        );
    }
}

fn controllers(text: &mut String, socket: &SocketDraft) {
    text.push_str("controllers = [\n");
    let mut number = 0;
    for (c, controller) in socket.controllers.iter().enumerate() {
        let _ = writeln!(text, "    [   # controller {c}");
        for channel in controller {
            let labels = list(channel.iter().map(|s| s.label.as_str()));
            let mut confirm: Vec<&str> = channel.iter().map(|s| s.confirm.as_str()).filter(|c| !c.is_empty()).collect();
            confirm.dedup();
            let note =
                if confirm.is_empty() { String::new() } else { format!(": confirm: {}", flat(&confirm.join("; "))) };
            let _ = writeln!(text, "        {labels},   # channel {number}{note}");
            number += 1;
        }
        text.push_str("    ],\n");
    }
    text.push_str("]\n");
}

fn line(text: &mut String, key: &str, value: &str, note: &str) {
    let note = if note.is_empty() { String::new() } else { format!("   # {}", flat(note)) };
    let _ = writeln!(text, "{key} = {value}{note}");
}

fn list<'a>(items: impl Iterator<Item = &'a str>) -> String {
    format!("[{}]", items.map(quoted).collect::<Vec<_>>().join(", "))
}

fn comment(text: &mut String, words: &str) {
    let mut row = String::from("#");
    for word in flat(words).split_whitespace() {
        if row.chars().count() + word.chars().count() >= WIDE {
            text.push_str(&row);
            text.push('\n');
            row = String::from("#");
        }
        row.push(' ');
        row.push_str(word);
    }
    text.push_str(&row);
    text.push('\n');
}

/// On one line, without what a comment may not hold.
fn flat(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// A basic string of TOML.
pub(crate) fn quoted(text: &str) -> String {
    let mut made = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => made.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(made, "\\u{:04X}", u32::from(c));
            }
            c => made.push(c),
        }
    }
    made.push('"');
    made
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_person_must_confirm_stands_beside_it() {
        let slot = |label: &str, confirm: &str| SlotDraft { label: label.to_string(), confirm: confirm.to_string() };
        let channels = vec![vec![slot("a \"1\"", ""), slot("a2", "its place")], vec![slot("b1", "")]];
        let draft = BoardDraft {
            head: vec!["Drafted,\nunconfirmed.".to_string()],
            title: "T".to_string(),
            sockets: vec![SocketDraft { name: "s".to_string(), controllers: vec![channels] }],
            ..BoardDraft::default()
        };
        let text = write_board(&draft);
        assert!(text.starts_with("# Drafted, unconfirmed.\n#\nformat = 1\n"), "{text}");
        assert!(text.contains("[\"a \\\"1\\\"\", \"a2\"],   # channel 0: confirm: its place\n"), "{text}");
        assert!(text.contains("[\"b1\"],   # channel 1\n"), "{text}");
        assert!(text.contains("processors = [\"FILL-IN\"]"), "{text}");
    }
}
