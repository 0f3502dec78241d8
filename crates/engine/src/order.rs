//! Which slots so many modules go into: the board's chart where it has one, else the general order of the trade.
//!
//! The general order (common practice, no source): first slots of all channels before any second slot, channels taken
//! so that the widest set serves the most memory; a RAS mode that wants more ranks fills a channel up first.

use crate::bandwidth;
use crate::interleave::SetTable;
use domain::board::{Board, Chart, CountVerdict, LocalSlot};
use domain::processor::Processor;
use domain::source::Mark;
use domain::{Mode, SlotIndex, SourceId};

/// What a fill rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Basis {
    /// The board's chart, with its word on the count.
    Chart { verdict: CountVerdict, why: Option<String>, source: SourceId, mark: Mark },
    /// The general order; `tied` says that another fill would do as well, so that only a chart could decide.
    General { tied: bool },
}

/// The slots for so many modules on one processor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fill {
    /// In filling order.
    pub slots: Vec<LocalSlot>,
    pub basis: Basis,
}

/// The chart that holds for a socket, a mode and modules of so many package ranks: the most particular one.
pub fn chart<'a>(board: &'a Board, mode: &Mode, socket: u8, ranks: Option<u8>) -> Option<&'a Chart> {
    board
        .charts
        .iter()
        .filter(|c| c.mode == *mode)
        .filter(|c| c.socket.is_none_or(|s| s == socket))
        .filter(|c| c.ranks.is_none() || c.ranks == ranks)
        .max_by_key(|c| (c.ranks.is_some(), c.socket.is_some()))
}

/// What the chart says of a count; `None` where it has no row and no order, or the order is too short.
pub fn chart_fill(chart: &Chart, count: u16) -> Option<Fill> {
    let basis = |verdict, why: &Option<String>| Basis::Chart {
        verdict,
        why: why.clone(),
        source: chart.source.clone(),
        mark: chart.mark,
    };
    if let Some(row) = chart.rows.iter().find(|r| r.count == count) {
        return Some(Fill { slots: row.slots.clone(), basis: basis(row.verdict, &row.why) });
    }
    if chart.closed {
        return Some(Fill { slots: Vec::new(), basis: basis(CountVerdict::NotSupported, &None) });
    }
    let slots = chart.order.get(..usize::from(count))?;
    Some(Fill { slots: slots.to_vec(), basis: basis(CountVerdict::Supported, &None) })
}

/// One way to spread a count over channels.
struct Spread {
    counts: Vec<u8>,
    share: f64,
    slowest: f64,
}

/// The slots for `count` like modules on one socket, in filling order; `None` where the slots do not suffice or no
/// spread meets the mode's demands.
pub fn fill(
    board: &Board,
    processor: &Processor,
    mode: &Mode,
    socket: u8,
    count: u16,
    ranks: Option<u8>,
) -> Option<Fill> {
    if let Some(fill) = chart(board, mode, socket, ranks).and_then(|c| chart_fill(c, count)) {
        return Some(fill);
    }
    general_fill(board, processor, mode, socket, count, ranks)
}

/// The general order's slots for a count, whatever the charts say.
pub fn general_fill(
    board: &Board,
    processor: &Processor,
    mode: &Mode,
    socket: u8,
    count: u16,
    ranks: Option<u8>,
) -> Option<Fill> {
    let shape: Vec<Vec<SlotIndex>> =
        board.sockets.get(usize::from(socket))?.channels().map(|(_, _, s)| s.to_vec()).collect();
    if count == 0 || usize::from(count) > shape.iter().map(Vec::len).sum() {
        return None;
    }
    let rule = board.mode(mode);
    let unit = rule.and_then(|r| r.ranks_least).map_or(1, |least| least.div_ceil(ranks.unwrap_or(least).max(1)));
    let alike: Vec<Vec<u8>> = rule.map(|r| r.alike.clone()).unwrap_or_default();
    let table = SetTable::new(processor);
    let mut best: Option<Spread> = None;
    let mut tied = false;
    for spread in spreads(&shape, count, unit, &alike) {
        let capacities: Vec<u64> = spread.iter().map(|n| u64::from(*n)).collect();
        let factors = vec![1.0; capacities.len()];
        let b = bandwidth::bounds(&table, &processor.bandwidth, &capacities, &factors);
        let (share, slowest) = (b.serial, b.slowest);
        let better = best
            .as_ref()
            .is_none_or(|s| share > s.share + 1e-9 || ((share - s.share).abs() <= 1e-9 && slowest > s.slowest + 1e-9));
        if better {
            tied = false;
            best = Some(Spread { counts: spread, share, slowest });
        } else if best.as_ref().is_some_and(|s| (share - s.share).abs() <= 1e-9 && (slowest - s.slowest).abs() <= 1e-9)
        {
            tied = true;
        }
    }
    let counts = best?.counts;
    let mut slots = Vec::new();
    for position in 0..shape.iter().map(Vec::len).max().unwrap_or(0) {
        for channel in channel_order(processor, shape.len()) {
            if position < usize::from(counts[channel])
                && let Some(index) = shape[channel].get(position)
            {
                slots.push(board.slot(*index).address.local());
            }
        }
    }
    if unit > 1 {
        slots.sort_by_key(|s| {
            let number =
                usize::from(s.controller) * usize::from(processor.channels_per_controller) + usize::from(s.channel);
            channel_order(processor, shape.len()).iter().position(|c| *c == number)
        });
    }
    Some(Fill { slots, basis: Basis::General { tied: tied && usize::from(count) % shape.len() != 0 } })
}

