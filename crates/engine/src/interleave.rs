//! Regions: how a processor parts its memory into address ranges, each spread over one set of channels.
//!
//! The peel: the largest set that the family supports and for which every controller taking part gives equally many
//! channels takes its members' smallest remaining capacity from each; then again, until nothing is left.

use crate::bandwidth::channel_factor;
use crate::scene::{ChannelScene, Scene, SocketScene};
use domain::Capacity;
use domain::processor::Processor;
use std::cmp::Ordering;

/// Most channels of one processor.
pub const CHANNELS_MOST: usize = 32;

/// One address range that one set of channels serves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Region {
    pub socket: u8,
    /// Channels in the set.
    pub width: u8,
    pub capacity: Capacity,
    /// Channel numbers within the socket.
    pub members: Vec<u8>,
}

/// A set as the peel hands it out: members as bits by channel number, and MiB taken from each.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layer {
    pub members: u32,
    pub width: u8,
    pub each_mib: u64,
}

/// The sets of a family, made ready for peeling.
#[derive(Debug, Clone)]
pub struct SetTable {
    controllers: usize,
    per_controller: usize,
    sizes: Vec<u8>,
    /// (size, controllers spanned, members), largest first, then most controllers, then as listed. Empty: generic.
    listed: Vec<(u8, u8, u32)>,
}

impl SetTable {
    /// From a family's data.
    pub fn new(processor: &Processor) -> Self {
        let per = usize::from(processor.channels_per_controller.max(1));
        let mut sizes = processor.sets.sizes.clone();
        sizes.push(1);
        sizes.sort_unstable_by(|a, b| b.cmp(a));
        sizes.dedup();
        let mut listed: Vec<(u8, u8, u32)> = processor
            .sets
            .listed
            .iter()
            .map(|set| {
                let members = set.iter().fold(0u32, |m, c| m | 1 << (*c).min(31));
                let mut of: Vec<usize> = set.iter().map(|c| usize::from(*c) / per).collect();
                of.sort_unstable();
                of.dedup();
                (members.count_ones() as u8, of.len() as u8, members)
            })
            .filter(|(size, _, _)| sizes.contains(size))
            .collect();
        if !listed.is_empty() {
            // A channel can always stand alone.
            for c in 0..processor.channels().min(CHANNELS_MOST as u8) {
                if !listed.iter().any(|(_, _, m)| *m == 1 << c) {
                    listed.push((1, 1, 1 << c));
                }
            }
        }
        listed.sort_by_key(|set| std::cmp::Reverse((set.0, set.1)));
        Self { controllers: usize::from(processor.controllers.max(1)), per_controller: per, sizes, listed }
    }

    /// Channels of the family.
    pub fn channels(&self) -> usize {
        self.controllers * self.per_controller
    }

    /// The widest set that so many filled channels could make; 0 for none.
    pub fn widest(&self, filled: usize) -> usize {
        self.sizes.iter().map(|s| usize::from(*s)).filter(|s| *s <= filled).max().unwrap_or(0)
    }

    /// Does swapping channels by `map` leave the sets as they are? (`map[c]` is where channel `c` goes.)
    pub fn is_symmetry(&self, map: &[usize]) -> bool {
        if self.listed.is_empty() {
            let home = |c: usize| c / self.per_controller;
            return (0..map.len())
                .all(|a| (0..map.len()).all(|b| (home(a) == home(b)) == (home(map[a]) == home(map[b]))));
        }
        self.listed.iter().all(|(_, _, members)| {
            let moved = (0..map.len()).filter(|c| members >> c & 1 == 1).fold(0u32, |m, c| m | 1 << map[c]);
            self.listed.iter().any(|(_, _, m)| *m == moved)
        })
    }

    /// Peels capacities (MiB by channel number), handing out layer after layer.
    ///
    /// Of channels with equally much left those with the larger factor come first, so that no figure depends on which of
    /// two alike channels holds what (no source says what processors do; by number where the factors are equal too).
    pub fn peel(&self, capacities: &[u64], factors: &[f64], mut each: impl FnMut(Layer)) {
        let mut left = [0u64; CHANNELS_MOST];
        let n = capacities.len().min(factors.len()).min(CHANNELS_MOST);
        left[..n].copy_from_slice(&capacities[..n]);
        if self.listed.is_empty() && self.per_controller == 1 {
            return self.peel_flat(&mut left[..n], factors, each);
        }
        while let Some(layer) = self.next(&left[..n], factors) {
            for (c, remaining) in left[..n].iter_mut().enumerate() {
                if layer.members >> c & 1 == 1 {
                    *remaining -= layer.each_mib;
                }
            }
            each(layer);
        }
    }

    /// The same for one channel a controller, where any channels make a set: those with most left are always taken.
    fn peel_flat(&self, left: &mut [u64], factors: &[f64], mut each: impl FnMut(Layer)) {
        let mut order = [0u8; CHANNELS_MOST];
        let n = left.len();
        for (i, place) in order[..n].iter_mut().enumerate() {
            *place = i as u8;
        }
        let order = &mut order[..n];
        loop {
            // Nearly sorted after each layer: insertion is quick.
            for i in 1..n {
                let mut j = i;
                while j > 0 {
                    let (a, b) = (usize::from(order[j - 1]), usize::from(order[j]));
                    let by_left = left[b].cmp(&left[a]);
                    if by_left.then(factors[b].total_cmp(&factors[a])).then(a.cmp(&b)).is_lt() {
                        break;
                    }
                    order.swap(j - 1, j);
                    j -= 1;
                }
            }
            let filled = order.iter().take_while(|c| left[usize::from(**c)] > 0).count();
            if filled == 0 {
                return;
            }
            let widest = self.sizes.iter().map(|s| usize::from(*s)).find(|s| *s <= filled && *s <= self.controllers);
            let width = widest.unwrap_or(1);
            let each_mib = left[usize::from(order[width - 1])];
            let mut members = 0u32;
            for c in &order[..width] {
                left[usize::from(*c)] -= each_mib;
                members |= 1 << c;
            }
            each(Layer { members, width: width as u8, each_mib });
        }
    }

