//! Pinned workers, each with memory of its own. Time is taken inside the workers, from the first start to the last end: a
//! coordinator that is scheduled late would see too short a time.

use super::{Spread, Wide, kernels};
use crate::BenchError;
use crate::machine::{Block, Huge, Node, pin};
use std::sync::Barrier;
use std::time::{Duration, Instant};

/// A way of moving data (J. D. McCalpin's streams, 1995, and the two halves of a copy).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stream {
    Read,
    Write,
    Copy,
    Triad,
}

impl Stream {
    /// All, with their names.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::Read, "read"), (Self::Write, "write"), (Self::Copy, "copy"), (Self::Triad, "triad")];
    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(s, _)| *s == self).map_or("", |(_, n)| n)
    }
    /// Reads its name.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| *n == text).map(|(s, _)| *s)
    }
    /// Bytes that the program moves for each element of 8 bytes.
    pub fn bytes(self) -> u64 {
        match self {
            Self::Read | Self::Write => 8,
            Self::Copy => 16,
            Self::Triad => 24,
        }
    }
    /// Additions and multiplications for each element, as the definition counts them.
    pub fn operations(self) -> u64 {
        if self == Self::Triad { 2 } else { 0 }
    }
    /// Bytes that memory moves where each stored line is read first.
    pub fn bytes_allocating(self) -> u64 {
        self.bytes() + if self == Self::Read { 0 } else { 8 }
    }
}

/// One stream in one way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    pub stream: Stream,
    pub wide: Wide,
}

/// What is measured: where the workers run, where their memory lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The nodes' numbers; `None` for all nodes together, each on its own memory.
    pub from: Option<u32>,
    pub to: Option<u32>,
    /// Each worker's processor, and the node of its memory.
    pub workers: Vec<(usize, u32)>,
}

/// What one step came to, in GB/s (10^9 bytes a second).
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub step: Step,
    pub gbs: Spread,
}

/// Every node's processors on every node's memory, and where there are several all of them at once on their own.
pub fn plans(nodes: &[Node]) -> Vec<Plan> {
    let mut plans = Vec::new();
    for from in nodes.iter().filter(|n| !n.processors.is_empty()) {
        for to in nodes.iter().filter(|n| n.memory) {
            let workers = from.processors.iter().map(|p| (*p, to.number)).collect();
            plans.push(Plan { from: Some(from.number), to: Some(to.number), workers });
        }
    }
    if plans.len() > 1 {
        let own = nodes.iter().filter(|n| n.memory);
        let workers = own.flat_map(|n| n.processors.iter().map(|p| (*p, n.number))).collect();
        plans.push(Plan { from: None, to: None, workers });
    }
    plans
}

/// Shortest reading that is worth its name.
const LEAST: Duration = Duration::from_millis(40);

/// Start and end of each worker in each step and run.
type Times = Vec<(Instant, Instant)>;

/// Measures each step `runs` times after one that is not counted. `bytes` is the size of each of a worker's three arrays.
///
/// # Errors
/// The kernel gives no memory or no threads.
pub fn bandwidth(plan: &Plan, bytes: usize, steps: &[Step], runs: usize) -> Result<Vec<Reading>, BenchError> {
    if plan.workers.is_empty() {
        return Err(BenchError::NoProcessor);
    }
    // Mapped before any worker waits for the others, so that none waits for one that got no memory.
    let several = plan.workers.iter().any(|(_, n)| *n != 0);
    let mut arrays = Vec::new();
    for (_, node) in &plan.workers {
        let one = || Block::new(bytes, Huge::Asked, several.then_some(*node));
        arrays.push([one()?, one()?, one()?]);
    }
    // A block is whole pages, so of whole steps.
    let elements = arrays.first().map_or(0, |a| a[0].len() as u64 / 8);
    let barrier = Barrier::new(plan.workers.len());
    let times: Vec<(Times, usize)> = std::thread::scope(|scope| {
        let workers: Vec<_> = plan
            .workers
            .iter()
            .zip(arrays)
            .map(|((processor, _), arrays)| scope.spawn(|| worker(*processor, arrays, steps, runs, &barrier)))
            .collect();
        workers.into_iter().filter_map(|w| w.join().ok()).collect()
    });
    let mut readings = Vec::new();
    for (s, step) in steps.iter().enumerate() {
        let run = |r: usize| {
            let at = s * runs + r;
            let first = times.iter().filter_map(|(t, _)| Some(t.get(at)?.0)).min()?;
            let last = times.iter().filter_map(|(t, _)| Some(t.get(at)?.1)).max()?;
            let passes: u64 = times.iter().map(|(_, passes)| *passes as u64).sum();
            let moved = passes * elements * step.stream.bytes();
            Some(moved as f64 / last.duration_since(first).as_secs_f64() / 1e9)
        };
        readings.push(Reading { step: *step, gbs: Spread::new((0..runs).filter_map(run).collect()) });
    }
    Ok(readings)
}

