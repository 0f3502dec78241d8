//! What shows only when a whole system is looked at: sums, places that repeat, and what its numbers count.

use super::quirks::Tally;
use domain::snapshot::{Location, Note, SeenSlot, SlotState, Snapshot};
use std::collections::{BTreeMap, BTreeSet};

/// What a system's numbers start at; `None` where no slot has them or where it can't be told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Bases {
    pub socket: Option<u32>,
    pub controller: Option<u32>,
    pub channel: Option<u32>,
    pub slot: Option<u32>,
}

/// Reads the bases off the set of values: a 0 anywhere means 0, and a least value of 1 means 1.
pub fn bases(slots: &[SeenSlot]) -> Bases {
    let least = |of: fn(&Location) -> Option<u32>| {
        let ours = slots.iter().filter(|s| s.state != SlotState::NotMemory);
        ours.filter_map(|s| of(&s.location)).min().filter(|n| *n <= 1)
    };
    Bases {
        socket: least(|l| l.socket),
        controller: least(|l| l.controller),
        channel: least(|l| l.channel),
        slot: least(|l| l.slot),
    }
}

/// Notes what contradicts itself.
pub fn check(snapshot: &Snapshot, place: &str, tally: &mut Tally) {
    total(snapshot, place, tally);
    let ours: Vec<&SeenSlot> = snapshot.memory_slots().collect();
    if ours.is_empty() && !snapshot.slots.is_empty() {
        tally.note(place, "the system has no main memory of a processor");
    }
    same_place(&ours, place, tally);
    numbering(&ours, place, tally);
    mixed_bases(&snapshot.slots, place, tally);
}

/// Firmware keeps some for itself, so a difference of up to 2 % is no contradiction.
fn total(snapshot: &Snapshot, place: &str, tally: &mut Tally) {
    let installed = snapshot.installed();
    let unknown = snapshot.memory_slots().any(|s| s.state == SlotState::Unknown);
    let Some(told) = snapshot.total.filter(|t| !t.is_zero()) else { return };
    if installed.is_zero() || unknown || tally.any_unread() {
        return;
    }
    let gap = told.mib().abs_diff(installed.mib());
    if gap > installed.mib() / 50 {
        let told = told.gib();
        let words = format!("TotalSystemMemoryGiB is {told}, yet the modules sum up to {installed}");
        tally.note(place, words);
    }
}

/// Slots that give one and the same place.
fn same_place(ours: &[&SeenSlot], place: &str, tally: &mut Tally) {
    let mut by_place: BTreeMap<Location, Vec<&str>> = BTreeMap::new();
    for slot in ours.iter().filter(|s| s.location.slot.is_some() || s.location.channel.is_some()) {
        by_place.entry(slot.location).or_default().push(name(slot));
    }
    for (at, names) in by_place.into_iter().filter(|(_, names)| names.len() > 1) {
        const SHOWN: usize = 4;
        let shown = names.iter().take(SHOWN).map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
        let more = names.len().saturating_sub(SHOWN);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        tally.note(place, format!("MemoryLocation {} is given to {shown}{more}", place_words(at)));
    }
}

fn place_words(at: Location) -> String {
    let all = [("socket", at.socket), ("controller", at.controller), ("channel", at.channel), ("slot", at.slot)];
    let told: Vec<String> = all.into_iter().filter_map(|(w, n)| n.map(|n| format!("{w} {n}"))).collect();
    told.join(", ")
}

fn name(slot: &SeenSlot) -> &str {
    if slot.name.trim().is_empty() { &slot.handle } else { slot.name.trim() }
}

/// Numbers that do not count what their name says.
fn numbering(ours: &[&SeenSlot], place: &str, tally: &mut Tally) {
    let mut slots: BTreeMap<(Option<u32>, u32), BTreeSet<u32>> = BTreeMap::new();
    let mut controllers: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for slot in ours {
        let at = slot.location;
        if let (Some(channel), Some(number)) = (at.channel, at.slot) {
            slots.entry((at.socket, channel)).or_default().insert(number);
        }
        if let (Some(socket), Some(controller)) = (at.socket, at.controller) {
            controllers.entry(socket).or_default().insert(controller);
        }
    }
    // Three slots a channel is the most that boards have (from memory).
    let highest = slots.values().flatten().max().copied().unwrap_or(0);
    let most = slots.values().map(BTreeSet::len).max().unwrap_or(0);
    if slots.len() > 1 && highest > 3 && most <= 3 {
        tally.note(place, "MemoryLocation.Slot numbers slots of the socket or board, not places on the channel");
    }
    let sets: Vec<&BTreeSet<u32>> = controllers.values().collect();
    let apart = sets.windows(2).all(|w| w[0].is_disjoint(w[1]));
    if sets.len() > 1 && apart {
        tally.note(place, "MemoryLocation.MemoryController counts on over the sockets");
    }
}

/// Bases that differ within one report are easy to trip over.
fn mixed_bases(slots: &[SeenSlot], place: &str, tally: &mut Tally) {
    let all = bases(slots);
    let named =
        [("sockets", all.socket), ("controllers", all.controller), ("channels", all.channel), ("slots", all.slot)];
    let told: Vec<(&str, u32)> = named.into_iter().filter_map(|(w, n)| n.map(|n| (w, n))).collect();
    let differ = told.windows(2).any(|w| w[0].1 != w[1].1);
    if differ {
        let words: Vec<String> = told.iter().map(|(w, n)| format!("{w} from {n}")).collect();
        tally.note(place, format!("MemoryLocation counts {}", words.join(", ")));
    }
}

/// Notes modules that two systems of one service both list, so that nobody counts them twice.
pub fn shared(systems: &mut [(String, Snapshot)]) {
    let mut serials: BTreeMap<(String, String), BTreeSet<usize>> = BTreeMap::new();
    for (index, (_, snapshot)) in systems.iter().enumerate() {
        for module in snapshot.slots.iter().filter_map(|s| s.module.as_ref()) {
            if let (Some(part), Some(serial)) = (&module.reading.part_number, &module.reading.serial) {
                serials.entry((part.clone().into(), serial.clone().into())).or_default().insert(index);
            }
        }
    }
    let mut pairs: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for owners in serials.values().filter(|o| o.len() > 1) {
        for one in owners {
            for other in owners.iter().filter(|o| *o != one) {
                *pairs.entry((*one, *other)).or_default() += 1;
            }
        }
    }
    for ((one, other), count) in pairs {
        let Some(elsewhere) = systems.get(other).map(|(path, _)| path.clone()) else { continue };
        let what = format!("modules with the same part and serial numbers are listed under {elsewhere} too: {count}");
        if let Some((path, snapshot)) = systems.get_mut(one) {
            snapshot.notes.push(Note { offset: None, place: Some(path.clone()), what });
        }
    }
}
