//! All arrangements of one socket worth having: for each count of each sort, the best bandwidth.

use super::bound::Useful;
use super::frame::{Content, Frame, Space, is_wrong};
use super::offers::Choice;
use crate::bandwidth;
use crate::interleave::CHANNELS_MOST;
use crate::order;
use crate::rules::Scope;
use domain::DataRate;
use domain::board::Usable;
use std::collections::{HashMap, HashSet};
use std::rc::Rc;

/// What one channel of each class can hold, out of a few sorts. The first is empty.
pub struct Alphabet {
    pub contents: Vec<Rc<Content>>,
    /// Units of each sort of the support.
    counts: Vec<Vec<u8>>,
}

/// One arrangement of one socket.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Place in the dense grid of totals.
    pub at: usize,
    pub counts: Vec<u8>,
    /// The counts as one number.
    pub packed: u128,
    pub usable: u64,
    pub mbs: u64,
    /// Content of each channel, as a place in the alphabet of its class.
    pub rooms: Vec<u16>,
    on_chart: bool,
    slowest: f64,
}

/// All arrangements of one socket worth having.
pub struct Table {
    pub entries: Vec<Entry>,
    /// Was every arrangement looked at?
    pub complete: bool,
    pub looked_at: u64,
}

/// One support in one class of rate, with its grid of totals.
pub struct Support<'a> {
    pub space: &'a Space<'a>,
    pub rate: DataRate,
    pub choices: Vec<&'a Choice>,
    /// Steps of the grid, one a sort.
    pub strides: Vec<usize>,
    pub alphabets: HashMap<usize, Rc<Alphabet>>,
}

impl<'a> Support<'a> {
    /// Works out what the channels can hold.
    pub fn new(space: &'a Space<'a>, rate: DataRate, choices: Vec<&'a Choice>) -> Self {
        let mut strides = Vec::new();
        let mut size = 1usize;
        for choice in &choices {
            strides.push(size);
            size = size.saturating_mul(choice.most() + 1);
        }
        let mut alphabets = HashMap::new();
        for frame in &space.frames {
            for (c, class) in frame.classes.iter().enumerate() {
                if !alphabets.contains_key(class) {
                    let open = frame.channels[c].len();
                    alphabets.insert(*class, Rc::new(alphabet(space, rate, &choices, *class, open)));
                }
            }
        }
        Self { space, rate, choices, strides, alphabets }
    }

    /// Looks at every arrangement of a socket that symmetry leaves apart, at most `budget` of them.
    ///
    /// Only counts that are of use are kept.
    pub fn table(&self, frame: &Frame, useful: &Useful, budget: u64) -> Table {
        let blocks = frame.symmetry.blocks.iter().enumerate();
        let sequence = blocks.flat_map(|(b, block)| block.iter().enumerate().map(move |(i, c)| (b, i, *c))).collect();
        self.walk(frame, sequence, useful, budget, false)
    }

    /// Every valid arrangement of a socket, not only the best of each count.
    pub fn every(&self, frame: &Frame, budget: u64) -> Table {
        let mut most: Vec<usize> = self.choices.iter().map(|c| c.most()).collect();
        most.push(frame.slots);
        let useful = Useful { cells: None, most };
        self.walk(frame, (0..frame.channels.len()).map(|c| (0, c, c)).collect(), &useful, budget, true)
    }

    fn walk(
        &self,
        frame: &Frame,
        sequence: Vec<(usize, usize, usize)>,
        useful: &Useful,
        budget: u64,
        keep_every: bool,
    ) -> Table {
        let board = &self.space.need.board;
        let mut walk = Walk {
            support: self,
            frame,
            sequence,
            rooms: vec![0; frame.channels.len()],
            counts: vec![0; self.choices.len()],
            capacities: [0; CHANNELS_MOST],
            factors: [1.0; CHANNELS_MOST],
            usable_channels: 0,
            usable: crate::usable::rule(&crate::scene::Scene::new(&self.space.base)),
            charted: board.charts.iter().any(|c| c.mode == self.space.need.mode),
            chart: HashMap::new(),
            dead: HashSet::new(),
            known: HashMap::new(),
            table: Table { entries: Vec::new(), complete: true, looked_at: 0 },
            useful,
            budget,
            keep_every,
        };
        walk.step(0, true);
        walk.table
    }

    /// The contents of each channel that an entry stands for.
    pub fn contents(&self, frame: &Frame, entry: &Entry) -> Vec<Rc<Content>> {
        entry
            .rooms
            .iter()
            .enumerate()
            .map(|(c, room)| self.alphabets[&frame.classes[c]].contents[usize::from(*room)].clone())
            .collect()
    }
}

