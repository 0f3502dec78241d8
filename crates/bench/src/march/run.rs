//! A march test run on cells: whatever can be read and written at an index.

use super::{Element, March, Op, Order};

/// Memory as a march test sees it.
pub trait Cells {
    /// A cell's value; `false` is the background, `true` its complement.
    type Value: Copy + PartialEq;
    /// How many cells.
    fn len(&self) -> usize;
    /// Are there none?
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    /// What stands at a cell for 0 or 1.
    fn value(&self, cell: usize, one: bool) -> Self::Value;
    fn read(&mut self, cell: usize) -> Self::Value;
    fn write(&mut self, cell: usize, value: Self::Value);
    /// Waits as long as the memory's user wants pauses to be.
    fn pause(&mut self) {}
    /// Told now and then how many operations were done since; says whether to go on.
    fn go_on(&mut self, _operations: u64) -> bool {
        true
    }
}

/// A read that gave something else than was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mismatch<V> {
    pub cell: usize,
    pub expected: V,
    pub read: V,
    /// What a second read gave: the same again speaks for what is stored, the right value for the way there.
    pub again: V,
    /// The element of the test, from 0, and the operation in it, from 0.
    pub element: usize,
    pub operation: usize,
}

/// Runs a test; `either` gives the order of the sweeps that may go either way, in turn, again and again. Each mismatch
/// goes to `found`, which says whether to go on; it is `false` where somebody has said no.
pub fn run<C: Cells>(
    march: &March,
    cells: &mut C,
    either: &[Order],
    found: &mut dyn FnMut(Mismatch<C::Value>) -> bool,
) -> bool {
    let mut free = either.iter().copied().cycle();
    for (element, part) in march.elements().iter().enumerate() {
        let Element::Sweep { order, ops } = part else {
            cells.pause();
            continue;
        };
        let order = if *order == Order::Either { free.next().unwrap_or(Order::Up) } else { *order };
        if !sweep(element, order, ops, cells, found) {
            return false;
        }
    }
    true
}

/// Cells between two calls of `go_on`.
const STRETCH: usize = 1 << 15;

/// One element over all cells.
fn sweep<C: Cells>(
    element: usize,
    order: Order,
    ops: &[Op],
    cells: &mut C,
    found: &mut dyn FnMut(Mismatch<C::Value>) -> bool,
) -> bool {
    let all = cells.len();
    let mut step = 0;
    while step < all {
        let end = all.min(step + STRETCH);
        for place in step..end {
            let cell = if order == Order::Down { all - 1 - place } else { place };
            for (operation, op) in ops.iter().enumerate() {
                match *op {
                    Op::Write(one) => cells.write(cell, cells.value(cell, one)),
                    Op::Read(one) => {
                        let (expected, read) = (cells.value(cell, one), cells.read(cell));
                        if read != expected {
                            let again = cells.read(cell);
                            if !found(Mismatch { cell, expected, read, again, element, operation }) {
                                return false;
                            }
                        }
                    }
                }
            }
        }
        if !cells.go_on(((end - step) * ops.len()) as u64) {
            return false;
        }
        step = end;
    }
    true
}
