//! What an example says is found: its `->` lines, places, and the examples within an explanation.

use super::NotationError;
use super::words::Words;
use domain::board::{Board, SlotAddress};
use domain::{Place, Severity};

/// One `->` line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldFinding {
    pub severity: Severity,
    pub rule: String,
    pub place: Place,
}

/// The examples in a rule's explanation: each run of lines indented by four spaces or more.
pub fn blocks(markdown: &str) -> Vec<String> {
    let mut blocks: Vec<String> = Vec::new();
    let mut open = false;
    for line in markdown.lines() {
        match line.strip_prefix("    ") {
            Some(inner) => {
                if !open {
                    blocks.push(String::new());
                }
                open = true;
                if let Some(block) = blocks.last_mut() {
                    block.push_str(inner);
                    block.push('\n');
                }
            }
            None => open = false,
        }
    }
    blocks
}

/// A place as `->` lines write it.
pub fn write_place(board: &Board, place: &Place) -> String {
    match place {
        Place::Machine => "machine".to_string(),
        Place::Socket(s) => format!("socket {s}"),
        Place::Channel { socket, controller, channel } => {
            let first =
                board.slot_at(SlotAddress { socket: *socket, controller: *controller, channel: *channel, position: 0 });
            let label = first.map_or("?", |i| board.slot(i).label.trim_end_matches('1'));
            format!("channel {label}")
        }
        Place::Slots(slots) => slots.iter().map(|s| board.slot(*s).label.as_str()).collect::<Vec<_>>().join(", "),
    }
}

/// One `->` line after its arrow; `None` for `clean`.
pub(super) fn told_line(words: &mut Words, board: &Board) -> Result<Option<ToldFinding>, NotationError> {
    let word = words.next("a severity or `clean`")?;
    if word == "clean" {
        return Ok(None);
    }
    let severity = Severity::parse(word).ok_or_else(|| words.wrong(word, "a severity or `clean`"))?;
    let rule = words.next("a rule's name")?.to_string();
    words.keyword("at")?;
    let place = match words.next("a place")? {
        "machine" => Place::Machine,
        "socket" => Place::Socket(words.number("a socket number")?),
        "channel" => {
            let name = words.next("a channel such as `0a`")?;
            let slot = words.slot(board, &format!("{name}1"))?;
            let SlotAddress { socket, controller, channel, .. } = board.slot(slot).address;
            Place::Channel { socket, controller, channel }
        }
        first => {
            let mut slots = vec![words.slot(board, first.trim_end_matches(','))?];
            while let Some(word) = words.peek() {
                words.skip();
                slots.push(words.slot(board, word.trim_end_matches(','))?);
            }
            Place::Slots(slots)
        }
    };
    Ok(Some(ToldFinding { severity, rule, place }))
}
