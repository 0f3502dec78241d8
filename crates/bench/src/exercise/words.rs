//! One exercise over words, be they memory or a memory with faults.

use super::{Exercise, Pattern};
use crate::fault::FaultyWords;
use crate::march::{Cells, Mismatch, Order, run};
use std::time::Duration;

/// How long a pause of a march test is (common practice, no source; refresh runs on meanwhile).
const PAUSE: Duration = Duration::from_millis(200);

/// Words that can be read and written, one by one.
pub trait Store {
    fn len(&self) -> usize;
    fn is_empty(&self) -> bool {
        self.len() == 0
    }
    fn read(&mut self, word: usize) -> u64;
    /// Writes, and if `flush` sees that it leaves the caches.
    fn write(&mut self, word: usize, value: u64, flush: bool);
}

impl Store for &mut [u64] {
    fn len(&self) -> usize {
        <[u64]>::len(self)
    }
    #[inline]
    fn read(&mut self, word: usize) -> u64 {
        // SAFETY: a reference to a word of the slice; volatile, or the compiler would leave out reads of what was written.
        self.get(word).map_or(0, |w| unsafe { std::ptr::from_ref(w).read_volatile() })
    }
    #[inline]
    fn write(&mut self, word: usize, value: u64, flush: bool) {
        let Some(place) = self.get_mut(word) else { return };
        // SAFETY: an exclusive reference to a word of the slice.
        unsafe { std::ptr::from_mut(place).write_volatile(value) };
        if flush {
            flush_line(place);
        }
    }
}

/// Writes a line back to memory and drops it from the caches, where the processor can.
fn flush_line(place: &u64) {
    #[cfg(target_arch = "x86_64")]
    // SAFETY: every x86-64 processor has both; flushing a line changes no contents.
    unsafe {
        std::arch::x86_64::_mm_clflush(std::ptr::from_ref(place).cast());
        std::arch::x86_64::_mm_mfence();
    }
    #[cfg(not(target_arch = "x86_64"))]
    let _ = place;
}

impl Store for FaultyWords<'_> {
    fn len(&self) -> usize {
        FaultyWords::len(self)
    }
    fn read(&mut self, word: usize) -> u64 {
        FaultyWords::read(self, word)
    }
    fn write(&mut self, word: usize, value: u64, _flush: bool) {
        FaultyWords::write(self, word, value);
    }
}

/// A mismatch with the pattern that it was found with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cell {
    pub mismatch: Mismatch<u64>,
    pub pattern: Pattern,
}

struct March<'a, S> {
    store: &'a mut S,
    pattern: Pattern,
    flush: bool,
    go_on: &'a mut dyn FnMut(u64) -> bool,
}

impl<S: Store> Cells for March<'_, S> {
    type Value = u64;
    fn len(&self) -> usize {
        self.store.len()
    }
    #[inline]
    fn value(&self, cell: usize, one: bool) -> u64 {
        self.pattern.at(cell) ^ if one { u64::MAX } else { 0 }
    }
    #[inline]
    fn read(&mut self, cell: usize) -> u64 {
        self.store.read(cell)
    }
    #[inline]
    fn write(&mut self, cell: usize, value: u64) {
        self.store.write(cell, value, self.flush);
    }
    fn pause(&mut self) {
        std::thread::sleep(PAUSE);
    }
    fn go_on(&mut self, operations: u64) -> bool {
        (self.go_on)(operations)
    }
}

/// Runs one exercise with all its patterns; each mismatch goes to `found`, which says whether to go on; `go_on` is told now
/// and then how many operations were done, and says the same. `true`: it ran to its end.
pub fn exercise<S: Store>(
    exercise: &Exercise,
    store: &mut S,
    flush: bool,
    go_on: &mut dyn FnMut(u64) -> bool,
    found: &mut dyn FnMut(Cell) -> bool,
) -> bool {
    for pattern in &exercise.patterns {
        let pattern = *pattern;
        let mut cells = March { store: &mut *store, pattern, flush, go_on: &mut *go_on };
        let mut told = |mismatch: Mismatch<u64>| found(Cell { mismatch, pattern });
        if !run(&exercise.march, &mut cells, &[Order::Up], &mut told) {
            return false;
        }
    }
    true
}
