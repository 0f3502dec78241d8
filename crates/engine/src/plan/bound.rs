//! How much bandwidth counts of modules could have at most, before any arrangement is looked at.
//!
//! A socket's serial time is at least (H + C / k) / f: C its capacity, H the summed heights of its regions, f the best
//! factor. H is at least the fullest channel, and at least C over the widest set that the modules can fill.

use super::frame::Frame;
use super::socket::Support;
use super::ways::{cell, split};
use crate::bandwidth;
use std::collections::HashMap;

/// Cells of a grid of totals whose bounds are kept as a list at most.
const LISTED_MOST: usize = 1 << 20;

/// Counts of a socket that may be of use, by their place in the grid of totals.
#[derive(Debug, Default)]
pub struct Useful {
    /// `None`: all may be.
    pub cells: Option<std::collections::HashSet<usize>>,
    /// The most units of each sort that are of use and, behind them, the most in all.
    pub most: Vec<usize>,
}

/// The most bandwidth (MB/s) that so many modules could have on all sockets, whatever they are.
pub fn ceiling(support: &Support) -> Vec<u64> {
    let frames = &support.space.frames;
    let share = |frame: &Frame, n: usize| {
        let width = n.min(frame.channels.len()) as f64;
        mbs(support, frame, width, best_factor(support, frame, usize::MAX))
    };
    let mut given = vec![0usize; frames.len()];
    let mut sums = vec![frames.iter().map(|f| share(f, 0)).sum::<u64>()];
    for _ in 0..support.space.slots() {
        let gain = |f: usize| share(&frames[f], given[f] + 1) - share(&frames[f], given[f]);
        let best = (0..frames.len()).max_by_key(|f| gain(*f)).unwrap_or(0);
        let more = sums[sums.len() - 1] + gain(best);
        given[best] += 1;
        sums.push(more);
    }
    sums
}

fn mbs(support: &Support, frame: &Frame, width: f64, factor: f64) -> u64 {
    let model = &frame.processor.bandwidth;
    let share = bandwidth::width_share(model, width, frame.table.channels() as f64) * factor * (1.0 + 1e-9);
    bandwidth::sustained(&frame.processor, support.rate, share).mbs() + 1
}

/// The best factor of any content of at most so many modules.
fn best_factor(support: &Support, frame: &Frame, modules: usize) -> f64 {
    let contents = frame.classes.iter().flat_map(|c| support.alphabets[c].contents.iter());
    contents.filter(|c| !c.sorts.is_empty() && c.sorts.len() <= modules).map(|c| c.factor).fold(0.0, f64::max)
}

/// Bounds of one socket by counts, worked out once each.
pub struct SocketBound<'s, 'a> {
    support: &'s Support<'a>,
    frame: &'s Frame,
    /// Sorts of the support, largest capacity first.
    order: Vec<usize>,
    single: f64,
    any: f64,
    known: HashMap<usize, u64>,
    /// The same for grids that are small enough to be kept as a list; `u64::MAX` is not worked out.
    listed: Vec<u64>,
}

impl<'s, 'a> SocketBound<'s, 'a> {
    /// For one socket of a support.
    pub fn new(support: &'s Support<'a>, frame: &'s Frame) -> Self {
        let mut order: Vec<usize> = (0..support.choices.len()).collect();
        order.sort_by_key(|t| std::cmp::Reverse(support.choices[*t].sample.capacity));
        let (single, any) = (best_factor(support, frame, 1), best_factor(support, frame, usize::MAX));
        let cells = support.choices.iter().fold(1usize, |size, c| size.saturating_mul(c.most() + 1));
        let listed = if cells <= LISTED_MOST { vec![u64::MAX; cells] } else { Vec::new() };
        Self { support, frame, order, single, any, known: HashMap::new(), listed }
    }

    /// The most bandwidth (MB/s) that these counts, which lie at this place in the grid of totals, could have.
    pub fn of(&mut self, cell: usize, counts: &[usize]) -> u64 {
        if let Some(known) = self.listed.get(cell) {
            if *known != u64::MAX {
                return *known;
            }
            let bound = self.work_out(counts);
            self.listed[cell] = bound;
            return bound;
        }
        if let Some(known) = self.known.get(&cell) {
            return *known;
        }
        let bound = self.work_out(counts);
        self.known.insert(cell, bound);
        bound
    }