fn alphabet(space: &Space, rate: DataRate, choices: &[&Choice], class: usize, open: usize) -> Alphabet {
    let mut contents = Vec::new();
    let mut counts = Vec::new();
    let mut stack: Vec<(Vec<u16>, usize)> = vec![(Vec::new(), 0)];
    while let Some((sorts, from)) = stack.pop() {
        for content in space.contents(class, &sorts).iter().filter(|c| c.limit >= rate.mts()) {
            counts.push(
                choices.iter().map(|c| sorts.iter().filter(|s| usize::from(**s) == c.sort).count() as u8).collect(),
            );
            contents.push(content.clone());
        }
        if sorts.len() < open {
            for (i, choice) in choices.iter().enumerate().skip(from) {
                let mut more = sorts.clone();
                more.push(choice.sort as u16);
                stack.push((more, i));
            }
        }
    }
    let mut paired: Vec<(Rc<Content>, Vec<u8>)> = contents.into_iter().zip(counts).collect();
    // Stable: placings of the same sorts stay in their order.
    paired.sort_by(|a, b| (a.0.sorts.len(), a.0.mib, &a.0.sorts).cmp(&(b.0.sorts.len(), b.0.mib, &b.0.sorts)));
    let (contents, counts) = paired.into_iter().unzip();
    Alphabet { contents, counts }
}

struct Walk<'s, 'a> {
    support: &'s Support<'a>,
    frame: &'s Frame,
    /// (block, place inside it, channel).
    sequence: Vec<(usize, usize, usize)>,
    rooms: Vec<u16>,
    counts: Vec<u8>,
    capacities: [u64; CHANNELS_MOST],
    factors: [f64; CHANNELS_MOST],
    usable_channels: u64,
    usable: Usable,
    /// Has the board a chart for this mode?
    charted: bool,
    /// Modules a channel as the chart has them, by count, sorted as the symmetry allows.
    chart: HashMap<u16, Option<Vec<u8>>>,
    /// Counts that a rule refuses however they are arranged.
    dead: HashSet<usize>,
    known: HashMap<(usize, u64), usize>,
    table: Table,
    useful: &'s Useful,
    budget: u64,
    keep_every: bool,
}

impl Walk<'_, '_> {
    fn step(&mut self, depth: usize, tied: bool) {
        if self.table.looked_at >= self.budget {
            self.table.complete = false;
            return;
        }
        let Some((block, inside, channel)) = self.sequence.get(depth).copied() else {
            self.leaf();
            return;
        };
        let alphabet = self.support.alphabets[&self.frame.classes[channel]].clone();
        let mut most = alphabet.contents.len();
        let symmetry = &self.frame.symmetry;
        if !self.keep_every {
            if symmetry.like_last_inside[inside] {
                let before = symmetry.blocks[block][inside - 1];
                most = most.min(usize::from(self.rooms[before]) + 1);
            }
            if symmetry.like_last_block[block] && (inside == 0 || tied) {
                let before = symmetry.blocks[block - 1][inside];
                most = most.min(usize::from(self.rooms[before]) + 1);
            }
        }
        for room in (0..most).rev() {
            let content = &alphabet.contents[room];
            let own = &alphabet.counts[room];
            let all: usize = self.counts.iter().chain(own).map(|n| usize::from(*n)).sum();
            let fits = all <= self.useful.most[own.len()]
                && self
                    .counts
                    .iter()
                    .zip(own)
                    .zip(&self.useful.most)
                    .all(|((have, add), most)| usize::from(have + add) <= *most);
            if !fits {
                continue;
            }
            for (t, n) in alphabet.counts[room].iter().enumerate() {
                self.counts[t] += n;
            }
            self.rooms[channel] = room as u16;
            self.capacities[channel] = content.mib;
            self.factors[channel] = content.factor;
            self.usable_channels += content.usable;
            let still_tied = symmetry.like_last_block[block]
                && (inside == 0 || tied)
                && self.rooms[symmetry.blocks[block - 1][inside]] == room as u16;
            self.step(depth + 1, still_tied);
            self.usable_channels -= content.usable;
            for (t, n) in alphabet.counts[room].iter().enumerate() {
                self.counts[t] -= n;
            }
        }
    }

