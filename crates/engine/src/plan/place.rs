//! From a point of the front to a build: which of the alike channels, which units, and what moves.

use super::frame::{Content, Frame, Space};
use super::kinds::{Origin, Pick};
use super::offers::{Unit, UnitSource};
use super::search::Found;
use super::stay;
use crate::order;
use domain::{Build, Kind, Module, SlotIndex};
use std::rc::Rc;
use std::sync::Arc;

/// A build with where each of its modules comes from, and what is taken out.
pub struct Placed {
    pub build: Build,
    pub picks: Vec<Pick>,
    pub taken_out: Vec<(Option<SlotIndex>, Arc<Module>)>,
}

/// Places a point of the front: charts first, then the fewest moves that exchanges of alike channels allow, then install order.
pub fn place(space: &Space, found: &Found) -> Placed {
    let mut rooms: Vec<(usize, Vec<Rc<Content>>)> =
        found.rooms.iter().map(|(f, contents)| (*f, to_chart(space, &space.frames[*f], contents))).collect();
    if !space.need.installed.is_empty() {
        stay::arrange(space, &mut rooms);
    }
    fill(space, found, &rooms)
}

/// Spreads contents over alike channels so that the modules a channel match the chart, fullest first in install order.
fn to_chart(space: &Space, frame: &Frame, contents: &[Rc<Content>]) -> Vec<Rc<Content>> {
    let need = space.need;
    let count: usize = contents.iter().map(|c| c.sorts.len()).sum();
    let ranks =
        contents.iter().flat_map(|c| c.sorts.first()).next().map(|s| space.sample(*s).organisation.package_ranks);
    let per = usize::from(frame.processor.channels_per_controller);
    let fill = order::fill(&need.board, &frame.processor, &need.mode, frame.socket, count as u16, ranks);
    let slots = fill.map(|f| f.slots).unwrap_or_default();
    let number = |s: &domain::board::LocalSlot| usize::from(s.controller) * per + usize::from(s.channel);
    let wanted = |c: usize| slots.iter().filter(|s| number(s) == c).count();
    let first = |c: usize| slots.iter().position(|s| number(s) == c).unwrap_or(usize::MAX);
    let symmetry = &frame.symmetry;
    let mut placed: Vec<Rc<Content>> = contents.to_vec();
    // Inside each block, then whole blocks: the fullest contents go where the chart wants most.
    for block in &symmetry.blocks {
        for run in runs(&symmetry.like_last_inside) {
            let mut channels: Vec<usize> = run.clone().map(|i| block[i]).collect();
            let mut own: Vec<Rc<Content>> = channels.iter().map(|c| placed[*c].clone()).collect();
            own.sort_by_key(|c| std::cmp::Reverse((c.sorts.len(), c.mib)));
            channels.sort_by_key(|c| (std::cmp::Reverse(wanted(*c)), first(*c), *c));
            for (channel, content) in channels.into_iter().zip(own) {
                placed[channel] = content;
            }
        }
    }
    for run in runs(&symmetry.like_last_block) {
        let of = |b: &usize| symmetry.blocks[*b].iter().map(|c| placed[*c].clone()).collect::<Vec<_>>();
        let mut blocks: Vec<usize> = run.clone().collect();
        let mut own: Vec<Vec<Rc<Content>>> = blocks.iter().map(of).collect();
        own.sort_by_key(|b| {
            std::cmp::Reverse((b.iter().map(|c| c.sorts.len()).sum::<usize>(), b.iter().map(|c| c.mib).sum::<u64>()))
        });
        blocks.sort_by_key(|b| {
            let block = &symmetry.blocks[*b];
            let most: usize = block.iter().map(|c| wanted(*c)).sum();
            (std::cmp::Reverse(most), block.iter().map(|c| first(*c)).min(), *b)
        });
        for (b, contents) in blocks.into_iter().zip(own) {
            for (channel, content) in symmetry.blocks[b].iter().zip(contents) {
                placed[*channel] = content;
            }
        }
    }
    placed
}

