//! Differences slot by slot, before they are gathered into channels and sockets.

use super::causes::Around;
use super::identity::{self, Unlike};
use super::moves::{self, Moves};
use super::pairing::Pairs;
use super::{Expected, ExpectedModule, What};
use domain::Snapshot;
use domain::reading::ModuleReading;
use domain::snapshot::{SeenModule, SeenSlot, SlotState};

/// A difference with the expected slots that it touches.
#[derive(Debug, Clone)]
pub struct Found {
    pub what: What,
    /// Expected slots; of a move the planned one first.
    pub slots: Vec<usize>,
    /// The name of a slot that the plan does not have.
    pub stranger: Option<String>,
    pub planned: String,
    pub seen: String,
    pub around: Around,
}

/// Everything that differs in single slots.
pub fn differences(expected: &Expected, seen: &Snapshot, pairs: &Pairs, moved: &Moves) -> Vec<Found> {
    let _ = seen;
    let mut found = Vec::new();
    for (i, slot) in expected.slots.iter().enumerate() {
        match &slot.module {
            Some(module) => planned(expected, pairs, moved, i, module, &mut found),
            None => found.extend(unplanned(pairs, moved, i)),
        }
    }
    found.extend(pairs.others.iter().filter_map(|slot| stranger(slot)));
    found
}

fn planned(expected: &Expected, pairs: &Pairs, moved: &Moves, i: usize, module: &ExpectedModule, out: &mut Vec<Found>) {
    let told = words(&module.reading);
    let slot = pairs.seen_of[i];
    let name = |s: usize| expected.slots.get(s).map_or("", |s| s.name.trim()).to_string();
    match moved.to[i] {
        Some(s) if s == i => out.extend(changed(expected, pairs, i, i, &told)),
        Some(s) => {
            if moved.to[s] != Some(i) {
                out.push(Found::new(What::WrongSlot, vec![i, s], &told, &format!("it sits in {}", name(s))));
            } else if i < s {
                let other = expected.slots[s].module.as_ref().map(|m| words(&m.reading)).unwrap_or_default();
                let (here, there) = (name(i), name(s));
                let plan = format!("{told} in {here}, {other} in {there}");
                out.push(Found::new(
                    What::Swapped,
                    vec![i, s],
                    &plan,
                    &format!("{other} in {here}, {told} in {there}"),
                ));
            }
            out.extend(changed(expected, pairs, i, s, &told));
            if moved.from[i].is_none() {
                let stranger =
                    slot.and_then(moves::held).map(|m| Found::new(What::Unexpected, vec![i], &told, &seen_words(m)));
                out.extend(stranger);
            }
        }
        None => {
            let mut found = match (moved.from[i], slot) {
                (Some(from), _) => {
                    let seen = format!("the slot holds the module planned for {}", name(from));
                    Found::new(What::Missing, vec![i], &told, &seen)
                }
                (None, None) => Found::new(What::Missing, vec![i], &told, "the report does not list this slot"),
                (None, Some(slot)) => replaced(slot, i, module, &told),
            };
            found.around.channel_alive = channel_alive(expected, pairs, i);
            out.push(found);
        }
    }
}

/// The module sits where it should (or in `s`), and something about it differs.
fn changed(expected: &Expected, pairs: &Pairs, planned: usize, s: usize, told: &str) -> Option<Found> {
    let unlike = moves::difference(expected, pairs, planned, s);
    let seen = pairs.seen_of[s].and_then(moves::held)?;
    let mut found = Found::new(unlike.what()?, vec![s], told, &seen_words(seen));
    found.around.same_part = expected.slots[planned]
        .module
        .as_ref()
        .is_some_and(|m| identity::same_article(&m.reading, &seen.reading) && !unlike.part);
    Some(found)
}

