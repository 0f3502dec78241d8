//! The order of the slots on a channel: from their names, or from which of them are filled.

use super::facts::Facts;
use super::readings::{Places, Reading};
use super::running::filling_letters;
use super::sockets::Parting;
use std::collections::BTreeMap;

/// The slots of one channel, first place first, and whether that order is known.
pub struct Lane {
    pub socket: usize,
    /// From 0 within the socket.
    pub channel: usize,
    pub slots: Vec<usize>,
    pub known: bool,
    /// That order was taken from what is filled or from letters of filling, not from the names of the places.
    pub taken: bool,
    /// A later place holds a module while an earlier one is empty.
    pub backwards: bool,
}

/// All channels with their slots in order.
pub fn lanes(facts: &Facts<'_>, parting: &Parting, reading: &Reading) -> Vec<Lane> {
    let mut lanes = grouped(parting, reading);
    for lane in &mut lanes {
        lane.slots.sort_by_key(|s| reading.position.get(*s).copied().flatten());
    }
    if reading.places == Places::Along {
        orient(facts, parting, &mut lanes);
    }
    for lane in &mut lanes {
        let mut filled = lane.slots.iter().map(|s| facts.filled.get(*s).copied().unwrap_or(false));
        let gap = filled.by_ref().any(|f| !f);
        lane.backwards = gap && filled.any(|f| f);
    }
    lanes
}

fn grouped(parting: &Parting, reading: &Reading) -> Vec<Lane> {
    let mut sockets: BTreeMap<usize, BTreeMap<&[usize], Vec<usize>>> = BTreeMap::new();
    for (slot, (socket, key)) in parting.of.iter().zip(&reading.channel).enumerate() {
        if let (Some(socket), Some(key)) = (socket, key) {
            sockets.entry(*socket).or_default().entry(key).or_default().push(slot);
        }
    }
    let one = |(socket, channels): (usize, BTreeMap<&[usize], Vec<usize>>)| {
        let channels = channels.into_values().enumerate();
        channels
            .map(move |(channel, slots)| Lane { socket, channel, slots, known: true, taken: false, backwards: false })
            .collect::<Vec<_>>()
    };
    sockets.into_iter().flat_map(one).collect()
}

/// Numbers along the board: the filled ones, or letters that name the order of filling, tell which end comes first.
/// Boards are laid out alike for every socket, and alike on each side of it.
fn orient(facts: &Facts<'_>, parting: &Parting, lanes: &mut [Lane]) {
    let letters = filling_letters(facts, parting);
    let mut votes: BTreeMap<usize, (u32, u32)> = BTreeMap::new();
    let mut widest = 0;
    for lane in lanes.iter() {
        widest = widest.max(lane.channel + 1);
        let vote = votes.entry(lane.channel).or_default();
        match direction(facts, letters.as_deref(), &lane.slots) {
            Some(true) => vote.0 += 1,
            Some(false) => vote.1 += 1,
            None => {}
        }
    }
    let half = widest.div_ceil(2);
    let side = |channel: usize| channel / half.max(1);
    let mut sides: BTreeMap<usize, (u32, u32)> = BTreeMap::new();
    for (channel, (up, down)) in &votes {
        let vote = sides.entry(side(*channel)).or_default();
        vote.0 += up;
        vote.1 += down;
    }
    for lane in lanes {
        let own = votes.get(&lane.channel).copied().unwrap_or_default();
        let near = sides.get(&side(lane.channel)).copied().unwrap_or_default();
        let upwards = decided(own).or_else(|| if own == (0, 0) { decided(near) } else { None });
        lane.known = upwards.is_some() || lane.slots.len() < 2;
        lane.taken = lane.known && lane.slots.len() > 1;
        if upwards == Some(false) {
            lane.slots.reverse();
        }
    }
}

fn decided(votes: (u32, u32)) -> Option<bool> {
    match votes {
        (1.., 0) => Some(true),
        (0, 1..) => Some(false),
        _ => None,
    }
}

/// Is the lowest number filled first?
fn direction(facts: &Facts<'_>, letters: Option<&[Option<usize>]>, slots: &[usize]) -> Option<bool> {
    if let Some(letters) = letters {
        let ranks: Vec<usize> = slots.iter().filter_map(|s| letters.get(*s).copied().flatten()).collect();
        if ranks.len() == slots.len() && ranks.len() > 1 {
            return ranks.is_sorted().then_some(true).or(ranks.iter().rev().is_sorted().then_some(false));
        }
    }
    let filled: Vec<bool> = slots.iter().map(|s| facts.filled.get(*s).copied().unwrap_or(false)).collect();
    let count = filled.iter().filter(|f| **f).count();
    if count == 0 || count == filled.len() {
        return None;
    }
    let first = filled.iter().take(count).all(|f| *f);
    let last = filled.iter().rev().take(count).all(|f| *f);
    match (first, last) {
        (true, false) => Some(true),
        (false, true) => Some(false),
        _ => None,
    }
}