fn worker(processor: usize, mut arrays: [Block; 3], steps: &[Step], runs: usize, barrier: &Barrier) -> (Times, usize) {
    pin(processor);
    // First touched here, so that without a policy the pages are near this processor.
    for block in &mut arrays {
        block.words_mut().fill(1.5f64.to_bits());
    }
    let [mut a, b, c] = arrays;
    // The same for every worker, or their ends would lie apart: from the size alone, at 10 GB/s a worker.
    let expected = Duration::from_secs_f64(a.len() as f64 / 10e9).max(Duration::from_micros(10));
    let passes = (LEAST.as_nanos() / expected.as_nanos()).clamp(1, 10_000) as usize;
    let mut times = Vec::with_capacity(steps.len() * runs);
    for step in steps {
        for run in 0..=runs {
            barrier.wait();
            let start = Instant::now();
            for _ in 0..passes {
                pass(*step, &mut a, &b, &c);
            }
            let end = Instant::now();
            if run > 0 {
                times.push((start, end));
            }
        }
    }
    (times, passes)
}

fn pass(step: Step, a: &mut Block, b: &Block, c: &Block) {
    let Step { stream, wide } = step;
    let (b, c) = (floats(b), floats(c));
    match stream {
        Stream::Read => {
            std::hint::black_box(kernels::read(wide, b));
        }
        Stream::Write => kernels::write(wide, floats_mut(a), 2.5),
        Stream::Copy => kernels::copy(wide, floats_mut(a), b),
        Stream::Triad => kernels::triad(wide, floats_mut(a), b, c),
    }
}

fn floats(block: &Block) -> &[f64] {
    let words = block.words();
    // SAFETY: any 64 bits are a float, of the same size and boundary; the borrow goes on.
    unsafe { std::slice::from_raw_parts(words.as_ptr().cast(), words.len()) }
}

fn floats_mut(block: &mut Block) -> &mut [f64] {
    let words = block.words_mut();
    // SAFETY: as in `floats`; the borrow is alone.
    unsafe { std::slice::from_raw_parts_mut(words.as_mut_ptr().cast(), words.len()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_of_nodes_is_planned_and_all_at_once() {
        let node = |number, processors: &[usize], memory| Node { number, processors: processors.to_vec(), memory };
        let one = plans(&[node(0, &[0, 1], true)]);
        assert_eq!(one, [Plan { from: Some(0), to: Some(0), workers: vec![(0, 0), (1, 0)] }]);
        let two = plans(&[node(0, &[0], true), node(1, &[1], true), node(2, &[], true), node(3, &[3], false)]);
        let pairs: Vec<_> = two.iter().map(|p| (p.from, p.to)).collect();
        assert_eq!(pairs.len(), 3 * 3 + 1);
        assert_eq!(two.last().unwrap().workers, [(0, 0), (1, 1)]);
    }

    #[test]
    fn every_step_has_its_runs() {
        let plan = plans(&crate::machine::nodes()).swap_remove(0);
        let steps: Vec<Step> = Stream::ALL
            .iter()
            .flat_map(|(stream, _)| Wide::all().into_iter().map(|wide| Step { stream: *stream, wide }))
            .collect();
        let readings = bandwidth(&plan, 2 << 20, &steps, 2).unwrap();
        assert_eq!(readings.len(), steps.len());
        assert!(readings.iter().all(|r| r.gbs.count() == 2 && r.gbs.least() > 0.0));
        let none = Plan { workers: Vec::new(), ..plan };
        assert_eq!(bandwidth(&none, 1, &steps, 1), Err(BenchError::NoProcessor));
    }
}
