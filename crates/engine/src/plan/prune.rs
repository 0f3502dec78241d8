//! What the search may leave out without losing anything: sorts that another sort covers, and supports that clash.

use super::frame::{Space, is_wrong};
use super::offers::Choice;
use crate::power;
use crate::rules::Scope;
use domain::DataRate;
use domain::module::Module;

/// Does a rule of the whole machine refuse these sorts together, however they are arranged?
///
/// Only rules that, once they say *wrong*, keep saying so are asked; one module of each sort is enough for them.
pub fn clash(space: &Space, sorts: &[u16]) -> bool {
    let mut build = space.base.clone();
    let firsts = space.frames.iter().flat_map(|f| f.channels.iter());
    let open = firsts.flat_map(|slots| slots.iter().find(|i| space.base.slots[i.at()].is_none()));
    for (slot, sort) in open.zip(sorts) {
        build.slots[slot.at()] = Some(space.sample(*sort).clone());
    }
    is_wrong(&build, |scope, monotone| scope == Scope::Machine && monotone)
}

/// Drops each sort that another covers: as large, as cheap in any number, and no worse in any channel.
pub fn drop_covered(space: &Space, rate: DataRate, choices: Vec<Choice>, slots: usize) -> Vec<Choice> {
    let mut dropped = vec![false; choices.len()];
    for (b, worse) in choices.iter().enumerate() {
        dropped[b] = choices.iter().enumerate().any(|(a, better)| {
            a != b
                && !dropped[a]
                && cheaper(better, worse, slots)
                && alike(space, &better.sample, &worse.sample)
                && stands_in(space, rate, &choices, better.sort as u16, worse.sort as u16)
        });
    }
    choices.into_iter().zip(dropped).filter(|(_, d)| !d).map(|(c, _)| c).collect()
}

/// Can as many as ever needed be had, none dearer than the cheapest of the other?
fn cheaper(better: &Choice, worse: &Choice, slots: usize) -> bool {
    let dearest = better.units.iter().map(|u| u.each.minor()).max();
    let cheapest = worse.units.iter().map(|u| u.each.minor()).min();
    worse.installed == 0 && better.units.len() >= slots && dearest <= cheapest
}

/// The same in what rules of a socket or of a mode look at.
fn alike(space: &Space, a: &Module, b: &Module) -> bool {
    let (x, y) = (a.organisation, b.organisation);
    a.capacity == b.capacity
        && a.kind == b.kind
        && x.stack == y.stack
        && x.logical_ranks() >= y.logical_ranks()
        && (space.need.mode.is_independent() || x.width == y.width)
        && (space.need.board.limits.memory_watts.is_none() || power::module(a).0 <= power::module(b).0)
}

/// Is every channel and every pairing that takes `worse` at least as well off with `better` in its place?
fn stands_in(space: &Space, rate: DataRate, choices: &[Choice], better: u16, worse: u16) -> bool {
    let pairs = choices.iter().all(|c| {
        let other = c.sort as u16;
        let pair = |a: u16| if a < other { [a, other] } else { [other, a] };
        clash(space, &pair(worse)) || !clash(space, &pair(better))
    });
    pairs
        && space.frames.iter().all(|frame| {
            frame.classes.iter().zip(&frame.channels).all(|(class, slots)| {
                contents_with(choices, worse, slots.len()).into_iter().all(|sorts| {
                    let Some(old) = space.content(*class, &sorts).filter(|c| c.limit >= rate.mts()) else {
                        return true;
                    };
                    let mut swapped: Vec<u16> = sorts.iter().map(|s| if *s == worse { better } else { *s }).collect();
                    swapped.sort_unstable();
                    space.content(*class, &swapped).is_some_and(|new| {
                        new.limit >= rate.mts() && new.factor >= old.factor && new.usable >= old.usable
                    })
                })
            })
        })
}

/// Every set of up to `most` modules with this sort in it.
fn contents_with(choices: &[Choice], sort: u16, most: usize) -> Vec<Vec<u16>> {
    let mut found = vec![vec![sort]];
    let mut from = 0;
    for _ in 1..most {
        let end = found.len();
        for i in from..end {
            for choice in choices {
                let mut more = found[i].clone();
                more.push(choice.sort as u16);
                more.sort_unstable();
                if !found.contains(&more) {
                    found.push(more);
                }
            }
        }
        from = end;
    }
    found
}