    fn leaf(&mut self) {
        self.table.looked_at += 1;
        let n = self.frame.channels.len();
        let at: usize = self.counts.iter().zip(&self.support.strides).map(|(c, s)| usize::from(*c) * s).sum();
        let of_use = self.useful.cells.as_ref().is_none_or(|cells| cells.contains(&at));
        if !of_use || self.dead.contains(&at) {
            return;
        }
        let total: u64 = self.capacities[..n].iter().sum();
        let usable = match self.usable {
            Usable::All => total,
            Usable::Half => total / 2,
            Usable::LessShare(percent) => total * (100 - u64::from(percent.min(100))) / 100,
            Usable::LessRanks(_) => self.usable_channels,
        };
        let known = if self.keep_every { None } else { self.known.get(&(at, usable)).copied() };
        let processor = &self.frame.processor;
        if let Some(known) = known {
            let best = &self.table.entries[known];
            if self.hope(total) < best.mbs {
                return;
            }
        }
        let bounds =
            bandwidth::bounds(&self.frame.table, &processor.bandwidth, &self.capacities[..n], &self.factors[..n]);
        let mbs = bandwidth::sustained(processor, self.support.rate, bounds.serial).mbs();
        if known.is_some_and(|k| mbs < self.table.entries[k].mbs) {
            return;
        }
        let on_chart = self.charted && self.on_chart();
        if let Some(known) = known {
            let best = &self.table.entries[known];
            if (mbs, on_chart) < (best.mbs, best.on_chart)
                || ((mbs, on_chart) == (best.mbs, best.on_chart) && bounds.slowest <= best.slowest)
            {
                return;
            }
        }
        if !self.is_valid(at) {
            return;
        }
        let entry = Entry {
            at,
            counts: self.counts.clone(),
            packed: super::ways::pack(&self.counts),
            usable,
            mbs,
            rooms: self.rooms.clone(),
            on_chart,
            slowest: bounds.slowest,
        };
        match known {
            Some(place) => self.table.entries[place] = entry,
            None => {
                self.known.insert((at, usable), self.table.entries.len());
                self.table.entries.push(entry);
            }
        }
    }

    /// The most bandwidth that this fill could have: one set as wide as its fullest channel allows.
    fn hope(&self, total: u64) -> u64 {
        let n = self.frame.channels.len();
        let fullest = self.capacities[..n].iter().copied().max().unwrap_or(0);
        if total == 0 || fullest == 0 {
            return 0;
        }
        let model = &self.frame.processor.bandwidth;
        let factor = self.factors[..n]
            .iter()
            .zip(&self.capacities[..n])
            .filter(|(_, c)| **c > 0)
            .map(|(f, _)| *f)
            .fold(0.0, f64::max);
        let width = total as f64 / fullest as f64;
        let share = bandwidth::width_share(model, width, self.frame.table.channels() as f64) * factor;
        bandwidth::sustained(&self.frame.processor, self.support.rate, share * (1.0 + 1e-12)).mbs()
    }

    fn is_valid(&mut self, at: usize) -> bool {
        let space = self.support.space;
        let mut build = space.base.clone();
        build.slots.iter_mut().for_each(|s| *s = None);
        for (c, room) in self.rooms.iter().enumerate() {
            let content = &self.support.alphabets[&self.frame.classes[c]].contents[usize::from(*room)];
            for (position, slot) in self.frame.channels[c].iter().enumerate() {
                build.slots[slot.at()] = match content.placed[position] {
                    Some(sort) => Some(space.sample(sort).clone()),
                    None => space.base.slots[slot.at()].clone(),
                };
            }
        }
        if is_wrong(&build, |scope, monotone| scope == Scope::Socket && monotone) {
            self.dead.insert(at);
            return false;
        }
        !is_wrong(&build, |scope, monotone| scope == Scope::Socket && !monotone)
    }

    fn on_chart(&mut self) -> bool {
        let counts = self.modules_by_channel(|w, c| {
            w.support.alphabets[&w.frame.classes[c]].contents[usize::from(w.rooms[c])].sorts.len() as u8
        });
        let n: u16 = counts.iter().map(|c| u16::from(*c)).sum();
        if !self.chart.contains_key(&n) {
            let space = self.support.space;
            let ranks = self.support.choices.first().map(|c| c.sample.organisation.package_ranks);
            let fill = order::chart(&space.need.board, &space.need.mode, self.frame.socket, ranks)
                .and_then(|c| order::chart_fill(c, n));
            let wanted = fill.map(|fill| {
                let per = usize::from(self.frame.processor.channels_per_controller);
                self.modules_by_channel(|_, c| {
                    fill.slots.iter().filter(|s| usize::from(s.controller) * per + usize::from(s.channel) == c).count()
                        as u8
                })
            });
            self.chart.insert(n, wanted);
        }
        self.chart[&n].as_ref() == Some(&counts)
    }

    /// Modules a channel, sorted as far as the symmetry allows.
    fn modules_by_channel(&self, of: impl Fn(&Self, usize) -> u8) -> Vec<u8> {
        let symmetry = &self.frame.symmetry;
        let mut blocks: Vec<Vec<u8>> =
            symmetry.blocks.iter().map(|b| b.iter().map(|c| of(self, *c)).collect()).collect();
        for block in &mut blocks {
            sort_runs(block, &symmetry.like_last_inside);
        }
        sort_runs(&mut blocks, &symmetry.like_last_block);
        blocks.concat()
    }
}

/// Sorts each run of like things, largest first.
pub fn sort_runs<T: Ord>(items: &mut [T], like_last: &[bool]) {
    let mut start = 0;
    for end in 1..=items.len() {
        if end == items.len() || !like_last[end] {
            items[start..end].sort_by(|a, b| b.cmp(a));
            start = end;
        }
    }
}
