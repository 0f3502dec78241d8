//! A board file to fill in from the service manual, from counts alone.

use super::file::{Fit, parted};
use super::machine;
use crate::failure::Failure;
use catalog::{BoardDraft, SlotDraft, SocketDraft};
use domain::{Catalog, Generation};

/// The counts of a board; those that are `None` are asked for.
#[derive(Debug, Clone, Default)]
pub struct Counts {
    pub sockets: Option<usize>,
    /// Of a socket.
    pub controllers: Option<usize>,
    /// Of a controller.
    pub channels: Option<usize>,
    /// Of a channel.
    pub slots: Option<usize>,
    pub generation: Option<Generation>,
}

/// The limits of board files.
const MOST: usize = 16;
const MOST_SLOTS: usize = 4;

/// The board; asks at a terminal for what is not given.
pub fn board(counts: &Counts, catalog: &Catalog) -> Result<BoardDraft, Failure> {
    let asked: [(&str, &str, Option<usize>, usize); 4] = [
        ("--sockets", "Processor sockets of the board", counts.sockets, MOST),
        ("--controllers", "Memory controllers of a socket (1 where the manual is silent)", counts.controllers, MOST),
        ("--channels", "Channels of a controller", counts.channels, MOST),
        ("--slots", "Slots of a channel (of the deepest, where they differ)", counts.slots, MOST_SLOTS),
    ];
    let mut told = Vec::new();
    let mut missing = Vec::new();
    for (option, question, given, most) in asked {
        let count = match given {
            Some(count) => Some(count),
            None => answer(&format!("{question}, 1 to {most}:"), most),
        };
        match count {
            Some(count) if (1..=most).contains(&count) => told.push(count),
            Some(count) => return Err(Failure::DraftCount { option, count, most }),
            None => missing.push(option),
        }
    }
    match told.as_slice() {
        [sockets, controllers, channels, slots] => {
            Ok(blank(*sockets, *controllers, *channels, *slots, counts.generation, catalog))
        }
        _ => Err(Failure::DraftMissing { options: missing.join(", ") }),
    }
}

/// An answer that is a count in range; asks again up to three times.
fn answer(question: &str, most: usize) -> Option<usize> {
    for _ in 0..3 {
        let count = machine::ask(question)?.parse().ok();
        if let Some(count) = count.filter(|c| (1..=most).contains(c)) {
            return Some(count);
        }
    }
    None
}

fn blank(
    sockets: usize,
    controllers: usize,
    channels: usize,
    slots: usize,
    generation: Option<Generation>,
    catalog: &Catalog,
) -> BoardDraft {
    let places = |socket: usize, channel: usize| -> Vec<SlotDraft> {
        let slot = |place| SlotDraft {
            label: format!("s{socket}-{channel}-{place}"),
            confirm: "label as printed beside the slot".to_string(),
        };
        (1..=slots).map(slot).collect()
    };
    let socket = |number: usize| SocketDraft {
        name: format!("socket-{number}"),
        controllers: parted((1..=controllers * channels).map(|c| places(number, c)).collect(), controllers),
    };
    let mut fit = Fit::find(catalog, generation, controllers * channels, slots);
    if fit.controllers != controllers {
        fit.families.clear();
    }
    let chosen = fit.families.first().and_then(|f| catalog.processors.get(f)).map(|p| p.generation);
    BoardDraft {
        head: vec![
            "BLANK AND UNCONFIRMED: a board to fill in from its service manual, chapter on memory.".to_string(),
            "Put in the labels that are printed beside the slots, in each channel the slot to fill first at first; take out \
             slots that are not there; then the figures that the comments at the foot name."
                .to_string(),
        ],
        title: "A board to fill in".to_string(),
        about: "Made from counts alone, unconfirmed.".to_string(),
        generation: generation.or(chosen),
        processors: fit.families,
        source: "not yet: the manual of the board, edition and pages".to_string(),
        sockets: (1..=sockets).map(socket).collect(),
        ..BoardDraft::default()
    }
}
