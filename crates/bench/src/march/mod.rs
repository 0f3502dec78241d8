//! March tests: sweeps over all cells in a stated order, a fixed row of reads and writes at each. The notation is van de
//! Goor's (Testing Semiconductor Memories, 1991): `{⇕(w0); ⇑(r0,w1); ⇓(r1,w0)}`.

mod background;
mod known;
mod notation;
mod run;

pub use background::{BACKGROUNDS, intra_word_factor};
pub use known::{KNOWN, Known, known};
pub use notation::MarchError;
pub use run::{Cells, Mismatch, run};

use std::fmt;

/// The order in which a sweep visits the cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Order {
    Up,
    Down,
    /// Either; the test's coverage does not rest on which.
    Either,
}

/// One operation at a cell. The value is relative to the data background: `true` is its complement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Op {
    /// Read, and expect this.
    Read(bool),
    Write(bool),
}

/// A part of a march test.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Element {
    /// All operations at one cell, then at the next.
    Sweep { order: Order, ops: Vec<Op> },
    /// Waiting, for cells that leak. A running machine refreshes all the while, so it shows little there.
    Pause,
}

/// A march test. No read in it contradicts what was written last, so good memory always passes.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct March {
    elements: Vec<Element>,
}

impl March {
    /// Reads the usual notation; see [`notation`] for what is accepted.
    ///
    /// # Errors
    /// A sign that has no meaning there, an empty sweep, or a read that contradicts what was written last.
    pub fn parse(text: &str) -> Result<Self, MarchError> {
        notation::parse(text)
    }
    /// Its elements in order.
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }
    /// Reads and writes a cell: the `10` of `10n`.
    pub fn operations(&self) -> usize {
        self.sweeps().map(|(_, ops)| ops.len()).sum()
    }
    /// Sweeps, without pauses.
    pub fn sweeps(&self) -> impl Iterator<Item = (Order, &[Op])> {
        self.elements.iter().filter_map(|e| match e {
            Element::Sweep { order, ops } => Some((*order, ops.as_slice())),
            Element::Pause => None,
        })
    }
    /// Seconds that it takes over so many bytes at so many bytes a second, once for each background: operations a cell ×
    /// bytes × backgrounds / bandwidth (derived: each operation moves each byte once).
    pub fn seconds(&self, bytes: u64, bandwidth: domain::Bandwidth, backgrounds: usize) -> f64 {
        self.operations() as f64 * bytes as f64 * backgrounds as f64 / (bandwidth.gbs() * 1e9)
    }
    /// The same test in signs that every terminal has: `{b(w0); u(r0,w1); d(r1,w0)}`.
    pub fn ascii(&self) -> String {
        self.written(['b', 'u', 'd'])
    }

    fn written(&self, signs: [char; 3]) -> String {
        let op = |op: &Op| match op {
            Op::Read(v) => format!("r{}", u8::from(*v)),
            Op::Write(v) => format!("w{}", u8::from(*v)),
        };
        let element = |element: &Element| match element {
            Element::Pause => "Del".to_string(),
            Element::Sweep { order, ops } => {
                let sign = match order {
                    Order::Either => signs[0],
                    Order::Up => signs[1],
                    Order::Down => signs[2],
                };
                format!("{sign}({})", ops.iter().map(op).collect::<Vec<_>>().join(","))
            }
        };
        format!("{{{}}}", self.elements.iter().map(element).collect::<Vec<_>>().join("; "))
    }
}

impl fmt::Display for March {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.written(['⇕', '⇑', '⇓']))
    }
}
