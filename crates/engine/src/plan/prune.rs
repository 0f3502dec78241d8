//! What the search may leave out without losing anything: sorts that another sort covers, and supports that clash.

use super::frame::{Content, Space, is_wrong};
use super::offers::Choice;
use crate::rules::Scope;
use domain::module::Module;
use domain::{DataRate, Severity, Watts};

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
                && draws_no_more(space, &choices, better, worse, slots)
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
        && x.logical_ranks() >= y.logical_ranks()
        && (!mode_sees_modules(space) || (x, a.ecc_bits) == (y, b.ecc_bits))
        && (!ranks_must_match(space) || (x.package_ranks, x.logical_ranks()) == (y.package_ranks, y.logical_ranks()))
        && (!charts_see_ranks(space) || x.package_ranks == y.package_ranks)
}

/// Does the mode demand that modules be like each other, or of a width or with ECC bits of its own?
fn mode_sees_modules(space: &Space) -> bool {
    let rule = space.need.board.mode(&space.need.mode);
    rule.is_some_and(|r| !r.alike.is_empty() || r.identical || r.width.is_some() || r.ecc_bits.is_some())
}

/// May a machine be wrong for the rank counts in it, or stop being so once it is full? No pair of sorts tells that.
fn ranks_must_match(space: &Space) -> bool {
    space.need.board.mixing.rank_counts.as_ref().is_some_and(|r| r.severity == Severity::Wrong)
}

/// Is there a chart for this mode that is only for modules of some rank count?
fn charts_see_ranks(space: &Space) -> bool {
    space.need.board.charts.iter().any(|c| c.mode == space.need.mode && c.ranks.is_some())
}

/// Can a machine with `better` in the place of `worse` not be the first of the two to draw more than the board allows?
///
/// Either it draws no more, or a machine full of the thirstiest of what goes with `worse` stays within the limit.
fn draws_no_more(space: &Space, choices: &[Choice], better: &Choice, worse: &Choice, slots: usize) -> bool {
    let Some(limit) = &space.need.board.limits.memory_watts else { return true };
    // Watts that no data gives count for nothing in the rule that says *wrong*.
    let watts = |m: &Module| m.watts.map_or(0, Watts::milliwatts);
    if limit.severity != Severity::Wrong || watts(&better.sample) <= watts(&worse.sample) {
        return true;
    }
    let beside = beside(space, choices, worse.sort as u16).map(|c| watts(&c.sample));
    let thirstiest = beside.fold(watts(&better.sample), u64::max);
    let fixed: u64 = space.base.slots.iter().flatten().map(|m| watts(m)).sum();
    fixed + thirstiest * slots as u64 <= limit.value.milliwatts()
}

/// What no rule of the whole machine refuses beside a sort; the sort itself is among it.
fn beside<'c>(space: &Space, choices: &'c [Choice], sort: u16) -> impl Iterator<Item = &'c Choice> {
    choices.iter().filter(move |c| {
        let other = c.sort as u16;
        !clash(space, &[sort.min(other), sort.max(other)])
    })
}

/// Is every channel and every pairing that takes `worse` at least as well off with `better` in its place?
fn stands_in(space: &Space, rate: DataRate, choices: &[Choice], better: u16, worse: u16) -> bool {
    // What is refused beside `worse` is in no build with it.
    let company: Vec<u16> = beside(space, choices, worse).map(|c| c.sort as u16).collect();
    let welcome = |c: &u16| !clash(space, &[better.min(*c), better.max(*c)]);
    company.iter().all(welcome)
        && space.frames.iter().all(|frame| {
            frame.classes.iter().zip(&frame.channels).all(|(class, slots)| {
                contents_with(&company, worse, slots.len()).into_iter().all(|sorts| {
                    let swap = |s: u16| if s == worse { better } else { s };
                    let mut swapped: Vec<u16> = sorts.iter().map(|s| swap(*s)).collect();
                    swapped.sort_unstable();
                    let news = space.contents(*class, &swapped);
                    space.contents(*class, &sorts).iter().filter(|old| old.limit >= rate.mts()).all(|old| {
                        let same_place =
                            |new: &Content| old.placed.iter().map(|p| p.map(swap)).eq(new.placed.iter().copied());
                        news.iter().any(|new| {
                            new.limit >= rate.mts()
                                && new.factor >= old.factor
                                && new.usable >= old.usable
                                && (!space.sees_positions || same_place(new))
                        })
                    })
                })
            })
        })
}

/// Every set of up to `most` modules with this sort in it and others of its company.
fn contents_with(company: &[u16], sort: u16, most: usize) -> Vec<Vec<u16>> {
    let mut found = vec![vec![sort]];
    let mut from = 0;
    for _ in 1..most {
        let end = found.len();
        for i in from..end {
            for other in company {
                let mut more = found[i].clone();
                more.push(*other);
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