    fn work_out(&self, counts: &[usize]) -> u64 {
        let n: usize = counts.iter().sum();
        if n == 0 {
            return 0;
        }
        let channels = self.frame.channels.len();
        let mib = |t: usize| self.support.choices[t].sample.capacity.mib();
        let total: u64 = counts.iter().enumerate().map(|(t, c)| mib(t) * *c as u64).sum();
        // The i-th largest module, from 1.
        let nth = |i: usize| {
            let mut left = i;
            for t in &self.order {
                if counts[*t] >= left {
                    return mib(*t);
                }
                left -= counts[*t];
            }
            0
        };
        let reach = |width: usize, fullest: u64| {
            let widest = self.frame.table.widest(width.min(channels)).max(1);
            (total as f64 / fullest as f64).min(widest as f64)
        };
        let mut best = 0;
        if n <= channels {
            best = mbs(self.support, self.frame, reach(n, nth(1)), self.single);
        }
        if n > 1 {
            // Some channel holds two at least.
            let mut fullest = nth(1).max(nth(n) + nth(n - 1));
            if n > channels {
                fullest = fullest.max(nth(channels) + nth(channels + 1));
            }
            if n > 2 * channels {
                fullest = fullest.max(3 * nth(2 * channels + 1));
            }
            best = best.max(mbs(self.support, self.frame, reach(n.min(channels), fullest), self.any));
        }
        best
    }
}

/// Keeps of the totals those that could stand beside the front at the bound of their best split, and tells which
/// counts of each socket take part in any such split. Works for one and two sockets; others keep all.
pub fn refine(
    support: &Support,
    live: &mut Vec<(usize, Vec<usize>)>,
    mut stands: impl FnMut(&[usize], u64) -> bool,
) -> Vec<Useful> {
    let frames = &support.space.frames;
    let size = support.choices.len();
    let whole = |live: &[(usize, Vec<usize>)]| {
        let mut most = vec![0usize; size + 1];
        for (_, totals) in live {
            most.iter_mut().zip(totals).for_each(|(m, t)| *m = (*m).max(*t));
            most[size] = most[size].max(totals.iter().sum());
        }
        Useful { cells: None, most }
    };
    if frames.len() > 2 {
        return frames.iter().map(|_| whole(live)).collect();
    }
    let mut bounds: Vec<SocketBound> = frames.iter().map(|f| SocketBound::new(support, f)).collect();
    let mut useful: Vec<Useful> =
        frames.iter().map(|_| Useful { cells: Some(Default::default()), most: vec![0; size + 1] }).collect();
    let mut ways: Vec<(u64, usize)> = Vec::new();
    let mut rest: Vec<usize> = Vec::new();
    live.retain(|(whole, totals)| {
        ways.clear();
        if frames.len() == 1 {
            ways.push((bounds[0].of(*whole, totals), *whole));
        } else {
            let modules: usize = totals.iter().sum();
            each_part(totals, &mut |part| {
                let own: usize = part.iter().sum();
                if own <= frames[0].slots && modules - own <= frames[1].slots {
                    rest.clear();
                    rest.extend(totals.iter().zip(part).map(|(t, p)| t - p));
                    let at = cell(support, part);
                    ways.push((bounds[0].of(at, part) + bounds[1].of(whole - at, &rest), at));
                }
            });
        }
        ways.sort_by_key(|w| std::cmp::Reverse(w.0));
        let mut any = false;
        let mut last = None;
        for (bound, at) in &ways {
            if last != Some(*bound) && !stands(totals, *bound) {
                break;
            }
            last = Some(*bound);
            any = true;
            note(support, &mut useful[0], *at);
            if frames.len() == 2 {
                note(support, &mut useful[1], whole - at);
            }
        }
        any
    });
    // Alike sockets share one table: what is of use to either is of use to it.
    if frames.len() == 2 && frames[1].like == 0 {
        let other = useful.remove(1);
        if let (Some(own), Some(more)) = (&mut useful[0].cells, other.cells) {
            own.extend(more);
        }
        useful[0].most.iter_mut().zip(other.most).for_each(|(m, o)| *m = (*m).max(o));
        useful.push(Useful::default());
    }
    useful
}

fn note(support: &Support, useful: &mut Useful, at: usize) {
    if let Some(cells) = &mut useful.cells
        && !cells.insert(at)
    {
        return;
    }
    let counts = split(support, at);
    useful.most.iter_mut().zip(&counts).for_each(|(m, c)| *m = (*m).max(*c));
    let n = counts.len();
    useful.most[n] = useful.most[n].max(counts.iter().sum());
}

fn each_part(totals: &[usize], each: &mut impl FnMut(&[usize])) {
    let mut part = vec![0usize; totals.len()];
    loop {
        each(&part);
        let Some(i) = (0..totals.len()).find(|i| part[*i] < totals[*i]) else { return };
        part[..i].iter_mut().for_each(|p| *p = 0);
        part[i] += 1;
    }
}
