//! Findings as plain data, with their place in words.

use domain::board::Board;
use domain::{Finding, Place, Severity, SlotIndex};
use schemars::JsonSchema;
use serde::Serialize;

/// One thing that a rule found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FindingView {
    /// The rule's name; `explain` tells more of it.
    pub rule: String,
    /// `wrong`, `unsupported`, `slower`, `unproven` or `note`.
    pub severity: String,
    /// What the machine does about it.
    pub outcome: String,
    pub place: PlaceView,
    /// What was seen, with the figures.
    pub evidence: String,
    /// What to do about it.
    pub advice: String,
}

/// Where a finding sits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PlaceView {
    /// In words.
    pub words: String,
    /// The labels of the slots that it is about; none where it is about the whole machine.
    pub slots: Vec<String>,
}

impl FindingView {
    /// A finding on a board as plain data.
    pub fn new(board: &Board, finding: &Finding) -> Self {
        Self {
            rule: finding.rule.to_string(),
            severity: finding.severity.to_string(),
            outcome: finding.outcome.to_string(),
            place: PlaceView::new(board, &finding.place),
            evidence: finding.evidence.clone(),
            advice: finding.advice.clone(),
        }
    }
    /// Is it more than a note?
    pub fn matters(&self) -> bool {
        self.severity != Severity::Note.word()
    }
}

impl PlaceView {
    fn new(board: &Board, place: &Place) -> Self {
        let labels =
            |slots: &[SlotIndex]| -> Vec<String> { slots.iter().map(|s| board.slot(*s).label.clone()).collect() };
        let name = |socket: u8| {
            board.sockets.get(usize::from(socket)).map_or_else(|| format!("socket {socket}"), |s| s.name.clone())
        };
        match place {
            Place::Machine => Self { words: "the machine".to_string(), slots: Vec::new() },
            Place::Socket(socket) => Self {
                words: format!("socket {}", name(*socket)),
                slots: board
                    .sockets
                    .get(usize::from(*socket))
                    .map(|s| labels(&s.slots().collect::<Vec<_>>()))
                    .unwrap_or_default(),
            },
            Place::Channel { socket, controller, channel } => Self {
                words: format!("socket {}, controller {controller}, channel {channel}", name(*socket)),
                slots: channel_slots(board, *socket, *controller, *channel).map(labels).unwrap_or_default(),
            },
            Place::Slots(slots) => {
                let labels = labels(slots);
                Self { words: labels.join(", "), slots: labels }
            }
        }
    }
}

fn channel_slots(board: &Board, socket: u8, controller: u8, channel: u8) -> Option<&[SlotIndex]> {
    let socket = board.sockets.get(usize::from(socket))?;
    socket.channels().find(|(c, h, _)| (*c, *h) == (controller, channel)).map(|(_, _, slots)| slots)
}
