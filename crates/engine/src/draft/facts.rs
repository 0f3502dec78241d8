//! What a snapshot tells that a draft rests on: names by column, processors, arrays, what is filled.

use super::columns::{Column, From, column, columns};
use super::pieces::Kind;
use domain::snapshot::{ArrayRole, SeenSlot, SlotState};
use domain::{Attach, ProcessorName, Snapshot};
use std::collections::BTreeSet;

/// More slots than any board has; a longer list is not worked on.
pub const MOST_SLOTS: usize = 1024;

/// The snapshot as a draft needs it. Lists of one entry a slot run in the report's order.
pub struct Facts<'a> {
    pub slots: Vec<&'a SeenSlot>,
    /// Handles of entries that are no slot for main memory.
    pub others: Vec<String>,
    pub columns: Vec<Column>,
    pub filled: Vec<bool>,
    /// The ordinal of each slot's array among those that hold slots.
    pub arrays: Vec<Option<usize>>,
    pub array_count: usize,
    /// Sockets, filled or not; 0 where the report lists none.
    pub sockets: usize,
    /// Sockets that hold a processor, or that do not say.
    pub present: usize,
    /// Channels of one processor, where its name tells.
    pub channels: Option<usize>,
    pub attach: Attach,
    /// The processor's own name.
    pub model: Option<String>,
    pub socket_names: Vec<String>,
    /// By slot, the ordinal of the processor that the report links to it.
    pub links: Vec<Option<usize>>,
    /// By slot, its place in an interleave set, where the report gives one that says something.
    pub interleave: Vec<Option<u8>>,
}

impl<'a> Facts<'a> {
    /// Reads them off a snapshot; `names` are asked in order and the first that matches a processor wins.
    pub fn new(snapshot: &'a Snapshot, names: &[ProcessorName]) -> Self {
        let (slots, others) = memory_slots(snapshot);
        let texts: Vec<&str> = slots.iter().map(|s| s.name.as_str()).collect();
        let banks: Vec<&str> = slots.iter().map(|s| s.bank.as_deref().unwrap_or_default()).collect();
        let mut all = columns(From::Name, &texts);
        all.extend(columns(From::Bank, &banks).into_iter().filter(|c| c.count() > 1));
        all.extend(located(&slots));
        let handles: Vec<&str> = distinct(slots.iter().filter_map(|s| s.array.as_deref()));
        let place = |of: Option<&str>, among: &[&str]| of.and_then(|h| among.iter().position(|a| *a == h));
        let arrays = slots.iter().map(|s| place(s.array.as_deref(), &handles)).collect();
        let processors: Vec<&str> = snapshot.processors.iter().map(|p| p.handle.as_str()).collect();
        let links = slots.iter().map(|s| place(s.processor.as_deref(), &processors)).collect();
        let models: Vec<&str> = snapshot.processors.iter().filter_map(|p| p.model.as_deref()).collect();
        let known = models.iter().find_map(|m| names.iter().find(|n| n.matches(m)));
        let position = |slot: &&SeenSlot| {
            let ranges = snapshot.ranges.iter().filter(|r| r.slot.as_deref() == Some(&slot.handle));
            ranges.filter_map(|r| r.width_or_position).find(|p| !matches!(p, 0 | 0xFF))
        };
        let interleave = slots.iter().map(position).collect();
        Self {
            columns: all,
            filled: slots.iter().map(|s| matches!(s.state, SlotState::Filled | SlotState::Disabled)).collect(),
            arrays,
            array_count: handles.len(),
            sockets: snapshot.processors.len(),
            present: snapshot.processors.iter().filter(|p| p.present != Some(false)).count(),
            channels: known.and_then(|n| n.channels).map(usize::from).filter(|c| *c > 0),
            attach: known.map_or(Attach::Direct, |n| n.attach),
            model: models.first().map(|m| m.split_whitespace().collect::<Vec<_>>().join(" ")),
            socket_names: snapshot.processors.iter().map(|p| p.name.trim().to_string()).collect(),
            links,
            interleave,
            slots,
            others,
        }
    }
    /// Slots.
    pub fn len(&self) -> usize {
        self.slots.len()
    }
    /// The columns read there.
    pub fn of(&self, from: From) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(move |c| c.from == from)
    }
}

fn distinct<'t>(texts: impl Iterator<Item = &'t str>) -> Vec<&'t str> {
    let mut seen = BTreeSet::new();
    texts.filter(|t| seen.insert(*t)).collect()
}

/// Slots for main memory, and the handles of what else is listed: flash, blank entries.
fn memory_slots(snapshot: &Snapshot) -> (Vec<&SeenSlot>, Vec<String>) {
    let flash: BTreeSet<&str> = snapshot
        .arrays
        .iter()
        .filter(|a| !matches!(a.role, ArrayRole::System | ArrayRole::Unknown))
        .map(|a| a.handle.as_str())
        .collect();
    let blank = |s: &SeenSlot| {
        let bare = |t: &str| !t.chars().any(char::is_alphanumeric);
        bare(&s.name) && bare(s.bank.as_deref().unwrap_or_default()) && s.location == Default::default()
    };
    let others = |s: &&SeenSlot| {
        s.state == SlotState::NotMemory
            || s.array.as_deref().is_some_and(|a| flash.contains(a))
            || (blank(s) && s.module.is_none())
    };
    let (not, slots): (Vec<&SeenSlot>, Vec<&SeenSlot>) = snapshot.slots.iter().partition(others);
    (slots, not.iter().map(|s| s.handle.to_string()).collect())
}

/// The place in numbers as columns, where the report states it.
fn located(slots: &[&SeenSlot]) -> Vec<Column> {
    let one = |label: &str, pick: fn(&SeenSlot) -> Option<u32>| {
        let cells: Vec<Option<String>> = slots.iter().map(|s| pick(s).map(|n| n.to_string())).collect();
        column(From::Location, label.to_string(), Kind::Number, &cells)
    };
    let all = [
        one("SOCKET", |s| s.location.socket),
        one("IMC", |s| s.location.controller),
        one("CHANNEL", |s| s.location.channel),
        one("SLOT", |s| s.location.slot),
    ];
    all.into_iter().filter(|c| c.count() > 0).collect()
}