    fn next(&self, left: &[u64], factors: &[f64]) -> Option<Layer> {
        if left.iter().all(|c| *c == 0) {
            return None;
        }
        if self.listed.is_empty() { self.next_generic(left, factors) } else { self.next_listed(left) }
    }

    fn next_listed(&self, left: &[u64]) -> Option<Layer> {
        let mut best: Option<(u8, u8, u64, u32)> = None;
        for (size, span, members) in &self.listed {
            if best.is_some_and(|(s, p, _, _)| (s, p) != (*size, *span)) {
                break;
            }
            let mut least = u64::MAX;
            let mut bits = *members;
            while bits != 0 {
                let c = bits.trailing_zeros() as usize;
                bits &= bits - 1;
                least = least.min(left.get(c).copied().unwrap_or(0));
            }
            if least > 0 && best.is_none_or(|(_, _, b, _)| least > b) {
                best = Some((*size, *span, least, *members));
            }
        }
        best.map(|(width, _, each_mib, members)| Layer { members, width, each_mib })
    }

    fn next_generic(&self, left: &[u64], factors: &[f64]) -> Option<Layer> {
        let filled = left.iter().filter(|c| **c > 0).count();
        for size in self.sizes.iter().map(|s| usize::from(*s)).filter(|s| *s <= filled) {
            for span in (1..=self.controllers.min(size)).rev() {
                let each = size / span;
                if each * span == size
                    && each <= self.per_controller
                    && let Some(layer) = self.generic_set(left, factors, span, each)
                {
                    return Some(layer);
                }
            }
        }
        None
    }

    /// `span` controllers that each give their `each` fullest channels; those with most left first.
    fn generic_set(&self, left: &[u64], factors: &[f64], span: usize, each: usize) -> Option<Layer> {
        let fuller = |a: &usize, b: &usize| left[*b].cmp(&left[*a]).then(factors[*b].total_cmp(&factors[*a]));
        // Channels controller by controller, the fullest of each first.
        let mut order: [usize; CHANNELS_MOST] = std::array::from_fn(|c| c);
        // Of each controller that can give: (least left among what it gives, its first channel, behind its last).
        let mut offers = [(0u64, 0usize, 0usize); CHANNELS_MOST];
        let mut count = 0;
        for controller in 0..self.controllers {
            let start = (controller * self.per_controller).min(left.len());
            let end = (start + self.per_controller).min(left.len());
            order[start..end].sort_by(fuller);
            let least = if each <= end - start { left[order[start + each - 1]] } else { 0 };
            if least > 0 {
                offers[count] = (least, start, end);
                count += 1;
            }
        }
        if count < span {
            return None;
        }
        // Where that is equal, by all that they hold: which controller comes first may not hang on its number.
        offers[..count].sort_by(|a, b| {
            let pairs = order[a.1..a.2].iter().zip(&order[b.1..b.2]);
            b.0.cmp(&a.0).then_with(|| pairs.map(|(x, y)| fuller(x, y)).fold(Ordering::Equal, Ordering::then))
        });
        let chosen = &offers[..span];
        let given = chosen.iter().flat_map(|o| &order[o.1..o.1 + each]);
        Some(Layer {
            members: given.fold(0, |m, c| m | 1 << c),
            width: (span * each) as u8,
            each_mib: chosen.iter().map(|o| o.0).min().unwrap_or(0),
        })
    }
}

/// The regions of one socket; none where it has no processor or no DRAM. Neighbouring layers of one set are one region.
pub fn socket_regions(socket: &SocketScene) -> Vec<Region> {
    let Some(processor) = socket.processor else {
        return Vec::new();
    };
    let capacities: Vec<u64> = socket.channels.iter().map(|c| c.capacity().mib()).collect();
    let factor = |c: &ChannelScene| channel_factor(&processor.bandwidth, c.logical_ranks(), c.count());
    let factors: Vec<f64> = socket.channels.iter().map(factor).collect();
    let mut regions: Vec<(u32, Region)> = Vec::new();
    SetTable::new(processor).peel(&capacities, &factors, |layer| {
        let capacity = Capacity::from_mib(layer.each_mib * u64::from(layer.width));
        if let Some((_, same)) = regions.iter_mut().find(|(m, _)| *m == layer.members) {
            same.capacity = same.capacity + capacity;
            return;
        }
        let members = (0..32u8).filter(|c| layer.members >> c & 1 == 1).collect();
        regions.push((layer.members, Region { socket: socket.index, width: layer.width, capacity, members }));
    });
    regions.into_iter().map(|(_, r)| r).collect()
}

/// The regions of all sockets, widest first within each.
pub fn regions(scene: &Scene) -> Vec<Region> {
    scene.sockets.iter().flat_map(socket_regions).collect()
}
