//! From a draft to a board file: a family that fits, controllers, labels that are all different.

use catalog::{BoardDraft, SlotDraft, SocketDraft};
use domain::{Catalog, Generation, Kind, ProcessorName, Snapshot};
use engine::draft::{Confidence, Draft, DraftSlot};
use std::collections::{BTreeMap, BTreeSet};

/// Channels of a socket, each with its slots in order.
type Lanes = BTreeMap<usize, Vec<SlotDraft>>;

/// Families that fit, and how their channels are parted into controllers.
pub struct Fit {
    pub families: Vec<String>,
    pub controllers: usize,
}

impl Fit {
    /// Families of that generation with so many channels, none taking fewer modules in a channel; of one shape.
    pub fn find(catalog: &Catalog, generation: Option<Generation>, channels: usize, deepest: usize) -> Self {
        let fits = |p: &&std::sync::Arc<domain::Processor>| {
            generation.is_none_or(|g| p.generation == g)
                && usize::from(p.controllers) * usize::from(p.channels_per_controller) == channels
                && usize::from(p.dpc_most) >= deepest
        };
        let all: Vec<_> = catalog.processors.values().filter(fits).collect();
        let Some(first) = all.first() else {
            // No family tells: one controller, or two halves from six channels on (common practice, no source).
            return Self {
                families: Vec::new(),
                controllers: if channels >= 6 && channels.is_multiple_of(2) { 2 } else { 1 },
            };
        };
        let alike = all.iter().filter(|p| p.controllers == first.controllers && p.generation == first.generation);
        Self { families: alike.map(|p| p.id.0.clone()).collect(), controllers: usize::from(first.controllers) }
    }
}

/// The family that a person's own file or the data gives for the processor.
pub fn family(model: Option<&str>, names: &[ProcessorName]) -> Option<String> {
    let known = names.iter().find(|n| model.is_some_and(|m| n.matches(m)))?;
    known.family.as_ref().map(|f| f.0.clone())
}

/// The board file of a draft.
pub fn board(draft: &Draft, snapshot: &Snapshot, catalog: &Catalog, names: &[ProcessorName], from: &str) -> BoardDraft {
    let sockets = lanes(draft);
    let channels = sockets.values().map(BTreeMap::len).max().unwrap_or(0);
    let deepest = sockets.values().flat_map(BTreeMap::values).map(Vec::len).max().unwrap_or(0);
    let generation = generation(snapshot);
    let own = family(draft.processor.as_deref(), names);
    let chosen = own.as_ref().and_then(|f| catalog.processors.get(f));
    let mut fit = Fit::find(catalog, generation, channels, deepest);
    if let Some(processor) = chosen {
        fit = Fit { families: vec![processor.id.0.clone()], controllers: usize::from(processor.controllers) };
    }
    let sockets = sockets.into_iter().map(|(number, lanes)| SocketDraft {
        name: format!("socket-{number}"),
        controllers: parted(lanes.into_values().collect(), fit.controllers),
    });
    let kinds: BTreeSet<Kind> = modules(snapshot).filter_map(|m| m.reading.kind).collect();
    BoardDraft {
        head: head(draft, from),
        title: snapshot.system.as_deref().filter(|s| printable(s)).unwrap_or("A drafted board").trim().to_string(),
        about: format!("Drafted from a machine's report, {}, unconfirmed.", draft.confidence.word()),
        generation: chosen.map(|p| p.generation).or(generation).or_else(|| fitting(catalog, &fit)),
        processors: fit.families,
        processor_names: draft.processor.iter().filter(|_| own.is_none()).cloned().collect(),
        kinds: kinds.into_iter().collect(),
        source: "drafted from a machine's report, unconfirmed".to_string(),
        sockets: sockets.collect(),
    }
}

fn fitting(catalog: &Catalog, fit: &Fit) -> Option<Generation> {
    fit.families.first().and_then(|f| catalog.processors.get(f)).map(|p| p.generation)
}

fn printable(text: &str) -> bool {
    let text = text.trim();
    !text.is_empty() && text.chars().count() <= 100 && text.chars().all(|c| c.is_ascii_graphic() || c == ' ')
}

fn modules(snapshot: &Snapshot) -> impl Iterator<Item = &domain::snapshot::SeenModule> {
    snapshot.memory_slots().filter_map(|s| s.module.as_ref())
}

