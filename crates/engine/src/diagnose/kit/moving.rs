//! Tests that move modules: reseat, exchange with another, another slot, fewer modules.

use super::{Deed, answers, by, gone, stays};
use crate::diagnose::around::Around;
use crate::diagnose::bounds;
use domain::board::SlotIndex;
use domain::fault::Cause::{Board, Channel, Configuration, Contact, Firmware, Module, Processor, Seating, Slot};
use domain::fault::Sign;
use domain::quantity::Minutes;

const WEAR: &str = "small: press straight down on both ends, never at an angle, which gouges the contacts";

fn blank(around: &Around<'_>, name: &'static str, title: String, minutes: u32) -> Deed {
    Deed {
        name,
        title,
        how: Vec::new(),
        hands: Minutes::new(minutes),
        starts: true,
        off: true,
        processor: false,
        risk: (WEAR, 0.0),
        cures: by(&[]),
        gone: gone(around),
        answers: answers(&[], ("stays", stays(around))),
        mixed: 0,
        quiet: false,
    }
}

/// More than one module takes longer.
fn each(modules: usize) -> u32 {
    u32::try_from(modules.saturating_sub(1) / 2).unwrap_or(u32::MAX)
}

pub fn reseat(around: &Around<'_>) -> Deed {
    let slots = &around.symptom.slots;
    let (named, back) = match (around.symptom.sign, slots.len()) {
        (Sign::NoBoot, _) => ("all modules".to_string(), "each back into its own slot"),
        (_, 0 | 1) => (format!("the module of {}", around.labels(slots)), "it back into the same slot"),
        _ => (format!("the modules of {}", around.labels(slots)), "each back into its own slot"),
    };
    let mut deed = blank(around, "reseat", format!("Take out and seat again: {named}"), 4 + each(slots.len()));
    deed.how = vec![
        format!("Take out {named}; look at the contacts for dirt, and at the slot."),
        format!("Put {back}: press both ends straight down until both latches close."),
    ];
    deed.cures = by(&[(Seating, 0.95), (Module, 0.05), (Slot, 0.30), (Contact, 0.05)]);
    deed
}

/// Exchanges with a neighbour, with a module known to be good, or of whole channels.
pub fn swaps(around: &Around<'_>) -> Vec<Deed> {
    let mut all = Vec::new();
    if around.symptom.sign == Sign::MissingProcessor {
        return all;
    }
    let own = &around.symptom.slots;
    if around.symptom.sign == Sign::MissingChannel {
        if !around.twin_channel.is_empty() {
            let minutes = 5 + u32::try_from(own.len()).unwrap_or(u32::MAX);
            all.push(swap(around, "across-channels", own, &around.twin_channel, minutes));
        }
        return all;
    }
    if let Some(neighbour) = around.neighbour {
        all.push(swap(around, "swap-neighbour", &[around.suspect], &[neighbour], 5));
    }
    if let Some(good) = around.good {
        all.push(swap(around, "swap-known-good", &[around.suspect], &[good], 6));
    }
    all
}

fn swap(around: &Around<'_>, name: &'static str, own: &[SlotIndex], other: &[SlotIndex], minutes: u32) -> Deed {
    let (here, there) = (around.labels(own), around.labels(other));
    let shows = around.symptom.sign.shows();
    let mut deed = blank(around, name, format!("Exchange the modules of {here} and {there}"), minutes);
    deed.how = vec![
        format!("Mark the modules of {here}, take them out, and those of {there}."),
        format!("Put each into the other's slot ({here} ↔ {there}); nothing else is moved."),
    ];
    let moves = format!("{there} {shows} now, and {here} is in order: it went with the module");
    let both = format!("{here} and {there}: each {shows}");
    deed.answers = answers(
        &[("moves", moves, &[(Module, 0.97)]), ("both", both, &[(Board, 0.03), (Processor, 0.03)])],
        ("stays", format!("{here} again: it stays with the place")),
    );
    deed.mixed = 1;
    deed.cures = by(&[(Seating, 0.95)]);
    deed
}

pub fn other_slot(around: &Around<'_>) -> Option<Deed> {
    if matches!(around.symptom.sign, Sign::MissingChannel | Sign::MissingProcessor) {
        return None;
    }
    let free = around.label(around.free?).to_string();
    let here = around.label(around.suspect).to_string();
    let mut deed = blank(around, "other-slot", format!("Move the module of {here} to {free}, in the same channel"), 6);
    deed.how = vec![format!("Take the module out of {here} and put it into {free}; nothing else is moved.")];
    deed.gone = Some(format!("{free} is seen as planned, without fault"));
    deed.answers = answers(&[], ("stays", format!("{free} {} too", around.symptom.sign.shows())));
    deed.cures = by(&[(Seating, 0.95), (Slot, 0.97), (Configuration, 0.30)]);
    Some(deed)
}

/// Only one module known to be good in the first slot.
pub fn one_module(around: &Around<'_>) -> Option<Deed> {
    let sign = around.symptom.sign;
    if sign == Sign::MissingChannel && around.symptom.slots.len() < 2 {
        return None;
    }
    let first = around.label(around.suspect).to_string();
    let named = match sign {
        Sign::NoBoot => "each processor".to_string(),
        Sign::MissingChannel => format!("the channel of {first}"),
        _ => format!("socket {}", around.socket_name(around.socket)),
    };
    let title = format!("Start with one module for {named}");
    let mut deed = blank(around, "one-module", title, 8 + each(around.symptom.slots.len()));
    deed.how = vec![
        format!(
            "Leave one module for {named}, in the first slot to fill ({first}); take one known to be good if there is."
        ),
        "Keep the others in their order, with the slot that each came from.".to_string(),
    ];
    let seen = match sign {
        Sign::NoBoot => "it starts, and this memory is seen".to_string(),
        _ => format!("{first} is seen"),
    };
    deed.gone = None;
    deed.answers = answers(
        &[(
            "seen",
            seen,
            &[
                (Seating, 0.85),
                (Module, 0.85),
                (Slot, 0.75),
                (Channel, 0.30),
                (Contact, 0.10),
                (Processor, 0.08),
                (Board, 0.08),
                (Configuration, 0.75),
                (Firmware, 0.45),
            ],
        )],
        ("stays", stays(around)),
    );
    deed.mixed = 1;
    Some(deed)
}

/// Half of the modules out, again and again.
pub fn half_by_half(around: &Around<'_>) -> Option<Deed> {
    if around.modules < 3 {
        return None;
    }
    let shares = vec![1.0 / around.modules as f64; around.modules];
    let starts = bounds::halving(&shares).ceil() as u32;
    let mut deed =
        blank(around, "half-by-half", format!("Find the module: half of the {} out each time", around.modules), 0);
    // One start is counted with every test.
    deed.hands = Minutes::new(starts * 5 + starts.saturating_sub(1) * super::once(around).get());
    deed.how = vec![
        "Take half of the modules out, the later slots of each channel first, and start; go on with the half that fails."
            .to_string(),
        format!("About {starts} starts until one is left; keep the order of slots that the board asks for."),
    ];
    deed.gone = None;
    deed.answers = answers(
        &[(
            "one-found",
            "it starts without one module, and fails with it".to_string(),
            &[(Seating, 0.85), (Module, 0.95), (Slot, 0.85), (Channel, 0.60), (Contact, 0.30), (Configuration, 0.20)],
        )],
        ("none", "it fails with either half".to_string()),
    );
    deed.mixed = 1;
    Some(deed)
}
