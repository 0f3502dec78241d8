//! A board drafted from a snapshot: sockets, channels and places worked out from names, handles, ranges and counts.
//!
//! Names are taken apart (`pieces`), put side by side (`columns`), read in every way that gives each slot a place of its
//! own (`readings`, `running`, `gaps`), weighed against what else the report tells (`weigh`), and settled with how sure it is.

mod columns;
mod facts;
mod gaps;
mod pieces;
mod places;
mod readings;
mod running;
mod settle;
mod sockets;
#[cfg(test)]
mod tests;
mod weigh;

use domain::{Attach, Origin, ProcessorName, Snapshot};
use facts::{Facts, MOST_SLOTS};
use readings::Basis;

/// How sure an answer is, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// Not known, or two readings are left; a person must say.
    Unsure,
    /// It rests on a habit of naming or on counts; a person should confirm it.
    Likely,
    /// The names state it, or independent witnesses agree.
    Sure,
}

impl Confidence {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sure => "sure",
            Self::Likely => "likely",
            Self::Unsure => "unsure",
        }
    }
}

/// What a board seems to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// The least sure of its slots.
    pub confidence: Confidence,
    /// Filled or not; `None` where the report tells of none.
    pub sockets: Option<usize>,
    /// Of the socket that has most.
    pub channels_per_socket: Option<usize>,
    /// In the report's order.
    pub slots: Vec<DraftSlot>,
    /// Handles of entries that are no slot for main memory.
    pub others: Vec<String>,
    /// The processor's own name, blanks put in order.
    pub processor: Option<String>,
    pub questions: Vec<Question>,
}

/// One slot; numbers count from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DraftSlot {
    pub handle: String,
    /// The name as reported, blanks put in order.
    pub label: String,
    pub socket: Option<usize>,
    /// Within the socket.
    pub channel: Option<usize>,
    /// 0 is filled first; `None` where that is open.
    pub position: Option<usize>,
    pub confidence: Confidence,
    /// What it rests on, in sentences.
    pub evidence: Vec<String>,
}

/// Something that a person must confirm.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    pub text: String,
    /// The readings that are left, the likelier first.
    pub readings: Vec<String>,
    /// The slots that it is about; empty for all.
    pub slots: Vec<String>,
}

impl Question {
    fn plain(text: String) -> Self {
        Self { text, readings: Vec::new(), slots: Vec::new() }
    }
}

/// Works out the board. `names` tell channels by the processor's own name; the first that matches wins.
pub fn draft(snapshot: &Snapshot, names: &[ProcessorName]) -> Draft {
    let mut drafted = worked_out(&Facts::new(snapshot, names));
    let unlisted = snapshot.slots_unlisted();
    if unlisted > 0 {
        let text = format!("the report states {unlisted} slots more than it lists: is it cut short?");
        drafted.questions.push(Question::plain(text));
    }
    drafted
}

fn worked_out(facts: &Facts<'_>) -> Draft {
    if facts.slots.is_empty() {
        return settle::nothing(
            facts,
            Question::plain("the report lists no slots for memory: where is it from?".to_string()),
        );
    }
    if facts.attach == Attach::Hub {
        let text =
            "these processors share a memory hub, so that no slot belongs to a socket: draw the board by its manual";
        return settle::nothing(facts, Question::plain(text.to_string()));
    }
    if facts.len() > MOST_SLOTS {
        let text = format!("{} slots are more than a board has: is this one machine?", facts.len());
        return settle::nothing(facts, Question::plain(text));
    }
    let parting = sockets::part(facts);
    if let Some(parting) = &parting {
        let mut readings = readings::of_columns(facts, parting);
        if facts.attach == Attach::Direct {
            readings.extend(running::of_numbers(facts, parting));
        } else {
            readings.retain(|r| r.basis == Basis::Word);
        }
        let readings = weigh::weigh(facts, parting, readings);
        if let Some(draft) = settle::settle(facts, parting, &readings) {
            return with_gaps_named(facts, draft);
        }
    }
    if let Some((parting, reading)) = gaps::grid(facts)
        && let Some(draft) = settle::settle(facts, &parting, &[reading])
    {
        return draft;
    }
    settle::with_sockets(facts, parting.as_ref(), Question::plain(lost(facts)))
}

/// A service processor may leave empty slots out of its list.
fn with_gaps_named(facts: &Facts<'_>, mut draft: Draft) -> Draft {
    let redfish = facts.slots.iter().all(|s| s.origin == Origin::Redfish);
    if redfish && facts.filled.iter().all(|f| *f) {
        let text = "no empty slot is listed; some service processors leave them out: are these all slots of the board?";
        draft.questions.push(Question::plain(text.to_string()));
    }
    draft
}

fn lost(facts: &Facts<'_>) -> String {
    match (facts.attach, facts.channels) {
        (Attach::Buffer, _) => "buffer chips lie between processor and slots: which slots share a channel?".to_string(),
        (_, None) => {
            "the names tell no channels, and the processor's channels are not known: which slots share one?".to_string()
        }
        (_, Some(n)) => {
            format!("the names tell no channels: which slots share one of the {n} channels of a processor?")
        }
    }
}
