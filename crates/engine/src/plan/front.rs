//! The front while it grows: points that no other point covers.
//!
//! Points lie in shelves, one for each (rate, free slots, modules bought), by price within. A shelf knows its box, so
//! that most shelves are passed over without a look at their points.

use super::kinds::Objectives;
use domain::DataRate;
use std::cell::Cell;

/// The points of one rate, count of free slots and count of modules bought, cheapest first.
#[derive(Debug)]
struct Shelf<T> {
    rate: DataRate,
    free: u16,
    bought: u16,
    /// The most of any of its points; may be more than that after one was taken out.
    usable: u64,
    mbs: u64,
    points: Vec<(Objectives, T)>,
}

impl<T> Shelf<T> {
    /// Could it hold a point that covers this one?
    fn may_cover(&self, o: &Objectives) -> bool {
        self.rate >= o.rate
            && self.free >= o.free
            && self.bought <= o.bought
            && self.usable >= o.usable.mib()
            && self.mbs >= o.bandwidth.mbs()
    }

    fn position(&self, o: &Objectives) -> Option<usize> {
        let mut points = self.points.iter().take_while(|p| p.0.price <= o.price);
        points.position(|p| p.0.usable >= o.usable && p.0.bandwidth >= o.bandwidth)
    }
}

/// Points with what they stand for; none covers another.
#[derive(Debug)]
pub struct Front<T> {
    shelves: Vec<Shelf<T>>,
    /// Shelf and place of the point that covered the last asked one: it often covers the next too.
    last: Cell<(usize, usize)>,
}

impl<T> Default for Front<T> {
    fn default() -> Self {
        Self { shelves: Vec::new(), last: Cell::new((0, 0)) }
    }
}

impl<T> Front<T> {
    /// Is a point as good as this one by every measure already here?
    pub fn covers(&self, objectives: &Objectives) -> bool {
        let (shelf, place) = self.last.get();
        let known = self.shelves.get(shelf).and_then(|s| s.points.get(place));
        if known.is_some_and(|p| p.0.covers(objectives)) {
            return true;
        }
        for (s, shelf) in self.shelves.iter().enumerate() {
            if shelf.may_cover(objectives)
                && let Some(place) = shelf.position(objectives)
            {
                self.last.set((s, place));
                return true;
            }
        }
        false
    }

    /// Puts a point in and takes out those that it covers; does nothing where it is covered.
    pub fn insert(&mut self, objectives: Objectives, what: T) {
        if self.covers(&objectives) {
            return;
        }
        let o = &objectives;
        for shelf in &mut self.shelves {
            if o.rate >= shelf.rate && o.free >= shelf.free && o.bought <= shelf.bought {
                shelf.points.retain(|p| !o.covers(&p.0));
            }
        }
        let same = |s: &Shelf<T>| (s.rate, s.free, s.bought) == (o.rate, o.free, o.bought);
        let at = self.shelves.iter().position(same).unwrap_or_else(|| {
            let (usable, mbs) = (0, 0);
            self.shelves.push(Shelf { rate: o.rate, free: o.free, bought: o.bought, usable, mbs, points: Vec::new() });
            self.shelves.len() - 1
        });
        let shelf = &mut self.shelves[at];
        shelf.usable = shelf.usable.max(o.usable.mib());
        shelf.mbs = shelf.mbs.max(o.bandwidth.mbs());
        let place = shelf.points.partition_point(|p| p.0.price <= o.price);
        shelf.points.insert(place, (objectives, what));
        self.last.set((at, place));
    }

    /// The points, cheapest first, then by the other measures.
    pub fn into_sorted(self) -> Vec<(Objectives, T)> {
        let mut points: Vec<(Objectives, T)> = self.shelves.into_iter().flat_map(|s| s.points).collect();
        points.sort_by_key(|p| p.0);
        points
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::{Bandwidth, Capacity};

    /// Points with few values a measure, so that many cover each other (SplitMix64's steps, public domain).
    fn points(seed: u64, count: usize) -> Vec<Objectives> {
        let mut state = seed;
        let mut below = |n: u64| {
            state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
            let z = (state ^ (state >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
            let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
            (z ^ (z >> 31)) % n
        };
        let mut point = || Objectives {
            price: below(6) as i64,
            usable: Capacity::from_mib(below(6)),
            bandwidth: Bandwidth::from_mbs(below(6)),
            rate: DataRate::from_mts(below(3) as u32),
            free: below(4) as u16,
            bought: below(4) as u16,
        };
        (0..count).map(|_| point()).collect()
    }

    #[test]
    fn it_keeps_just_the_points_that_no_other_covers() {
        for seed in 0..200 {
            let points = points(seed, 5 + seed as usize / 2);
            let mut front = Front::default();
            for (n, point) in points.iter().enumerate() {
                assert_eq!(front.covers(point), points[..n].iter().any(|p| p.covers(point)), "seed {seed}");
                front.insert(*point, n);
            }
            let mut expected = points.clone();
            expected.retain(|o| !points.iter().any(|p| p != o && p.covers(o)));
            expected.sort_unstable();
            expected.dedup();
            let found: Vec<Objectives> = front.into_sorted().into_iter().map(|p| p.0).collect();
            assert_eq!(found, expected, "seed {seed}");
        }
    }
}