/// The generation that all modules which tell it agree on.
fn generation(snapshot: &Snapshot) -> Option<Generation> {
    let seen: BTreeSet<Generation> = modules(snapshot).filter_map(|m| m.reading.generation).collect();
    if seen.len() == 1 { seen.into_iter().next() } else { None }
}

fn head(draft: &Draft, from: &str) -> Vec<String> {
    let mut head = vec![format!(
        "DRAFTED AND UNCONFIRMED, from {from}: {}. A machine's report does not tell what its maker's manual does: confirm \
         every line marked so, and strike the mark out, before you build by this file.",
        draft.confidence.word()
    )];
    for question in &draft.questions {
        let mut text = format!("To confirm: {}", question.text);
        for (i, reading) in question.readings.iter().enumerate() {
            text.push_str(&format!(" ({}) {reading}", i + 1));
        }
        if !question.slots.is_empty() {
            text.push_str(&format!(" [{}]", question.slots.join(", ")));
        }
        head.push(text);
    }
    let lost: Vec<&str> = draft.slots.iter().filter(|s| s.channel.is_none()).map(|s| s.label.as_str()).collect();
    if !lost.is_empty() {
        head.push(format!("Slots whose channel is not known, to be put in by hand: {}", lost.join(", ")));
    }
    head
}

/// Sockets with their channels, of the slots whose channel is known.
fn lanes(draft: &Draft) -> BTreeMap<usize, Lanes> {
    let labels = labels(&draft.slots);
    let mut placed: Vec<(usize, usize, Option<usize>, SlotDraft)> = Vec::new();
    for (slot, label) in draft.slots.iter().zip(labels) {
        if let (Some(socket), Some(channel)) = (slot.socket, slot.channel) {
            placed.push((socket, channel, slot.position, SlotDraft { label, confirm: confirm(slot) }));
        }
    }
    placed.sort_by_key(|(socket, channel, position, _)| (*socket, *channel, *position));
    let mut sockets: BTreeMap<usize, Lanes> = BTreeMap::new();
    for (socket, channel, _, slot) in placed {
        sockets.entry(socket).or_default().entry(channel).or_default().push(slot);
    }
    sockets
}

fn confirm(slot: &DraftSlot) -> String {
    match (slot.confidence, slot.position) {
        (Confidence::Sure, _) => String::new(),
        (_, None) => "channel, and which slot is filled first".to_string(),
        (Confidence::Likely, _) => "likely".to_string(),
        (Confidence::Unsure, _) => "unsure".to_string(),
    }
}

/// Labels that are all different and can be written: the names, with the place before them where they are not.
fn labels(slots: &[DraftSlot]) -> Vec<String> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    slots.iter().for_each(|s| *counts.entry(s.label.to_ascii_lowercase()).or_default() += 1);
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut labels = Vec::new();
    for slot in slots {
        let alone = counts.get(&slot.label.to_ascii_lowercase()) == Some(&1);
        let mut label = slot.label.clone();
        if !alone || !printable(&label) || label.starts_with('#') {
            let number = |n: Option<usize>| n.map_or_else(|| "x".to_string(), |n| n.to_string());
            label = format!("{}-{}-{}", number(slot.socket), number(slot.channel), number(slot.position));
            if alone || !printable(&slot.label) {
                label = format!("slot {label}");
            } else {
                label = format!("{label} {}", slot.label.trim_start_matches('#'));
            }
        }
        let mut unique = label.clone();
        let mut again = 1;
        while !taken.insert(unique.to_ascii_lowercase()) {
            again += 1;
            unique = format!("{} ({again})", label.chars().take(80).collect::<String>());
        }
        labels.push(unique);
    }
    labels
}

/// Channels in order over so many controllers; the first take one more where it does not come out even.
pub fn parted<T>(channels: Vec<T>, controllers: usize) -> Vec<Vec<T>> {
    let each = channels.len().div_ceil(controllers.max(1)).max(1);
    let mut parts: Vec<Vec<T>> = Vec::new();
    for channel in channels {
        match parts.last_mut() {
            Some(part) if part.len() < each => part.push(channel),
            _ => parts.push(vec![channel]),
        }
    }
    parts
}
