//! `compare`: what was planned and what a machine reports → where they differ, and why that may be.

use super::sent::{self, Sent};
use super::{read, resolve};
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::snapshot::Snapshot;
use domain::{Board, Build, Capacity, Finding, Outcome, Place, ProcessorName, Severity, SlotIndex};
use engine::compare::{self, Cause, Comparison, Count, Difference, Errors, Expected, MatchedBy, Places, Where};
use engine::draft::{self, Confidence, DraftSlot};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Where plan and machine differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CompareView {
    /// What was planned: the file it came from.
    pub planned_from: String,
    /// What was seen: the file or address it came from.
    pub seen_from: String,
    /// How slots were matched: `name`, `place` (by socket, channel and position) or `nothing`.
    pub matched_by: String,
    /// Slots of the plan, and how many of them the report lists.
    pub slots_planned: usize,
    pub slots_listed: usize,
    /// Modules, DRAM only.
    pub modules_planned: usize,
    pub modules_seen: usize,
    pub capacity_planned_mib: u64,
    pub capacity_seen_mib: u64,
    /// The gravest first; empty where the machine is as planned.
    pub differences: Vec<DifferenceView>,
    /// Errors that the earlier report counted already, where none came since: no difference.
    pub old_errors: Vec<ErrorsView>,
    /// What this report cannot tell, in sentences.
    pub untold: Vec<String>,
    /// What reading the report brought up, in sentences.
    pub notes: Vec<String>,
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DifferenceView {
    /// `socket-gone`, `controller-gone`, `channel-gone`, `processor-missing`, `missing`, `disabled`, `swapped`,
    /// `wrong-slot`, `different-kind`, `smaller`, `larger`, `different-part`, `different-module`, `unexpected`, `slower`
    /// or `errors`.
    pub what: String,
    /// In words.
    pub place: String,
    /// The slots that it touches; of a move the planned one first.
    pub slots: Vec<String>,
    /// From 0, where known.
    pub socket: Option<u8>,
    /// From 0 within the socket, where the plan knows controllers, or an earlier report states them.
    pub controller: Option<u8>,
    /// From 0 within its controller, else within the socket.
    pub channel: Option<u8>,
    pub planned: String,
    pub seen: String,
    /// The likeliest first.
    pub causes: Vec<CauseView>,
    /// Errors in numbers; of `errors` alone.
    pub errors: Option<ErrorsView>,
}

/// Errors of one place, then and now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorsView {
    pub place: String,
    pub corrected: u64,
    pub uncorrected: u64,
    /// Seconds that these counters have run.
    pub seconds: Option<u64>,
    /// What the earlier report counted there, where it counted and the same module sat there.
    pub earlier: Option<CountView>,
    /// What came since; none where that can't be said.
    pub new: Option<CountView>,
    /// Did the counters begin again since the earlier report?
    pub began_again: bool,
    /// Does another module sit there now, by its serial number?
    pub other_module: bool,
    /// Where this module sat before, and what it had counted there.
    pub moved_from: Option<MovedView>,
    /// In a sentence, where none came since.
    pub words: Option<String>,
}

/// Errors that were counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountView {
    pub corrected: u64,
    pub uncorrected: u64,
}

/// A module's earlier slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MovedView {
    pub slot: String,
    pub corrected: u64,
    pub uncorrected: u64,
}

/// One likely cause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CauseView {
    pub what: String,
    /// Why it comes to mind, or how it shows.
    pub why: String,
    /// How this is known.
    pub mark: String,
}

/// Compares a plan (a build file, or an earlier report) with what a machine reports; `number` chooses among several.
///
/// # Errors
/// A file is wrong, a report holds several machines, or no slot of the two can be matched.
pub fn compare(
    library: &Library,
    plan: &Path,
    seen: &[PathBuf],
    number: Option<usize>,
) -> Result<CompareView, Failure> {
    let names = (plan.display().to_string(), read::name_of_paths(seen));
    let now = one(read::machines(seen)?, &names.1, number)?;
    let expected = match build(library, plan)? {
        Some(expected) => expected,
        None => reported(library, &one(read::machines(&[plan])?, &names.0, number)?),
    };
    held(library, &expected, &now, names)
}

/// Compares a build with a report that was sent; `planned_from` is what the build is called.
///
/// # Errors
/// As [`compare`].
pub fn compare_build(
    library: &Library,
    build: &Build,
    planned_from: &str,
    seen: &[Sent<'_>],
    number: Option<usize>,
) -> Result<CompareView, Failure> {
    let names = (planned_from.to_string(), sent::name_of(seen));
    let now = one(read::machines_sent(seen)?, &names.1, number)?;
    held(library, &Expected::build(build), &now, names)
}

/// Which of two reports a failure is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Before,
    Seen,
}

