//! A memory of one-bit cells with faults in it; a word of cells is written and read at once.

use super::{Act, Fault, While};
use crate::march::Cells;

/// Cells of the simulated memory. Three and five give the same shares, but for the checkerboard's address faults.
pub const CELLS: usize = 4;

/// One-bit cells with faults.
#[derive(Debug, Clone)]
pub struct FaultyBits<'a> {
    cells: Vec<bool>,
    faults: &'a [Fault],
    /// The background: what stands for 0 at each cell.
    zero: [bool; CELLS],
}

/// Words of 64 cells with faults. An address fault is that of a word, named by its first cell.
#[derive(Debug, Clone)]
pub struct FaultyWords<'a>(FaultyBits<'a>);

/// Cells of a word.
const WORD: usize = 64;

impl<'a> FaultyWords<'a> {
    /// So many words, all bits 0, with these faults.
    pub fn new(words: usize, faults: &'a [Fault]) -> Self {
        let mut bits = FaultyBits { cells: vec![false; words * WORD], faults, zero: [false; CELLS] };
        bits.settle();
        Self(bits)
    }
    /// How many words.
    pub fn len(&self) -> usize {
        self.0.cells.len() / WORD
    }
    /// Are there none?
    pub fn is_empty(&self) -> bool {
        self.0.cells.is_empty()
    }
    fn load(&mut self, word: usize) -> u64 {
        (0..WORD).fold(0, |all, bit| all | u64::from(self.0.load(word * WORD + bit)) << bit)
    }
    fn store(&mut self, word: usize, value: u64) {
        self.0.store(word * WORD, &std::array::from_fn::<bool, WORD, _>(|bit| value >> bit & 1 == 1));
    }
    /// Reads a word.
    pub fn read(&mut self, word: usize) -> u64 {
        match self.0.address(word * WORD) {
            Some(Fault::Elsewhere { other, .. }) => self.load(other / WORD),
            Some(Fault::Both { other, or, .. }) => {
                let (a, b) = (self.load(word), self.load(other / WORD));
                if or { a | b } else { a & b }
            }
            Some(Fault::Nowhere { reads, .. }) => {
                if reads {
                    u64::MAX
                } else {
                    0
                }
            }
            _ => self.load(word),
        }
    }
    /// Writes a word.
    pub fn write(&mut self, word: usize, value: u64) {
        match self.0.address(word * WORD) {
            Some(Fault::Elsewhere { other, .. }) => self.store(other / WORD, value),
            Some(Fault::Both { other, .. }) => {
                self.store(word, value);
                self.store(other / WORD, value);
            }
            Some(Fault::Nowhere { .. }) => {}
            _ => self.store(word, value),
        }
    }
}

impl<'a> FaultyBits<'a> {
    /// Cells that hold `start`, with these faults, and a data background.
    pub fn new(start: [bool; CELLS], faults: &'a [Fault], zero: [bool; CELLS]) -> Self {
        let mut memory = Self { cells: start.to_vec(), faults, zero };
        memory.settle();
        memory
    }

    fn holds(&self, when: While) -> bool {
        when.is_none_or(|(cell, value)| self.cells[cell] == value)
    }

    /// What holds of itself: stuck cells, and cells that a state forces.
    fn settle(&mut self) {
        for fault in self.faults {
            match *fault {
                Fault::StuckAt { cell, at } => self.cells[cell] = at,
                Fault::State { aggressor, victim, holds, sets } if self.cells[aggressor] == holds => {
                    self.cells[victim] = sets;
                }
                _ => {}
            }
        }
    }

    /// What an act at a cell does to others.
    fn spread(&mut self, at: usize, act: Act) {
        let change = match act {
            Act::Write(from, to) if from != to => Some(to),
            _ => None,
        };
        for fault in self.faults {
            match *fault {
                Fault::Inversion { aggressor, victim, to } if aggressor == at && change == Some(to) => {
                    self.cells[victim] = !self.cells[victim];
                }
                Fault::Idempotent { aggressor, victim, to, sets } if aggressor == at && change == Some(to) => {
                    self.cells[victim] = sets;
                }
                Fault::Disturb { aggressor, victim, act: wanted, value }
                    if aggressor == at && act == wanted && self.cells[victim] == value =>
                {
                    self.cells[victim] = !value;
                }
                _ => {}
            }
        }
    }

    /// Writes neighbouring cells at once: all take their values, then what changed spreads, then what forces settles.
    fn store(&mut self, first: usize, values: &[bool]) {
        let old: Vec<bool> = self.cells[first..first + values.len()].to_vec();
        let new: Vec<bool> =
            old.iter().zip(values).enumerate().map(|(i, (o, v))| self.taken(first + i, *o, *v)).collect();
        self.cells[first..first + values.len()].copy_from_slice(&new);
        for (i, (old, value)) in old.iter().zip(values).enumerate() {
            self.spread(first + i, Act::Write(*old, *value));
        }
        self.settle();
    }

    /// What a cell that held `old` holds after `value` was written.
    fn taken(&self, cell: usize, old: bool, value: bool) -> bool {
        let mut new = value;
        for fault in self.faults {
            match *fault {
                Fault::Transition { cell: c, to, when }
                    if c == cell && old != to && value == to && self.holds(when) =>
                {
                    new = old;
                }
                Fault::WriteDisturb { cell: c, value: v, when }
                    if c == cell && old == v && value == v && self.holds(when) =>
                {
                    new = !v;
                }
                _ => {}
            }
        }
        new
    }

    fn load(&mut self, cell: usize) -> bool {
        let old = self.cells[cell];
        let mut given = old;
        for fault in self.faults {
            if let Fault::Read { cell: c, value, wrong, flips, when } = *fault
                && c == cell
                && old == value
                && self.holds(when)
            {
                given = if wrong { !old } else { old };
                self.cells[cell] = if flips { !old } else { old };
            }
        }
        self.spread(cell, Act::Read(old));
        given
    }

    /// The fault of an address, where it has one.
    fn address(&self, cell: usize) -> Option<Fault> {
        self.faults.iter().copied().find(|f| match f {
            Fault::Elsewhere { cell: c, .. } | Fault::Both { cell: c, .. } | Fault::Nowhere { cell: c, .. } => {
                *c == cell
            }
            _ => false,
        })
    }
}

impl Cells for FaultyBits<'_> {
    type Value = bool;
    fn len(&self) -> usize {
        CELLS
    }
    fn value(&self, cell: usize, one: bool) -> bool {
        self.zero[cell] ^ one
    }
    fn read(&mut self, cell: usize) -> bool {
        match self.address(cell) {
            Some(Fault::Elsewhere { other, .. }) => self.load(other),
            Some(Fault::Both { other, or, .. }) => {
                let (a, b) = (self.load(cell), self.load(other));
                if or { a || b } else { a && b }
            }
            Some(Fault::Nowhere { reads, .. }) => reads,
            _ => self.load(cell),
        }
    }
    fn write(&mut self, cell: usize, value: bool) {
        match self.address(cell) {
            Some(Fault::Elsewhere { other, .. }) => self.store(other, &[value]),
            Some(Fault::Both { other, .. }) => {
                self.store(cell, &[value]);
                self.store(other, &[value]);
            }
            Some(Fault::Nowhere { .. }) => {}
            _ => self.store(cell, &[value]),
        }
    }
}
