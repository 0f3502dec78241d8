//! All processors at once, each on memory of its own, until the end, an error, somebody's stop, or the machine running short.

use super::words::{Cell, exercise};
use super::{Exercise, Pattern};
use crate::BenchError;
use crate::machine::{Block, Free, Huge, PageMap, pin, yield_first};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// What is to be done.
#[derive(Debug, Clone)]
pub struct Plan {
    /// In all; shared out among the workers, each a multiple of 2 MiB.
    pub bytes: usize,
    /// Each worker's processor, and the node of its memory where that matters.
    pub workers: Vec<(usize, Option<u32>)>,
    pub exercises: Vec<Exercise>,
    /// How often all of them are done.
    pub rounds: u32,
    /// Stop at the first error.
    pub first: bool,
    /// See that each write leaves the caches: slow, but a read then comes from memory.
    pub flush: bool,
}

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Bytes read and written so far, and in all.
    pub done: u64,
    pub all: u64,
    pub elapsed: Duration,
    pub errors: u64,
}

impl Progress {
    /// Time left at the speed so far; `None` at the start.
    pub fn left(self) -> Option<Duration> {
        let share = self.done as f64 / self.all.max(1) as f64;
        (share > 0.005).then(|| self.elapsed.mul_f64(((1.0 - share) / share).max(0.0)))
    }
}

/// An error that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub exercise: usize,
    pub pattern: Pattern,
    /// Element of the march test, and operation in it, from 0.
    pub element: usize,
    pub operation: usize,
    pub expected: u64,
    pub read: u64,
    /// What a second read gave.
    pub again: u64,
    /// In this program, and in the machine where the kernel tells.
    pub address: usize,
    pub physical: Option<u64>,
}

/// Why it ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    Done,
    FirstError,
    Stopped,
    /// Other programs needed the memory.
    Short,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    pub end: End,
    /// Bytes that were exercised, and of these locked into memory.
    pub bytes: usize,
    pub locked: usize,
    /// Will the kernel end this program first where memory runs out?
    pub yields: bool,
    /// Each error up to [`KEPT`], and how many there were.
    pub found: Vec<Found>,
    pub errors: u64,
    pub progress: Progress,
}

/// Errors that are kept; the rest are counted.
pub const KEPT: usize = 1000;
/// How often the coordinator looks.
const LOOK: Duration = Duration::from_millis(200);

struct Shared<'a> {
    plan: &'a Plan,
    stop: &'a AtomicBool,
    /// Stop for a reason of our own.
    halt: AtomicBool,
    done: AtomicU64,
    errors: AtomicU64,
    found: Mutex<Vec<Found>>,
}

/// Exercises memory. `stop` may be set at any time, such as by a signal: workers then end within a moment and the memory goes
/// back. `progress` is told several times a second.
///
/// # Errors
/// The kernel gives no memory, or there is no processor.
pub fn run(plan: &Plan, stop: &AtomicBool, progress: &mut dyn FnMut(Progress)) -> Result<Outcome, BenchError> {
    if plan.workers.is_empty() {
        return Err(BenchError::NoProcessor);
    }
    let yields = yield_first();
    let each = plan.bytes / plan.workers.len();
    let mut blocks = Vec::new();
    for (_, node) in &plan.workers {
        blocks.push(Block::new(each, Huge::Asked, *node)?);
    }
    let bytes: usize = blocks.iter().map(Block::len).sum();
    let operations: u64 = plan.exercises.iter().map(Exercise::operations).sum();
    let all = bytes as u64 * operations * u64::from(plan.rounds);
    let shared = Shared {
        plan,
        stop,
        halt: AtomicBool::new(false),
        done: AtomicU64::new(0),
        errors: AtomicU64::new(0),
        found: Mutex::new(Vec::new()),
    };
    let start = Instant::now();
    let now = || Progress {
        done: shared.done.load(Ordering::Relaxed),
        all,
        elapsed: start.elapsed(),
        errors: shared.errors.load(Ordering::Relaxed),
    };
    let mut short = false;
    let mut locked = 0;
    std::thread::scope(|scope| {
        let workers: Vec<_> = plan
            .workers
            .iter()
            .zip(blocks)
            .map(|((processor, _), block)| scope.spawn(|| worker(*processor, block, &shared)))
            .collect();
        while workers.iter().any(|w| !w.is_finished()) {
            std::thread::sleep(LOOK);
            progress(now());
            if Free::now().is_ok_and(|free| free.available.mib() < free.reserve().mib() / 2) {
                short = true;
                shared.halt.store(true, Ordering::Relaxed);
            }
        }
        locked = workers.into_iter().filter_map(|w| w.join().ok()).sum();
    });
    let errors = shared.errors.load(Ordering::Relaxed);
    let end = match (short, plan.first && errors > 0, stop.load(Ordering::Relaxed)) {
        (true, _, _) => End::Short,
        (_, true, _) => End::FirstError,
        (_, _, true) => End::Stopped,
        _ => End::Done,
    };
    let progress = now();
    let mut found = shared.found.into_inner().unwrap_or_else(|held| held.into_inner());
    found.sort_by_key(|f| (f.physical, f.address));
    Ok(Outcome { end, bytes, locked, yields, found, errors, progress })
}

