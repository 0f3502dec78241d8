//! Which faults a test finds whatever the memory held before and whichever way the free sweeps go.

use super::memory::{CELLS, FaultyBits};
use super::{Family, Fault, instances};
use crate::march::{March, Order, run};

/// Faults found of those tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    pub found: usize,
    pub of: usize,
}

impl Share {
    /// In percent.
    pub fn percent(self) -> f64 {
        if self.of == 0 { 0.0 } else { 100.0 * self.found as f64 / self.of as f64 }
    }
}

/// What stands for 0 at each cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Background {
    Solid,
    /// 0 and 1 in turn.
    Checkerboard,
}

/// How the sweeps that may go either way are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Free {
    /// All up, then all down.
    Alike,
    /// Each either way, in every mixture: what a test's notation promises. Past eight such sweeps only four mixtures.
    Each,
}

/// Every fault of a family, tried.
pub fn coverage(march: &March, family: Family, background: Background, free: Free) -> Share {
    let all = instances(family);
    let found = all.iter().filter(|f| detects(march, &[**f], background, free)).count();
    Share { found, of: all.len() }
}

/// Does the test find these faults, present together, whatever the memory held and whichever way the free sweeps go?
pub fn detects(march: &March, faults: &[Fault], background: Background, free: Free) -> bool {
    let zero = std::array::from_fn(|i| background == Background::Checkerboard && i % 2 == 1);
    let count = march.sweeps().filter(|(order, _)| *order == Order::Either).count();
    let orders = if free == Free::Alike { vec![vec![Order::Up], vec![Order::Down]] } else { mixtures(count) };
    orders.iter().all(|order| {
        (0..1u32 << CELLS).all(|content| {
            let start = std::array::from_fn(|i| content >> i & 1 == 1);
            let mut memory = FaultyBits::new(start, faults, zero);
            let mut found = false;
            run(march, &mut memory, order, &mut |_| {
                found = true;
                false
            });
            found
        })
    })
}

/// Each way in which so many free sweeps can go; past eight all up, all down, and the two in turn.
fn mixtures(free: usize) -> Vec<Vec<Order>> {
    let way = |up: bool| if up { Order::Up } else { Order::Down };
    match free {
        0..=8 => (0..1u32 << free).map(|bits| (0..free).map(|i| way(bits >> i & 1 == 0)).collect()).collect(),
        _ => vec![vec![Order::Up], vec![Order::Down], vec![Order::Up, Order::Down], vec![Order::Down, Order::Up]],
    }
}
