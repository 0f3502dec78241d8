//! Ways to reach a total: arrangements socket by socket, as chains, with the best bandwidth for each usable capacity.

use super::socket::{Entry, Support};
use std::collections::HashMap;

/// No link.
pub const NONE: u32 = u32::MAX;

/// Cells of a grid of totals that are kept as a plain list at most; larger grids are kept by the cells in use.
const DENSE_MOST: usize = 1 << 23;

/// One way to reach a total: the chain so far, and the entry of the socket that was added last.
#[derive(Debug, Clone, Copy)]
pub struct Link {
    pub usable: u64,
    pub mbs: u64,
    /// The chain so far.
    pub before: u32,
    pub entry: u32,
    /// The next way to reach the same total.
    pub next: u32,
}

/// All links of one support.
#[derive(Debug, Default)]
pub struct Links(Vec<Link>);

impl Links {
    /// The empty way, from which all others start.
    pub fn start(&mut self) -> u32 {
        self.0.push(Link { usable: 0, mbs: 0, before: NONE, entry: NONE, next: NONE });
        self.0.len() as u32 - 1
    }

    /// The way that a link ends.
    pub fn way(&self, link: u32) -> Link {
        self.0[link as usize]
    }

    /// Adds a socket's entry to every way of the list that begins at `from`.
    pub fn join(&mut self, from: u32, e: usize, entry: &Entry, head: &mut u32) {
        let mut link = from;
        while link != NONE {
            let before = self.0[link as usize];
            let (usable, mbs) = (before.usable + entry.usable, before.mbs + entry.mbs);
            self.place(head, Link { usable, mbs, before: link, entry: e as u32, next: NONE });
            link = before.next;
        }
    }

    /// Puts a way to a total into its list: per usable capacity only the most bandwidth stays.
    fn place(&mut self, head: &mut u32, sum: Link) {
        let mut at = *head;
        while at != NONE {
            let known = &mut self.0[at as usize];
            if known.usable == sum.usable {
                if sum.mbs > known.mbs {
                    *known = Link { next: known.next, ..sum };
                }
                return;
            }
            at = known.next;
        }
        let new = self.0.len() as u32;
        self.0.push(Link { next: *head, ..sum });
        *head = new;
    }
}

/// The list of ways of each total.
#[derive(Debug)]
pub enum Heads {
    Dense(Vec<u32>),
    Sparse(HashMap<usize, u32>),
}

impl Heads {
    /// No ways yet.
    pub fn new(support: &Support) -> Self {
        let size = support.choices.iter().fold(1usize, |size, c| size.saturating_mul(c.most() + 1));
        if size <= DENSE_MOST { Self::Dense(vec![NONE; size]) } else { Self::Sparse(HashMap::new()) }
    }

    /// The first way of a total.
    pub fn get(&self, cell: usize) -> u32 {
        match self {
            Self::Dense(heads) => heads.get(cell).copied().unwrap_or(NONE),
            Self::Sparse(heads) => heads.get(&cell).copied().unwrap_or(NONE),
        }
    }

    /// The place for the first way of a total, which lies within the grid.
    pub fn at(&mut self, cell: usize) -> &mut u32 {
        match self {
            Self::Dense(heads) => &mut heads[cell],
            Self::Sparse(heads) => heads.entry(cell).or_insert(NONE),
        }
    }

    /// The totals with ways, ascending.
    pub fn filled(&self) -> Vec<usize> {
        match self {
            Self::Dense(heads) => (0..heads.len()).filter(|c| heads[*c] != NONE).collect(),
            Self::Sparse(heads) => {
                let mut filled: Vec<usize> = heads.keys().copied().collect();
                filled.sort_unstable();
                filled
            }
        }
    }
}

/// The place of counts in the grid of totals.
pub fn cell(support: &Support, totals: &[usize]) -> usize {
    totals.iter().zip(&support.strides).map(|(n, s)| n * s).sum()
}

/// The counts at a place in the grid of totals.
pub fn split(support: &Support, cell: usize) -> Vec<usize> {
    support.choices.iter().zip(&support.strides).map(|(c, s)| cell / s % (c.most() + 1)).collect()
}

/// Bits of one count in packed counts, the highest of which stays free.
const LANE: u32 = 16;

/// Counts side by side in one number, at most eight of them, each below 32768.
pub fn pack<T: Copy + TryInto<u16>>(counts: &[T]) -> u128 {
    counts.iter().rev().fold(0, |packed, n| packed << LANE | u128::from((*n).try_into().unwrap_or(u16::MAX >> 1)))
}

/// Is each of the packed counts at most as large as its fellow?
pub fn is_within(counts: u128, most: u128) -> bool {
    const FREE: u128 = 0x8000_8000_8000_8000_8000_8000_8000_8000;
    ((most | FREE) - counts) & FREE == FREE
}

#[cfg(test)]
mod tests {
    use super::{is_within, pack};

    #[test]
    fn packed_counts_compare_one_by_one() {
        for (a, b) in
            [([0usize, 3, 7], [0usize, 3, 7]), ([1, 0, 0], [0, 9, 9]), ([0, 4, 0], [9, 3, 9]), ([2, 2, 9], [3, 3, 8])]
        {
            let each = a.iter().zip(&b).all(|(a, b)| a <= b);
            assert_eq!(is_within(pack(&a), pack(&b)), each, "{a:?} {b:?}");
        }
        assert!(is_within(pack(&[32767usize; 8]), pack(&[32767usize; 8])));
        assert!(!is_within(pack(&[1u8, 0, 0, 0, 0, 0, 0, 1]), pack(&[48usize, 48, 48, 48, 48, 48, 48, 0])));
    }
}
