//! Latency: one cycle through all lines in random order, so that each load waits for the one before and none can be foreseen.

use super::Spread;
use crate::BenchError;
use crate::machine::{Block, Huge, pin};
use std::time::Instant;

/// Bytes of a cache line.
const LINE: usize = 64;
const WORDS: usize = LINE / 8;
/// Loads of one reading.
const STEPS: usize = 4_000_000;

/// Random numbers that need no state of the machine (splitmix64: Steele, Lea, Flood, OOPSLA 2014).
struct Random(u64);

impl Random {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((u128::from(z ^ (z >> 31)) * bound as u128) >> 64) as usize
    }
}

/// Writes one cycle through all lines: the first word of each holds the place of the next line's first word (Sattolo 1986).
pub fn cycle(words: &mut [u64], seed: u64) {
    let lines = words.len() / WORDS;
    let mut random = Random(seed);
    for (line, first) in words.iter_mut().step_by(WORDS).take(lines).enumerate() {
        *first = (line * WORDS) as u64;
    }
    for line in (1..lines).rev() {
        words.swap(line * WORDS, random.below(line) * WORDS);
    }
}

/// Follows the cycle from a place, so many steps; where it ends.
fn follow(words: &[u64], start: usize, steps: usize) -> usize {
    let mut at = start;
    for _ in 0..steps {
        // SAFETY: `cycle` wrote places below the length into every first word, and nothing else is followed.
        at = unsafe { *words.get_unchecked(at) } as usize;
    }
    at
}

/// Nanoseconds of a dependent load by a thread on `processor` from memory on `node`.
///
/// # Errors
/// The kernel gives no memory.
pub fn latency(processor: usize, node: Option<u32>, bytes: usize, runs: usize) -> Result<Spread, BenchError> {
    let work = move || {
        pin(processor);
        let mut block = Block::new(bytes, Huge::Asked, node)?;
        cycle(block.words_mut(), 1);
        let words = block.words();
        let mut at = follow(words, 0, STEPS / 8);
        let mut readings = Vec::new();
        for _ in 0..runs {
            let start = Instant::now();
            at = std::hint::black_box(follow(words, at, STEPS));
            readings.push(start.elapsed().as_nanos() as f64 / STEPS as f64);
        }
        Ok(Spread::new(readings))
    };
    let worker = std::thread::Builder::new().spawn(work).map_err(|e| BenchError::Worker(e.to_string()))?;
    worker.join().unwrap_or_else(|_| Err(BenchError::Worker("it ended early".to_string())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cycle_goes_through_every_line_once() {
        for lines in [1usize, 2, 3, 1000] {
            let mut words = vec![u64::MAX; lines * WORDS];
            cycle(&mut words, 7);
            let mut seen = vec![false; lines];
            let mut at = 0;
            for _ in 0..lines {
                assert!(at % WORDS == 0 && !std::mem::replace(&mut seen[at / WORDS], true));
                at = follow(&words, at, 1);
            }
            assert_eq!(at, 0);
        }
    }
}
