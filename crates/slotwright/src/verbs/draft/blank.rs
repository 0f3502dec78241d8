//! A board file to fill in from the service manual, from counts alone.

use super::file::{Fit, parted};
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

/// The board. `ask` puts a question and gives the answer, `None` where nobody answers; it is asked what is not given.
pub fn board(
    counts: &Counts,
    catalog: &Catalog,
    ask: &mut dyn FnMut(&str) -> Option<String>,
) -> Result<BoardDraft, Failure> {
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
            None if !missing.is_empty() => None,
            None => answer(&format!("{question}, 1 to {most}:"), most, ask),
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

/// The same where all counts are known, each taken into its range.
pub fn of(sockets: usize, controllers: usize, channels: usize, slots: usize, catalog: &Catalog) -> BoardDraft {
    let within = |count: usize, most: usize| count.clamp(1, most);
    let [sockets, controllers, channels] = [sockets, controllers, channels].map(|n| within(n, MOST));
    blank(sockets, controllers, channels, within(slots, MOST_SLOTS), None, catalog)
}

/// An answer that is a count in range; asks again up to three times.
fn answer(question: &str, most: usize, ask: &mut dyn FnMut(&str) -> Option<String>) -> Option<usize> {
    for _ in 0..3 {
        let count = ask(question)?.trim().parse().ok();
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

#[cfg(test)]
mod tests {
    use super::*;

    fn told(lines: &[&str]) -> (Result<BoardDraft, Failure>, Vec<String>) {
        let mut lines = lines.iter().map(|l| l.to_string());
        let mut questions = Vec::new();
        let mut ask = |question: &str| {
            questions.push(question.to_string());
            lines.next()
        };
        let counts = Counts { generation: Some(Generation::Ddr4), ..Counts::default() };
        (board(&counts, &Catalog::default(), &mut ask), questions)
    }

    #[test]
    fn counts_are_asked_for_and_asked_again_on_a_slip() {
        let (made, questions) = told(&["2", "one", "0", "1", " 4 ", "2"]);
        let made = made.unwrap();
        let channels: Vec<usize> = made.sockets.iter().map(|s| s.controllers.iter().map(Vec::len).sum()).collect();
        assert_eq!(channels, [4, 4]);
        assert_eq!(questions.len(), 6);
        assert_eq!(questions.get(1), questions.get(3));
    }

    #[test]
    fn the_end_of_the_answers_is_told_with_the_options_that_are_left() {
        let (made, questions) = told(&["2"]);
        let Err(Failure::DraftMissing { options }) = made else { panic!("{made:?}") };
        assert_eq!(options, "--controllers, --channels, --slots");
        assert_eq!(questions.len(), 2);
    }
}