/// The slot holds something that was planned nowhere, or nothing.
fn replaced(slot: &SeenSlot, i: usize, planned: &ExpectedModule, told: &str) -> Found {
    match (slot.state, &slot.module) {
        (SlotState::Disabled, module) => {
            let seen = module.as_ref().map_or("disabled".to_string(), |m| format!("disabled: {}", seen_words(m)));
            Found::new(What::Disabled, vec![i], told, &seen)
        }
        (_, Some(module)) => {
            let unlike: Unlike = identity::unlike(&planned.reading, &module.reading);
            let what = unlike.what().unwrap_or(What::DifferentModule);
            let mut found = Found::new(what, vec![i], told, &seen_words(module));
            found.around.same_part =
                !unlike.part && !unlike.kind && identity::text(&planned.reading.part_number).is_some();
            found
        }
        (SlotState::Unknown, None) => {
            Found::new(What::Missing, vec![i], told, "the report does not tell what it holds")
        }
        _ => Found::new(What::Missing, vec![i], told, "empty"),
    }
}

fn unplanned(pairs: &Pairs, moved: &Moves, i: usize) -> Option<Found> {
    let module = pairs.seen_of[i]?.module.as_ref()?;
    moved.from[i].is_none().then(|| Found::new(What::Unexpected, vec![i], "empty", &seen_words(module)))
}

fn stranger(slot: &SeenSlot) -> Option<Found> {
    let module = slot.module.as_ref()?;
    let mut found = Found::new(What::Unexpected, Vec::new(), "no such slot", &seen_words(module));
    let bank = slot.bank.as_deref().map(str::trim).filter(|b| !b.is_empty());
    let name = slot.name.trim();
    found.stranger = Some(match bank {
        Some(bank) if name.is_empty() => bank.to_string(),
        _ if name.is_empty() => slot.handle.clone().into(),
        _ => name.to_string(),
    });
    Some(found)
}

/// Is another module of the same channel seen?
fn channel_alive(expected: &Expected, pairs: &Pairs, i: usize) -> bool {
    let key = |s: usize| expected.slots[s].at.map(|a| (a.socket, a.controller, a.channel));
    let own = key(i);
    own.is_some()
        && (0..expected.slots.len())
            .any(|s| s != i && key(s) == own && pairs.seen_of[s].and_then(moves::held).is_some())
}

impl Found {
    fn new(what: What, slots: Vec<usize>, planned: &str, seen: &str) -> Self {
        let (planned, seen) = (planned.to_string(), seen.to_string());
        Self { what, slots, stranger: None, planned, seen, around: Around::default() }
    }
}

/// A module in a few words: its label or part number, else what is known of it.
pub fn words(reading: &ModuleReading) -> String {
    let part = reading.part_number.as_deref().map(str::trim).filter(|p| !p.is_empty());
    let serial = identity::text(&reading.serial).map(|s| format!("serial {s}"));
    let mut parts: Vec<String> = Vec::new();
    match (&reading.label, part) {
        (Some(label), _) => parts.push(label.clone()),
        (None, part) => {
            parts.extend(reading.capacity.map(|c| c.to_string()));
            parts.extend(ranks(reading));
            parts.extend(reading.generation.map(|g| g.to_string()));
            parts.extend(reading.kind.map(|k| k.to_string()));
            parts.extend(reading.rate.map(|r| r.mts().to_string()));
            parts.extend(part.map(str::to_string));
        }
    }
    parts.extend(serial);
    if parts.is_empty() { "a module that tells nothing of itself".to_string() } else { parts.join(" ") }
}

fn ranks(reading: &ModuleReading) -> Option<String> {
    let ranks = reading.package_ranks?;
    Some(reading.device_width.map_or(format!("{ranks}R"), |w| format!("{ranks}Rx{w}")))
}

fn seen_words(module: &SeenModule) -> String {
    let extra = if module.nonvolatile { ", non-volatile: it may hold a customer's data" } else { "" };
    format!("{}{extra}", words(&module.reading))
}