/// Runs of things that are each like the one before.
pub(super) fn runs(like_last: &[bool]) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut start = 0;
    for end in 1..=like_last.len() {
        if end == like_last.len() || !like_last[end] {
            found.push(start..end);
            start = end;
        }
    }
    found
}

/// The sort that rooms put into a slot.
fn sort_at(space: &Space, rooms: &[(usize, Vec<Rc<Content>>)], slot: SlotIndex) -> Option<u16> {
    rooms.iter().find_map(|(f, contents)| {
        space.frames[*f].channels.iter().zip(contents).find_map(|(slots, content)| {
            let position = slots.iter().position(|s| *s == slot)?;
            content.placed.get(position).copied().flatten()
        })
    })
}

/// Gives every slot its unit: what stays first, then what moves, then what is bought, in install order.
fn fill(space: &Space, found: &Found, rooms: &[(usize, Vec<Rc<Content>>)]) -> Placed {
    let need = space.need;
    let mut build = space.base.clone();
    let mut picks: Vec<Pick> = Vec::new();
    let order = order::install_order(&need.board, &need.processors, &need.mode);
    let mut left: Vec<(usize, Vec<Unit>)> = Vec::new();
    for (sort, units) in &found.units {
        let bought: Vec<Unit> = units.iter().filter(|u| u.bought()).cloned().collect();
        // Any installed unit may serve: those that can stay come first.
        let mut installed: Vec<Unit> =
            space.sorts[*sort].units.iter().filter(|u| !u.bought() && u.module.rate >= found.rate).cloned().collect();
        installed.sort_by_key(|u| match u.source {
            UnitSource::Installed(Some(slot)) => sort_at(space, rooms, slot) != Some(*sort as u16),
            _ => true,
        });
        installed.truncate(units.len() - bought.len());
        left.push((*sort, installed.into_iter().chain(bought).collect()));
    }
    for stays in [true, false] {
        for slot in &order {
            let Some(sort) = sort_at(space, rooms, *slot) else {
                continue;
            };
            if build.slots[slot.at()].is_some() {
                continue;
            }
            let Some((_, units)) = left.iter_mut().find(|(s, _)| *s == usize::from(sort)) else {
                continue;
            };
            let own = UnitSource::Installed(Some(*slot));
            let place =
                if stays { units.iter().position(|u| u.source == own) } else { (!units.is_empty()).then_some(0) };
            let Some(place) = place else { continue };
            let unit = units.remove(place);
            let origin = match unit.source {
                UnitSource::Installed(Some(from)) if from == *slot => Origin::Stays,
                UnitSource::Installed(from) => Origin::Moves(from),
                UnitSource::Lot(lot) => Origin::Lot(lot),
            };
            build.slots[slot.at()] = Some(unit.module.clone());
            picks.push(Pick { slot: *slot, origin, condition: unit.condition, each: unit.each });
        }
    }
    picks.sort_by_key(|p| p.slot);
    let taken_out = taken_out(space, &build, &picks);
    Placed { build, picks, taken_out }
}

fn taken_out(space: &Space, build: &Build, picks: &[Pick]) -> Vec<(Option<SlotIndex>, Arc<Module>)> {
    let need = space.need;
    let used = |slot: SlotIndex| {
        picks.iter().any(|p| match p.origin {
            Origin::Stays => p.slot == slot,
            Origin::Moves(from) => from == Some(slot),
            Origin::Lot(_) => false,
        })
    };
    let mut out: Vec<(Option<SlotIndex>, Arc<Module>)> = need
        .installed
        .iter()
        .filter(|(slot, module)| module.kind != Kind::Nonvolatile && !used(*slot))
        .map(|(slot, module)| (Some(*slot), module.clone()))
        .collect();
    let mut loose: Vec<Arc<Module>> = need.loose.clone();
    for pick in picks.iter().filter(|p| p.origin == Origin::Moves(None)) {
        let module = build.slots[pick.slot.at()].as_ref();
        if let Some(place) = loose.iter().position(|m| Some(m) == module) {
            loose.remove(place);
        }
    }
    out.extend(loose.into_iter().map(|m| (None, m)));
    out
}
