//! Each reading held against what else the report tells: counts, order, arrays, nodes, what is filled.

use super::columns::{From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use super::readings::{Basis, Places, Reading};
use super::running::{by_socket, filling_letters};
use super::sockets::Parting;
use std::collections::{BTreeMap, BTreeSet};

// Weights: our own judgement, set so that a word outweighs shapes, counts outweigh habits, and what is filled decides last.
const WORD: i32 = 100;
const NAME_FIRST: i32 = 5;
const FIRST_OF_PAIR: i32 = 20;
const SECOND_OF_PAIR: i32 = 8;
const LETTER_BEFORE_NUMBER: i32 = 15;
const LARGER_SET: i32 = 15;
const COUNT_FITS: i32 = 30;
const COUNT_SHORT: i32 = -10;
const COUNT_OVER: i32 = -60;
const SIDE_BY_SIDE: i32 = 25;
const TORN: i32 = -40;
const NODE_IS_CHANNEL: i32 = 30;
const BANK_IS_CHANNEL: i32 = 20;
const FILLED: i32 = 12;
const INTERLEAVED: i32 = -15;
const LETTERS: i32 = 30;
const HABIT: i32 = 20;
const ORDER: i32 = 30;

/// Weighs them, puts readings that come to the same together, best first.
pub fn weigh(facts: &Facts<'_>, parting: &Parting, mut readings: Vec<Reading>) -> Vec<Reading> {
    readings.iter_mut().for_each(|r| one(facts, parting, r));
    readings.retain(|r| r.score > i32::MIN);
    readings.sort_by_key(|r| std::cmp::Reverse(r.score));
    let mut merged: Vec<Reading> = Vec::new();
    for reading in readings {
        match merged.iter_mut().find(|m| m.same_channels(&reading, parting)) {
            Some(known) => {
                known.score += 10;
                known.reasons.push(format!("so says too: {}", reading.by));
                if known.places == Places::Along && reading.places == Places::Told {
                    known.places = Places::Told;
                    known.position = reading.position;
                }
            }
            None => merged.push(reading),
        }
    }
    merged.sort_by_key(|r| std::cmp::Reverse(r.score));
    merged
}

fn one(facts: &Facts<'_>, parting: &Parting, reading: &mut Reading) {
    let mut score = basis(facts, parting, reading);
    let widths = reading.widths(parting);
    let most = widths.iter().copied().max().unwrap_or(0);
    if let Some(channels) = facts.channels {
        if most > channels && reading.basis != Basis::Word {
            reading.score = i32::MIN;
            return;
        }
        score += match most.cmp(&channels) {
            std::cmp::Ordering::Equal => COUNT_FITS,
            std::cmp::Ordering::Less => COUNT_SHORT,
            std::cmp::Ordering::Greater => COUNT_OVER,
        };
        if most == channels {
            reading.reasons.push(format!("{channels} channels a socket, as many as the processor has"));
        } else {
            reading.doubts.push(format!("{most} channels a socket, where the processor has {channels}"));
        }
    }
    let groups = reading.groups(parting);
    if reading.basis != Basis::Counting && side_by_side(&groups) == Some(true) {
        score += SIDE_BY_SIDE;
        reading.reasons.push("the report lists the slots of each channel side by side".to_string());
    }
    if torn(&groups, &facts.arrays) {
        score += TORN;
        reading.doubts.push("slots of one channel lie in two memory arrays (type 16)".to_string());
    }
    for node in facts.columns.iter().filter(|c| c.role == Role::Node && c.is_whole() && c.varies_within(&parting.of)) {
        if torn(&groups, &node.ranks) {
            score += TORN;
            reading.doubts.push("slots of one channel lie in two nodes".to_string());
        } else if !torn(&node.ranks, &groups) {
            score += NODE_IS_CHANNEL;
            reading.reasons.push("each channel is a node of its own".to_string());
        }
    }
    let banks = facts.of(From::Bank).filter(|c| c.role == Role::Unsaid && c.is_whole() && c.varies_within(&parting.of));
    for bank in banks {
        let within: Vec<Option<usize>> =
            parting.of.iter().zip(&bank.ranks).map(|(s, r)| s.zip(*r).map(|(s, r)| s * bank.count() + r)).collect();
        if !torn(&groups, &within) && !torn(&within, &groups) && groups.len() > within.iter().flatten().count() / 2 {
            score += BANK_IS_CHANNEL;
            reading.reasons.push("the bank locators put the same slots together".to_string());
        }
    }
    match filled(facts, parting, reading) {
        Some(true) => {
            score += FILLED;
            reading.reasons.push("the modules lie evenly over these channels".to_string());
        }
        Some(false) => {
            score -= FILLED;
            reading.doubts.push("the modules would lie unevenly over these channels".to_string());
        }
        None => {}
    }
    if interleaved(facts, &groups) {
        score += INTERLEAVED;
        reading.doubts.push("the report interleaves slots of one channel (type 20)".to_string());
    }
    reading.score = score;
}

fn basis(facts: &Facts<'_>, parting: &Parting, reading: &mut Reading) -> i32 {
    match reading.basis {
        Basis::Word => WORD + if reading.from == From::Bank { 0 } else { NAME_FIRST },
        Basis::Shape => {
            let used: Vec<usize> = reading.used.clone();
            let in_order = match used.as_slice() {
                [.., channel, place] => channel < place,
                _ => true,
            };
            let order = if in_order { FIRST_OF_PAIR } else { SECOND_OF_PAIR };
            let letter = if in_order && letter_before_number(facts, reading) { LETTER_BEFORE_NUMBER } else { 0 };
            let larger = if facts.channels.is_none() { larger_set(parting, reading) } else { 0 };
            order + letter + larger
        }
        Basis::Counting => counting(facts, parting, reading),
    }
}

/// Is the pair of the channel and the place on it written as a letter with a number behind it: `A1`?
pub fn letter_before_number(facts: &Facts<'_>, reading: &Reading) -> bool {
    let [.., one, other] = reading.used.as_slice() else { return false };
    let kind = |at: &usize| facts.columns.get(*at).map(|c| (c.from, c.kind));
    let pair = (kind(one.min(other)), kind(one.max(other)));
    pair == (Some((From::Name, Kind::Letter)), Some((From::Name, Kind::Number)))
}

/// More channels than slots on one, as nearly all boards have them (common practice, no source).
fn larger_set(parting: &Parting, reading: &Reading) -> i32 {
    let channels = reading.widths(parting).into_iter().max().unwrap_or(0);
    let places = reading.position.iter().flatten().collect::<BTreeSet<_>>().len();
    match channels.cmp(&places) {
        std::cmp::Ordering::Greater => LARGER_SET,
        std::cmp::Ordering::Equal => 0,
        std::cmp::Ordering::Less => -LARGER_SET,
    }
}

/// How numbers run: the habits of naming (common practice, no source).
fn counting(facts: &Facts<'_>, parting: &Parting, reading: &mut Reading) -> i32 {
    let along = reading.places == Places::Along;
    let mut score = match (reading.from, along, parting.by_letter) {
        (From::Location, _, _) => ORDER,
        (_, false, true) | (_, true, false) => HABIT,
        _ => 0,
    };
    let letters = filling_letters(facts, parting);
    if let (Some(letters), Some(channels)) = (letters, facts.channels) {
        let cycle: Vec<Option<usize>> = parting
            .of
            .iter()
            .zip(&letters)
            .map(|(socket, rank)| socket.zip(*rank).map(|(s, r)| s * channels + r % channels))
            .collect();
        let groups = reading.groups(parting);
        if !torn(&cycle, &groups) && !torn(&groups, &cycle) {
            score += LETTERS;
            reading.reasons.push("the letters give the order of filling, channel after channel".to_string());
        }
    }
    score
}

/// Are the members of each group neighbours in the report? `None` where no group has two.
fn side_by_side(groups: &[Option<usize>]) -> Option<bool> {
    let mut closed = BTreeSet::new();
    let mut last = None;
    let mut pairs = false;
    for group in groups.iter().flatten() {
        if last == Some(*group) {
            pairs = true;
        } else if closed.contains(group) {
            return Some(false);
        }
        closed.insert(*group);
        last = Some(*group);
    }
    pairs.then_some(true)
}

/// Do members of one group differ in the other parting?
fn torn(groups: &[Option<usize>], other: &[Option<usize>]) -> bool {
    let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
    let pairs = groups.iter().zip(other).filter_map(|(g, o)| Some(((*g)?, (*o)?)));
    let mut torn = false;
    for (group, other) in pairs {
        torn |= *seen.entry(group).or_insert(other) != other;
    }
    torn
}

/// Do modules lie evenly over the channels of each socket? `None` where what is filled cannot tell.
pub fn filled(facts: &Facts<'_>, parting: &Parting, reading: &Reading) -> Option<bool> {
    let groups = reading.groups(parting);
    let mut told = None;
    for slots in by_socket(parting).values() {
        let mut counts: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
        for slot in slots {
            let Some(group) = groups.get(*slot).copied().flatten() else { continue };
            let count = counts.entry(group).or_default();
            count.0 += usize::from(facts.filled.get(*slot).copied().unwrap_or(false));
            count.1 += 1;
        }
        let modules: usize = counts.values().map(|c| c.0).sum();
        if modules < 2 || modules == slots.len() || counts.values().all(|c| c.1 == 1) {
            continue;
        }
        match evenness(counts.values().copied(), modules) {
            Some(false) => return Some(false),
            told_here => told = told.or(told_here),
        }
    }
    told
}

/// As many modules in each channel as can be; or, where they cannot be spread evenly, as many in each channel in use.
fn evenness(counts: impl Iterator<Item = (usize, usize)>, modules: usize) -> Option<bool> {
    let counts: Vec<(usize, usize)> = counts.collect();
    let most = counts.iter().map(|c| c.0).max().unwrap_or(0);
    // A channel that is full may hold less than another: uneven boards.
    let least = counts.iter().filter(|c| c.0 < c.1).map(|c| c.0).min().unwrap_or(most);
    let used = counts.iter().filter(|c| c.0 > 0);
    let level = used.clone().all(|c| c.0 == most || c.0 == c.1);
    if modules <= counts.len() || modules.is_multiple_of(counts.len()) {
        return Some(most <= least.max(1) && most <= modules.div_ceil(counts.len()));
    }
    if level {
        return Some(true);
    }
    (most > least + 1).then_some(false)
}

/// Do two slots of one channel have different places in one interleave set?
fn interleaved(facts: &Facts<'_>, groups: &[Option<usize>]) -> bool {
    let ranks: Vec<Option<usize>> = facts.interleave.iter().map(|p| p.map(usize::from)).collect();
    torn(groups, &ranks)
}

/// The least margin by which the best reading must lead for `likely`.
pub const CLEAR: i32 = 8;
