//! `compare`: what was planned and what a machine reports → where they differ, and why that may be.

mod view;

pub use view::{CompareView, DifferenceView};

use super::sent::{self, Sent};
use super::{read, resolve};
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::snapshot::{ErrorCounts, Snapshot};
use domain::{Board, Build, Finding, Outcome, Place, ProcessorName, SlotIndex};
use engine::compare::{self, Comparison, Expected, MatchedBy, Places, Where};
use engine::draft::{self, Confidence, DraftSlot};
use std::path::{Path, PathBuf};

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
    if comparison.matched_by == MatchedBy::Nothing && !counters_alone(expected, now) {
        return Err(strangers(expected, now, seen_from));
    }
    notes.extend(now.notes.iter().map(|n| match &n.place {
        Some(place) => format!("{place}: {}", n.what),
        None => n.what.clone(),
    }));
    Ok(CompareView::new(&comparison, &planned_from, &seen_from, notes))
}

/// Two reports of counters without slots can still be held against each other.
fn counters_alone(expected: &Expected, now: &Snapshot) -> bool {
    let slots = expected.slots.is_empty() && now.memory_slots().next().is_none();
    slots && !expected.counted.is_empty() && matches!(now.errors, ErrorCounts::Read(_))
}

/// No slot of the one is a slot of the other.
fn strangers(expected: &Expected, now: &Snapshot, from: String) -> Failure {
    let names = |all: Vec<String>| all.into_iter().take(3).collect::<Vec<_>>().join(", ");
    let theirs = names(now.memory_slots().map(|s| s.name.trim().to_string()).collect());
    if theirs.is_empty() {
        let why = "it lists no memory slots".to_string();
        let hint =
            "take it as root, so that the machine's SMBIOS table is in it: `sudo slotwright snapshot`".to_string();
        return Failure::Machine { from, why, hint };
    }
    let ours = names(expected.slots.iter().map(|s| s.name.trim().to_string()).collect());
    Failure::Machine {
        from,
        why: format!("none of its slots ({theirs} …) is one of the plan ({ours} …), by name or by place"),
        hint: "is it the same board? `draft` makes a board file with the machine's own names".to_string(),
    }
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
    let expected = Expected::build(build);
    let comparison = compare::compare(&expected, &now, &places);
    if comparison.matched_by == MatchedBy::Nothing {
        return Err(strangers(&expected, &now, seen.display().to_string()));
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