/// Compares an earlier report with a later one, both sent.
///
/// # Errors
/// As [`compare`], each with the report that it is about.
pub fn compare_reports(
    library: &Library,
    before: &[Sent<'_>],
    seen: &[Sent<'_>],
    number: Option<usize>,
) -> Result<CompareView, Vec<(Side, Failure)>> {
    let names = (sent::name_of(before), sent::name_of(seen));
    let read = |files: &[Sent<'_>], name: &str| one(read::machines_sent(files)?, name, number);
    match (read(before, &names.0), read(seen, &names.1)) {
        (Ok(before), Ok(now)) => {
            let expected = reported(library, &before);
            held(library, &expected, &now, names).map_err(|failure| vec![(Side::Seen, failure)])
        }
        (before, seen) => {
            let failed = [(Side::Before, before.err()), (Side::Seen, seen.err())];
            Err(failed.into_iter().filter_map(|(side, failure)| Some((side, failure?))).collect())
        }
    }
}

fn reported(library: &Library, before: &Snapshot) -> Expected {
    let (known, _) = places(before, library.names());
    Expected::snapshot(before, &known)
}

fn held(
    library: &Library,
    expected: &Expected,
    now: &Snapshot,
    (planned_from, seen_from): (String, String),
) -> Result<CompareView, Failure> {
    let (places, mut notes) = places(now, library.names());
    let comparison = compare::compare(expected, now, &places);
    if comparison.matched_by == MatchedBy::Nothing {
        let names = |all: Vec<String>| all.into_iter().take(3).collect::<Vec<_>>().join(", ");
        let ours = names(expected.slots.iter().map(|s| s.name.trim().to_string()).collect());
        let theirs = names(now.memory_slots().map(|s| s.name.trim().to_string()).collect());
        return Err(Failure::Machine {
            from: seen_from,
            why: format!("none of its slots ({theirs} …) is one of the plan ({ours} …), by name or by place"),
            hint: "is it the same board? `draft` makes a board file with the machine's own names".to_string(),
        });
    }
    notes.extend(now.notes.iter().map(|n| match &n.place {
        Some(place) => format!("{place}: {}", n.what),
        None => n.what.clone(),
    }));
    Ok(CompareView::new(&comparison, &planned_from, &seen_from, notes))
}

/// Compares a build with what a machine reports, for diagnosis; with it what reading brought up, in sentences.
///
/// # Errors
/// The report is wrong or holds several machines, or no slot of it can be matched to one of the build.
pub fn with_build(
    library: &Library,
    build: &domain::Build,
    seen: &Path,
    node: Option<usize>,
) -> Result<(Comparison, Vec<String>), Failure> {
    let now = one(read::machines(&[seen])?, &seen.display().to_string(), node)?;
    let (places, notes) = places(&now, library.names());
    let comparison = compare::compare(&Expected::build(build), &now, &places);
    if comparison.matched_by == MatchedBy::Nothing {
        return Err(Failure::Machine {
            from: seen.display().to_string(),
            why: "none of its slots is one of the build, by name or by place".to_string(),
            hint: "is it the same board? `compare` shows the names of both".to_string(),
        });
    }
    Ok((comparison, notes))
}

/// What a build file plans; `None` where the file is no TOML, and so is a report.
fn build(library: &Library, plan: &Path) -> Result<Option<Expected>, Failure> {
    if plan.extension().is_none_or(|e| e != "toml") {
        return Ok(None);
    }
    let files = Folder::default();
    let input = Input::file(&files, plan)?;
    let build = library.build(&input, &|text| resolve::module(library.catalog(), text))?;
    Ok(Some(Expected::build(&build)))
}

fn one(mut machines: Vec<Snapshot>, from: &str, number: Option<usize>) -> Result<Snapshot, Failure> {
    let count = machines.len();
    let failed = |why: String, hint: String| Failure::Machine { from: from.to_string(), why, hint };
    match (number, count) {
        (_, 0) => Err(failed("it reports no machine".to_string(), "give a report of one".to_string())),
        (None, 1) => Ok(machines.swap_remove(0)),
        (None, _) => {
            Err(failed(format!("it reports {count} machines"), format!("choose one with --system 1 to {count}")))
        }
        (Some(n), _) if (1..=count).contains(&n) => Ok(machines.swap_remove(n - 1)),
        (Some(n), _) => Err(failed(format!("it has no machine {n}"), format!("choose one with --system 1 to {count}"))),
    }
}

/// Where the slots of a report are, as far as its names and counts tell, and a note where that is only likely.
fn places(snapshot: &Snapshot, names: &[ProcessorName]) -> (Places, Vec<String>) {
    let draft = draft::draft(snapshot, names);
    let place = |s: &DraftSlot| {
        Some(Where {
            socket: s.socket?.try_into().ok()?,
            controller: None,
            channel: s.channel?.try_into().ok()?,
            position: s.position.and_then(|p| p.try_into().ok()),
        })
    };
    let known = draft.slots.iter().filter(|s| s.confidence != Confidence::Unsure);
    let mut places: Places = known.filter_map(|s| Some((s.handle.as_str().into(), place(s)?))).collect();
    compare::add_controllers(snapshot, &mut places);
    let likely = draft.slots.iter().filter(|s| s.confidence == Confidence::Likely).count();
    let open = draft.slots.len() - places.len();
    let mut notes = Vec::new();
    if likely > 0 {
        notes.push(format!(
            "sockets and channels of {likely} slots are worked out from names and counts: likely, not certain"
        ));
    }
    if open > 0 {
        notes.push(format!(
            "which channel {open} slots belong to is not known: a channel that is gone shows slot by slot"
        ));
    }
    (places, notes)
}

/// The differences as findings on the slots of the plan, for the map.
pub fn marks(view: &CompareView, board: &Board) -> Vec<Finding> {
    let mark = |difference: &DifferenceView| {
        let slots: Vec<SlotIndex> = difference.slots.iter().filter_map(|s| board.slot_by_label(s)).collect();
        (!slots.is_empty()).then(|| Finding {
            rule: "differs-from-plan",
            severity: difference.severity(),
            outcome: Outcome::Unknown,
            place: Place::Slots(slots),
            evidence: format!("planned {}, seen {}", difference.planned, difference.seen),
            advice: String::new(),
        })
    };
    view.differences.iter().filter_map(mark).collect()
}

impl CompareView {
    /// A comparison as plain data.
    pub fn new(comparison: &Comparison, planned_from: &str, seen_from: &str, notes: Vec<String>) -> Self {
        let by = match comparison.matched_by {
            MatchedBy::Name => "name",
            MatchedBy::Place => "place",
            MatchedBy::Nothing => "nothing",
        };
        let (planned, seen): (Capacity, Capacity) = comparison.capacity;
        Self {
            planned_from: planned_from.to_string(),
            seen_from: seen_from.to_string(),
            matched_by: by.to_string(),
            slots_planned: comparison.slots.0,
            slots_listed: comparison.slots.1,
            modules_planned: comparison.modules.0,
            modules_seen: comparison.modules.1,
            capacity_planned_mib: planned.mib(),
            capacity_seen_mib: seen.mib(),
            differences: comparison.differences.iter().map(DifferenceView::new).collect(),
            old_errors: comparison
                .old_errors
                .iter()
                .map(|e| ErrorsView { words: Some(e.to_string()), ..ErrorsView::new(e) })
                .collect(),
            untold: comparison.untold.clone(),
            notes,
        }
    }
}

impl DifferenceView {
    /// How it is marked on a map: what is gone weighs most, another part of the same sort least.
    pub fn severity(&self) -> Severity {
        match self.what.as_str() {
            "slower" => Severity::Slower,
            "missing" | "disabled" | "socket-gone" | "controller-gone" | "channel-gone" | "processor-missing"
            | "smaller" | "errors" => Severity::Wrong,
            _ => Severity::Note,
        }
    }
    fn new(difference: &Difference) -> Self {
        let at: Option<Where> = difference.at;
        Self {
            what: difference.what.to_string(),
            place: difference.place.clone(),
            slots: difference.slots.clone(),
            socket: at.map(|a| a.socket),
            controller: at.and_then(|a| a.controller),
            channel: at.map(|a| a.channel),
            planned: difference.planned.clone(),
            seen: difference.seen.clone(),
            causes: difference.causes.iter().map(CauseView::new).collect(),
            errors: difference.errors.as_ref().map(ErrorsView::new),
        }
    }
}

impl ErrorsView {
    fn new(errors: &Errors) -> Self {
        let count = |c: Count| CountView { corrected: c.corrected, uncorrected: c.uncorrected };
        Self {
            place: errors.place.clone(),
            corrected: errors.now.corrected,
            uncorrected: errors.now.uncorrected,
            seconds: errors.seconds,
            earlier: errors.earlier.map(count),
            new: errors.new.map(count),
            began_again: errors.began_again,
            other_module: errors.other_module,
            moved_from: errors.moved_from.as_ref().map(|(slot, c)| MovedView {
                slot: slot.clone(),
                corrected: c.corrected,
                uncorrected: c.uncorrected,
            }),
            words: None,
        }
    }
}

impl CauseView {
    fn new(cause: &Cause) -> Self {
        Self { what: cause.what.clone(), why: cause.why.clone(), mark: cause.mark.to_string() }
    }
}