/// Exercises one block; bytes of it that were locked.
fn worker(processor: usize, mut block: Block, shared: &Shared<'_>) -> usize {
    pin(processor);
    nice();
    let pages = PageMap::open();
    let address = block.address();
    let locked = if block.lock() { block.len() } else { 0 };
    let go = || !shared.stop.load(Ordering::Relaxed) && !shared.halt.load(Ordering::Relaxed);
    for _ in 0..shared.plan.rounds {
        for (number, one) in shared.plan.exercises.iter().enumerate() {
            let mut go_on = |operations: u64| {
                shared.done.fetch_add(operations * 8, Ordering::Relaxed);
                go()
            };
            let mut found = |cell: Cell| {
                let at = address + cell.mismatch.cell * 8;
                shared.note(number, cell, at, pages.physical(at));
                if shared.plan.first {
                    shared.halt.store(true, Ordering::Relaxed);
                }
                go()
            };
            let mut words = block.words_mut();
            if !go() || !exercise(one, &mut words, shared.plan.flush, &mut go_on, &mut found) {
                return locked;
            }
        }
    }
    locked
}

impl Shared<'_> {
    fn note(&self, exercise: usize, cell: Cell, address: usize, physical: Option<u64>) {
        self.errors.fetch_add(1, Ordering::Relaxed);
        let mut found = self.found.lock().unwrap_or_else(|held| held.into_inner());
        if found.len() < KEPT {
            let m = cell.mismatch;
            found.push(Found {
                exercise,
                pattern: cell.pattern,
                element: m.element,
                operation: m.operation,
                expected: m.expected,
                read: m.read,
                again: m.again,
                address,
                physical,
            });
        }
    }
}

/// Lets everything else go first: the calling thread gives way.
fn nice() {
    // SAFETY: on Linux this sets the priority of the calling thread alone; lowering it needs no right.
    unsafe { libc::setpriority(libc::PRIO_PROCESS, 0, 10) };
}

#[cfg(test)]
mod tests {
    use super::super::all;
    use super::*;

    fn plan(bytes: usize) -> Plan {
        let mut exercises = all();
        exercises.truncate(2);
        Plan { bytes, workers: vec![(0, None), (0, None)], exercises, rounds: 1, first: false, flush: false }
    }

    #[test]
    fn good_memory_passes_and_all_of_it_is_done() {
        let outcome = run(&plan(4 << 20), &AtomicBool::new(false), &mut |_| ()).unwrap();
        assert_eq!((outcome.end, outcome.errors, outcome.bytes), (End::Done, 0, 4 << 20));
        assert_eq!(outcome.progress.done, outcome.progress.all);
        assert_eq!(outcome.progress.all, (4 << 20) * 15);
    }

    #[test]
    fn a_stop_ends_it() {
        let stop = AtomicBool::new(true);
        let outcome = run(&plan(4 << 20), &stop, &mut |_| ()).unwrap();
        assert_eq!((outcome.end, outcome.progress.done), (End::Stopped, 0));
        let many = Plan { rounds: 1_000_000, ..plan(4 << 20) };
        let late = AtomicBool::new(false);
        let outcome = run(&many, &late, &mut |_| late.store(true, Ordering::Relaxed)).unwrap();
        assert!(outcome.end == End::Stopped && outcome.progress.done < outcome.progress.all);
    }

    #[test]
    fn time_left_follows_the_share() {
        let progress = Progress { done: 25, all: 100, elapsed: Duration::from_secs(10), errors: 0 };
        assert_eq!(progress.left(), Some(Duration::from_secs(30)));
        assert_eq!(Progress { done: 0, ..progress }.left(), None);
    }
}
