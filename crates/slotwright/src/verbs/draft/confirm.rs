//! A drafted board slot by slot: what a person has confirmed or put right, as a board file.

use super::Drafted;
use super::file::parted;
use catalog::{BoardDraft, SlotDraft, SocketDraft};
use domain::{Generation, Kind};
use std::collections::BTreeMap;

/// What a drafted board says besides its slots.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Head {
    pub title: String,
    pub about: String,
    pub generation: Option<Generation>,
    pub processors: Vec<String>,
    pub processor_names: Vec<String>,
    pub kinds: Vec<Kind>,
    /// Of a socket.
    pub controllers: usize,
    /// What the draft asks.
    pub questions: Vec<String>,
}

/// A slot as it now stands; numbers from 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Slot {
    pub label: String,
    pub socket: Option<usize>,
    pub channel: Option<usize>,
    pub position: Option<usize>,
    /// `sure`, `likely` or `unsure`, as drafted.
    pub confidence: String,
    pub confirmed: bool,
}

/// A draft's head.
pub fn head(drafted: &Drafted) -> Head {
    let known = &drafted.known;
    Head {
        title: known.title.clone(),
        about: known.about.clone(),
        generation: known.generation,
        processors: known.processors.clone(),
        processor_names: known.processor_names.clone(),
        kinds: known.kinds.clone(),
        controllers: known.sockets.iter().map(|s| s.controllers.len()).max().unwrap_or(1).max(1),
        questions: drafted.view.questions.iter().map(|q| q.question.clone()).collect(),
    }
}

/// The board file's text; what is not confirmed stands as a comment beside its channel.
pub fn board(head: &Head, slots: &[Slot]) -> String {
    let mut sockets: BTreeMap<usize, BTreeMap<usize, Vec<(usize, SlotDraft)>>> = BTreeMap::new();
    let mut lost = Vec::new();
    for slot in slots {
        let (Some(socket), Some(channel)) = (slot.socket, slot.channel) else {
            lost.push(slot.label.as_str());
            continue;
        };
        let place = slot.position.unwrap_or(usize::MAX);
        let draft = SlotDraft { label: slot.label.trim().to_string(), confirm: open(slot) };
        sockets.entry(socket).or_default().entry(channel).or_default().push((place, draft));
    }
    let lanes = |channels: BTreeMap<usize, Vec<(usize, SlotDraft)>>| -> Vec<Vec<SlotDraft>> {
        let ordered = |mut slots: Vec<(usize, SlotDraft)>| {
            slots.sort_by_key(|(place, _)| *place);
            slots.into_iter().map(|(_, slot)| slot).collect()
        };
        channels.into_values().map(ordered).collect()
    };
    let sockets = sockets.into_iter().map(|(number, channels)| SocketDraft {
        name: format!("socket-{number}"),
        controllers: parted(lanes(channels), head.controllers),
    });
    let open = slots.iter().filter(|s| !s.confirmed).count();
    let mut comments = vec![match open {
        0 => "Drafted from a machine's report; every slot confirmed by a person.".to_string(),
        open => format!("DRAFTED, {open} of {} slots unconfirmed: hold them against the maker's manual.", slots.len()),
    }];
    if open > 0 {
        comments.extend(head.questions.iter().map(|q| format!("To confirm: {q}")));
    }
    if !lost.is_empty() {
        comments.push(format!("Slots whose channel is not known, to be put in by hand: {}", lost.join(", ")));
    }
    catalog::write_board(&BoardDraft {
        head: comments,
        title: head.title.clone(),
        about: if open == 0 {
            "Drafted from a machine's report, its slots confirmed.".to_string()
        } else {
            head.about.clone()
        },
        generation: head.generation,
        processors: head.processors.clone(),
        processor_names: head.processor_names.clone(),
        kinds: head.kinds.clone(),
        source: "drafted from a machine's report, unconfirmed".to_string(),
        sockets: sockets.collect(),
    })
}

fn open(slot: &Slot) -> String {
    match (slot.confirmed, slot.position) {
        (true, _) => String::new(),
        (false, None) => "channel, and which slot is filled first".to_string(),
        (false, Some(_)) => slot.confidence.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_confirmed_bears_no_mark() {
        let slot = |label: &str, channel, position, confirmed| Slot {
            label: label.to_string(),
            socket: Some(0),
            channel: Some(channel),
            position: Some(position),
            confidence: "likely".to_string(),
            confirmed,
        };
        let head = Head { title: "T".to_string(), controllers: 1, ..Head::default() };
        let text = board(&head, &[slot("a2", 0, 1, true), slot("a1", 0, 0, true), slot("b1", 1, 0, false)]);
        assert!(text.contains("[\"a1\", \"a2\"],   # channel 0\n"), "{text}");
        assert!(text.contains("[\"b1\"],   # channel 1: confirm: likely\n"), "{text}");
        assert!(text.starts_with("# DRAFTED, 1 of 3 slots unconfirmed"), "{text}");
    }
}
