//! Running numbers and the report's order, cut into channels by the processor's count of channels.

use super::columns::{Column, From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use super::readings::{Basis, Key, Places, Reading};
use super::sockets::Parting;
use std::collections::{BTreeMap, BTreeSet};

/// The slots of each socket in the report's order.
pub fn by_socket(parting: &Parting) -> BTreeMap<usize, Vec<usize>> {
    let mut sockets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (slot, socket) in parting.of.iter().enumerate() {
        if let Some(socket) = socket {
            sockets.entry(*socket).or_default().push(slot);
        }
    }
    sockets
}

/// Readings of a number that runs over the slots of a socket: across channels, along a channel, or in the report's order.
pub fn of_numbers(facts: &Facts<'_>, parting: &Parting) -> Vec<Reading> {
    let Some(channels) = facts.channels else { return Vec::new() };
    let sockets = by_socket(parting);
    if sockets.values().all(|slots| slots.len() <= channels) {
        return Vec::new();
    }
    let unique = |c: &&Column| {
        c.is_whole()
            && matches!(c.role, Role::Module | Role::Unsaid)
            && c.kind != Kind::Word
            && sockets.values().all(|slots| {
                let ranks: BTreeSet<usize> = slots.iter().filter_map(|s| rank(c, *s)).collect();
                ranks.len() == slots.len()
            })
    };
    let running = facts.of(From::Name).filter(unique).min_by_key(|c| c.kind != Kind::Number);
    let Some(column) = running else { return Vec::new() };
    let numbered: BTreeMap<usize, Vec<usize>> = sockets
        .iter()
        .map(|(socket, slots)| {
            let mut slots = slots.clone();
            slots.sort_by_key(|s| rank(column, *s));
            (*socket, slots)
        })
        .collect();
    let what = column.words();
    let mut found = Vec::new();
    let across = format!("{what} runs across the {channels} channels first, then to their next slots");
    found.push(cut(facts, &numbered, From::Name, across, |i, n| Some(across_channels(i, n, channels))));
    let whole = |n: usize| n.is_multiple_of(channels);
    let along = |i: usize, n: usize| {
        let each = if whole(n) { n / channels } else { return None };
        i.checked_div(each).map(|c| (c, i % each))
    };
    let mut within = cut(facts, &numbered, From::Name, format!("{what} runs along each channel first"), along);
    within.places = Places::Along;
    found.push(within);
    let monotone = sockets.values().all(|slots| {
        let ranks: Vec<Option<usize>> = slots.iter().map(|s| rank(column, *s)).collect();
        ranks.is_sorted() || ranks.iter().rev().is_sorted()
    });
    if !monotone {
        let by = "the report lists the slots of a channel side by side".to_string();
        found.push(cut(facts, &sockets, From::Location, by, along));
        found.extend(uneven(facts, &sockets, channels));
    }
    found.retain(|r| r.holds(parting));
    found
}

/// Where the slots are no whole multiple, the last round gives each half of the channels equally many (common practice:
/// a half is a memory controller).
fn across_channels(i: usize, n: usize, channels: usize) -> (usize, usize) {
    let (round, over, half) = (i / channels, n % channels, channels / 2);
    let in_round = i % channels;
    let last = round == n / channels;
    if !last || over % 2 == 1 || channels % 2 == 1 || channels < 6 {
        return (in_round, round);
    }
    let (controller, at) = (in_round / (over / 2).max(1), in_round % (over / 2).max(1));
    (controller * half + at, round)
}

/// More slots than channels and no whole multiple: the first channels of each controller hold two (common practice).
fn uneven(facts: &Facts<'_>, sockets: &BTreeMap<usize, Vec<usize>>, channels: usize) -> Option<Reading> {
    let half = channels / 2;
    let fits = |n: &usize| *n > channels && *n < 2 * channels && (n - channels).is_multiple_of(2);
    if half == 0 || !channels.is_multiple_of(2) || !sockets.values().all(|s| fits(&s.len())) {
        return None;
    }
    let place = |i: usize, n: usize| {
        let doubled = (n - channels) / 2;
        let (controller, i) = (i / (n / 2), i % (n / 2));
        let (channel, place) = if i < 2 * doubled { (i / 2, i % 2) } else { (i - doubled, 0) };
        Some((controller * half + channel, place))
    };
    let by = format!("the report lists the slots of a channel side by side, two on the first channels of each {half}");
    Some(cut(facts, sockets, From::Location, by, place))
}

fn cut(
    facts: &Facts<'_>,
    sockets: &BTreeMap<usize, Vec<usize>>,
    from: From,
    by: String,
    place: impl Fn(usize, usize) -> Option<(usize, usize)>,
) -> Reading {
    let mut channel: Vec<Option<Key>> = vec![None; facts.len()];
    let mut position = vec![None; facts.len()];
    for slots in sockets.values() {
        for (i, slot) in slots.iter().enumerate() {
            let Some((c, p)) = place(i, slots.len()) else { continue };
            if let (Some(channel), Some(position)) = (channel.get_mut(*slot), position.get_mut(*slot)) {
                (*channel, *position) = (Some(vec![c]), Some(p));
            }
        }
    }
    Reading::new(channel, position, Basis::Counting, from, by)
}

/// Letters beside running numbers that name the order of filling: `1A`, `4B`, `9C`. By slot, their rank in the socket.
pub fn filling_letters(facts: &Facts<'_>, parting: &Parting) -> Option<Vec<Option<usize>>> {
    let sockets = by_socket(parting);
    let unique = |c: &Column| {
        c.is_whole()
            && sockets.values().all(|slots| {
                let ranks: BTreeSet<usize> = slots.iter().filter_map(|s| rank(c, *s)).collect();
                ranks.len() == slots.len()
            })
    };
    let number = facts.of(From::Name).any(|c| c.kind == Kind::Number && c.role == Role::Module && unique(c));
    let letter = facts.of(From::Name).find(|c| c.kind == Kind::Letter && c.label.is_empty() && unique(c))?;
    if !number {
        return None;
    }
    let mut ranks = vec![None; facts.len()];
    for slots in sockets.values() {
        let sorted: BTreeSet<usize> = slots.iter().filter_map(|s| rank(letter, *s)).collect();
        for slot in slots {
            let place = rank(letter, *slot).and_then(|r| sorted.iter().position(|x| *x == r));
            if let Some(cell) = ranks.get_mut(*slot) {
                *cell = place;
            }
        }
    }
    Some(ranks)
}

fn rank(column: &Column, slot: usize) -> Option<usize> {
    column.ranks.get(slot).copied().flatten()
}
