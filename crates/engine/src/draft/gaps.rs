//! Boards that name only what is filled: the report's order as a grid, held against the names that are there.

use super::columns::{Column, From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use super::readings::{Basis, Reading};
use super::sockets::{Ground, Parting};
use std::collections::BTreeMap;

/// The grid and the reading that it makes, where every name that is there fits into it.
pub fn grid(facts: &Facts<'_>) -> Option<(Parting, Reading)> {
    let (sockets, channels, slots) = (facts.sockets, facts.channels?, facts.len());
    let named: Vec<&Column> = facts.of(From::Name).filter(|c| !c.is_whole() && c.kind != Kind::Word).collect();
    if sockets == 0 || named.is_empty() || slots == 0 || !slots.is_multiple_of(sockets * channels) {
        return None;
    }
    let each = slots / (sockets * channels);
    let socket = |i: usize| i / (slots / sockets);
    let channel = |i: usize| i / each;
    let place = |i: usize| i % each;
    if each > 4 || !arrays_agree(facts, socket) {
        return None;
    }
    let (mut sure_channel, mut told) = (false, Vec::new());
    for column in &named {
        let seen: Vec<(usize, usize)> =
            column.ranks.iter().enumerate().filter_map(|(i, r)| r.map(|r| (i, r))).collect();
        let pairs = |of: &dyn Fn(usize) -> usize| seen.iter().map(|(i, r)| (of(*i), *r)).collect::<Vec<_>>();
        // A letter may restart in each socket, so it has to tell channels apart within one only.
        let channels_in = |s: usize| {
            one_to_one(
                &seen.iter().filter(|(i, _)| socket(*i) == s).map(|(i, r)| (channel(*i), *r)).collect::<Vec<_>>(),
            )
        };
        match column.role {
            Role::Socket => {
                if !one_to_one(&pairs(&socket)) {
                    return None;
                }
                told.push(column.words());
            }
            Role::Bank | Role::Node | Role::Controller => {}
            _ if column.count() > 1 && (0..sockets).all(channels_in) => {
                sure_channel = true;
                told.push(column.words());
            }
            _ if a_function(&pairs(&place)) => told.push(column.words()),
            _ => return None,
        }
    }
    if !sure_channel {
        return None;
    }
    let of = (0..slots).map(|i| Some(socket(i))).collect();
    let by = format!("the report's order cut into {sockets} sockets, to which the names that are there fit");
    let (agree, against) = (Vec::new(), Vec::new());
    let parting = Parting { of, ground: Ground::Inferred, by, agree, against, by_letter: false };
    let by = format!("the report lists {each} slots a channel side by side, to which {} fits", told.join(", "));
    let key = |i: usize| Some(vec![channel(i) % channels]);
    let mut reading = Reading::new(
        (0..slots).map(key).collect(),
        (0..slots).map(|i| Some(place(i))).collect(),
        Basis::Counting,
        From::Location,
        by,
    );
    reading.reasons.push(format!("{channels} channels a socket, as many as the processor has"));
    reading.doubts.push("empty slots have no name in this report".to_string());
    Some((parting, reading))
}

fn arrays_agree(facts: &Facts<'_>, socket: impl Fn(usize) -> usize) -> bool {
    let arrays: Vec<(usize, usize)> =
        facts.arrays.iter().enumerate().filter_map(|(i, a)| a.map(|a| (a, socket(i)))).collect();
    facts.array_count < facts.sockets || a_function(&arrays.iter().map(|(a, s)| (*a, *s)).collect::<Vec<_>>())
}

/// Does the first of each pair settle the second?
fn a_function(pairs: &[(usize, usize)]) -> bool {
    let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
    pairs.iter().all(|(a, b)| *seen.entry(*a).or_insert(*b) == *b)
}

fn one_to_one(pairs: &[(usize, usize)]) -> bool {
    let back: Vec<(usize, usize)> = pairs.iter().map(|(a, b)| (*b, *a)).collect();
    a_function(pairs) && a_function(&back)
}