/// Channels in general order: the first of every controller, then the second of every controller …
fn channel_order(processor: &Processor, channels: usize) -> Vec<usize> {
    let per = usize::from(processor.channels_per_controller.max(1));
    let mut order: Vec<usize> = (0..channels).collect();
    order.sort_by_key(|c| (c % per, c / per));
    order
}

/// Every first-slots-first spread of a count: all filled channels hold `q` or, some, one more; the most channels that
/// the demands allow.
fn spreads(shape: &[Vec<SlotIndex>], count: u16, unit: u8, alike: &[Vec<u8>]) -> Vec<Vec<u8>> {
    let n = shape.len();
    let mut found = Vec::new();
    for used in (1..=n.min(usize::from(count))).rev() {
        each_subset(n, used, &mut |channels| {
            level(shape, channels, count, unit, &mut |counts| {
                let meets = alike.iter().all(|group| {
                    let mut of = group.iter().filter_map(|c| counts.get(usize::from(*c)));
                    let first = of.next();
                    of.all(|c| Some(c) == first)
                });
                if meets {
                    found.push(counts.to_vec());
                }
            });
        });
        if !found.is_empty() {
            break;
        }
    }
    found
}

/// Levels a count over the given channels, then hands out every choice of who gets one more.
fn level(shape: &[Vec<SlotIndex>], channels: &[usize], count: u16, unit: u8, each: &mut impl FnMut(&[u8])) {
    let mut counts = vec![0u8; shape.len()];
    let mut left = count;
    let mut step = u16::from(unit);
    loop {
        let open: Vec<usize> = channels
            .iter()
            .copied()
            .filter(|c| shape[*c].len() >= usize::from(counts[*c]) + usize::from(step as u8))
            .collect();
        if left == 0 {
            if channels.iter().all(|c| counts[*c] >= unit) {
                each(&counts);
            }
            return;
        }
        if open.is_empty() {
            return;
        }
        let need = open.len() as u16 * step;
        if left >= need {
            for c in &open {
                counts[*c] += step as u8;
            }
            left -= need;
            step = 1;
            continue;
        }
        if step > 1 {
            return;
        }
        each_subset(open.len(), usize::from(left), &mut |chosen| {
            let mut more = counts.clone();
            for i in chosen {
                more[open[*i]] += 1;
            }
            each(&more);
        });
        return;
    }
}

/// Every subset of `size` out of `0..n`, in lexicographic order.
fn each_subset(n: usize, size: usize, each: &mut impl FnMut(&[usize])) {
    if size > n {
        return;
    }
    let mut chosen: Vec<usize> = (0..size).collect();
    loop {
        each(&chosen);
        let Some(i) = (0..size).rev().find(|i| chosen[*i] < n - size + i) else {
            return;
        };
        chosen[i] += 1;
        for j in i + 1..size {
            chosen[j] = chosen[j - 1] + 1;
        }
    }
}

/// All slots of a board in general install order: the first step of every socket, then the second step of every one.
///
/// A socket's steps follow its chart's order where there is one, else the general order; later slots of a channel
/// come after first slots of all.
pub fn install_order(board: &Board, processors: &[Option<std::sync::Arc<Processor>>], mode: &Mode) -> Vec<SlotIndex> {
    let steps: Vec<Vec<SlotIndex>> = (0..board.sockets.len())
        .map(|s| socket_order(board, processors.get(s).and_then(|p| p.as_deref()), mode, s as u8))
        .collect();
    let longest = steps.iter().map(Vec::len).max().unwrap_or(0);
    (0..longest).flat_map(|i| steps.iter().filter_map(move |s| s.get(i).copied())).collect()
}

fn socket_order(board: &Board, processor: Option<&Processor>, mode: &Mode, socket: u8) -> Vec<SlotIndex> {
    let Some(shape) = board.sockets.get(usize::from(socket)) else {
        return Vec::new();
    };
    let mut order: Vec<SlotIndex> = chart(board, mode, socket, None)
        .map(|c| c.order.iter().filter_map(|l| board.slot_in(socket, *l)).collect())
        .unwrap_or_default();
    let channels: Vec<&[SlotIndex]> = shape.channels().map(|(_, _, s)| s).collect();
    let per = processor.map_or_else(
        || shape.controllers.first().map_or(1, Vec::len).max(1),
        |p| usize::from(p.channels_per_controller.max(1)),
    );
    let mut sequence: Vec<usize> = (0..channels.len()).collect();
    sequence.sort_by_key(|c| (c % per, c / per));
    for position in 0..channels.iter().map(|c| c.len()).max().unwrap_or(0) {
        for c in &sequence {
            if let Some(slot) = channels[*c].get(position)
                && !order.contains(slot)
            {
                order.push(*slot);
            }
        }
    }
    order
}
