//! What came of exercising, as plain data.

use super::blame;
use super::lines::{self, LinesView};
use bench::exercise::{End, Found, LIMITS, Outcome, Plan};
use bench::machine::Free;
use domain::Snapshot;
use domain::snapshot::ErrorCounts;
use schemars::JsonSchema;
use serde::Serialize;

/// What came of exercising.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExerciseView {
    /// `done`, `first-error`, `stopped` or `memory-short`.
    pub end: String,
    pub exercised_mib: u64,
    pub total_mib: u64,
    /// What stayed free for others.
    pub reserve_mib: u64,
    pub locked_mib: u64,
    pub processors: usize,
    pub rounds: u32,
    /// Each write left the caches.
    pub flushed: bool,
    pub exercises: Vec<OneView>,
    pub seconds: f64,
    /// Bytes read and written, and what was planned.
    pub moved_bytes: u64,
    pub planned_bytes: u64,
    /// Words that were read wrong, each time counted.
    pub errors: u64,
    /// The first of them by address.
    pub found: Vec<ErrorView>,
    /// What the wrong bits have in common, with the place on the module's edge.
    pub shared: Option<LinesView>,
    /// Counters of the kernel that went up meanwhile.
    pub counters: Vec<CounterView>,
    /// Does the kernel count errors at all?
    pub counted: bool,
    /// What it did not reach, in sentences.
    pub limits: Vec<String>,
    pub notes: Vec<String>,
}

/// One exercise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OneView {
    /// What it does.
    pub name: String,
    /// In the usual notation.
    pub march: String,
    pub patterns: Vec<String>,
    /// Operations a word, over all patterns.
    pub operations: u64,
    pub citation: String,
}

/// A word that was read wrong.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorView {
    pub exercise: String,
    /// Part of the march test, and operation in it, from 0.
    pub element: usize,
    pub operation: usize,
    pub pattern: String,
    /// Hexadecimal.
    pub expected: String,
    pub read: String,
    pub again: String,
    /// Bits that differ, from 0.
    pub bits: Vec<u32>,
    /// Did a second read give the right value?
    pub passing: bool,
    pub address: u64,
    /// In the machine, where the kernel tells.
    pub physical: Option<u64>,
    /// The likely slot.
    pub slot: Option<String>,
}

/// A module's counters, by how much they went up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CounterView {
    pub module: String,
    pub corrected: u64,
    pub uncorrected: u64,
}

impl ExerciseView {
    /// An outcome, with the machine's report before and its counters after.
    pub fn new(plan: &Plan, free: Free, outcome: &Outcome, before: &Snapshot, after: &ErrorCounts) -> Self {
        let end = match outcome.end {
            End::Done => "done",
            End::FirstError => "first-error",
            End::Stopped => "stopped",
            End::Short => "memory-short",
        };
        let mib = |bytes: usize| bytes as u64 >> 20;
        let found: Vec<ErrorView> = outcome.found.iter().map(|f| ErrorView::new(plan, f, before)).collect();
        Self {
            end: end.to_string(),
            exercised_mib: mib(outcome.bytes),
            total_mib: free.total.mib(),
            reserve_mib: free.reserve().mib(),
            locked_mib: mib(outcome.locked),
            processors: plan.workers.len(),
            rounds: plan.rounds,
            flushed: plan.flush,
            exercises: plan.exercises.iter().map(OneView::new).collect(),
            seconds: outcome.progress.elapsed.as_secs_f64(),
            moved_bytes: outcome.progress.done,
            planned_bytes: outcome.progress.all,
            errors: outcome.errors,
            shared: lines::shared(&found, before),
            found,
            counters: blame::risen(&before.errors, after),
            counted: matches!(after, ErrorCounts::Read(_)),
            limits: LIMITS.iter().map(|l| (*l).to_string()).collect(),
            notes: notes(outcome, after),
        }
    }
    /// Is anything amiss?
    pub fn has_findings(&self) -> bool {
        self.errors > 0 || !self.counters.is_empty()
    }
}

impl OneView {
    /// An exercise as plain data.
    pub fn new(one: &bench::exercise::Exercise) -> Self {
        Self {
            name: one.name.clone(),
            march: one.march.to_string(),
            patterns: one.patterns.iter().map(|p| p.words()).collect(),
            operations: one.operations(),
            citation: one.citation.clone(),
        }
    }
}

impl ErrorView {
    fn new(plan: &Plan, found: &Found, machine: &Snapshot) -> Self {
        let differ = found.expected ^ found.read;
        Self {
            exercise: plan.exercises.get(found.exercise).map_or_else(String::new, |e| e.name.clone()),
            element: found.element,
            operation: found.operation,
            pattern: found.pattern.words(),
            expected: format!("{:016X}", found.expected),
            read: format!("{:016X}", found.read),
            again: format!("{:016X}", found.again),
            bits: (0..64).filter(|b| differ >> b & 1 == 1).collect(),
            passing: found.again == found.expected,
            address: found.address as u64,
            physical: found.physical,
            slot: found.physical.and_then(|p| blame::slot(machine, p)),
        }
    }
}

fn notes(outcome: &Outcome, after: &ErrorCounts) -> Vec<String> {
    let mut notes = Vec::new();
    if outcome.locked < outcome.bytes {
        notes.push(
            "the kernel did not lock all of it (a limit for users, `ulimit -l`): pages may be moved meanwhile, so a physical \
             address may be another page's; run it as root"
                .to_string(),
        );
    }
    if !matches!(after, ErrorCounts::Read(_)) {
        notes.push(
            "the kernel counts no errors here: on a machine with ECC single bits that were corrected go unseen"
                .to_string(),
        );
    }
    if outcome.errors > 0 && outcome.found.iter().all(|f| f.physical.is_none()) {
        notes.push("the kernel does not show physical addresses to this user: run it as root".to_string());
    }
    if !outcome.yields {
        notes.push(
            "the kernel did not take it that this program is to be ended first where memory runs out".to_string(),
        );
    }
    if outcome.end == End::Short {
        notes.push("other programs needed memory, so it was given back early".to_string());
    }
    notes
}
