//! What is asked: a build with a report of the machine, or with a symptom entered by hand.

use super::failure;
use crate::failure::Failure;
use crate::verbs::{compare, nearest, resolve};
use catalog::{Folder, Input, Library};
use domain::Build;
use domain::board::SlotIndex;
use domain::fault::Outcome;
use engine::diagnose::{Aim, Setting, Sign, Symptom};
use std::path::Path;

/// Where the symptom comes from.
#[derive(Debug, Clone, Copy)]
pub enum Place<'a> {
    /// A report of the machine: it is compared with the build. `difference` chooses among several, from 1.
    Report { seen: &'a Path, node: Option<usize>, difference: Option<usize> },
    /// Entered by hand: a sign, and the slots (or the socket) that show it.
    Hand { sign: &'a str, at: &'a [String] },
}

/// The whole question.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The build file.
    pub plan: &'a Path,
    pub place: Place<'a>,
    /// `run` or `prove`.
    pub aim: &'a str,
    /// Of a hundred starts, how many show the symptom while the fault is there: 1 to 100.
    pub shows_up: u8,
    /// The shop's own outcomes.
    pub outcomes: Option<&'a Path>,
    /// `test=answer`, in order.
    pub answers: &'a [String],
}

/// A build with its symptom.
#[derive(Debug)]
pub struct Found {
    pub build: Build,
    pub symptom: Symptom,
    pub notes: Vec<String>,
}

pub fn setting(library: &Library, asked: &Asked<'_>) -> Result<Setting, Failure> {
    let outcomes = match asked.outcomes {
        None => Vec::new(),
        Some(path) => library.outcomes(&Input::file(&Folder::default(), path)?)?,
    };
    set(asked.aim, asked.shows_up, outcomes)
}

/// The setting of an aim, how often it shows, and the shop's outcomes.
///
/// # Errors
/// There is no such aim, or no such share.
pub fn set(aim: &str, shows_up: u8, outcomes: Vec<Outcome>) -> Result<Setting, Failure> {
    let known = Aim::parse(aim).ok_or_else(|| failure(&format!("there is no aim `{aim}`"), "use run or prove"))?;
    if !(1..=100).contains(&shows_up) {
        let why = format!("{shows_up} of 100 starts can't be");
        return Err(failure(&why, "give how many of 100 starts show it, 1 to 100"));
    }
    Ok(Setting { aim: known, shows: f64::from(shows_up) / 100.0, outcomes, ..Setting::default() })
}

pub fn symptom(library: &Library, asked: &Asked<'_>) -> Result<Found, Failure> {
    let files = Folder::default();
    let input = Input::file(&files, asked.plan)?;
    let build = library.build(&input, &|text| resolve::module(library.catalog(), text))?;
    match asked.place {
        Place::Hand { sign, at } => by_hand(build, sign, at),
        Place::Report { seen, node, difference } => compared(library, build, seen, node, difference),
    }
}

/// A build with a symptom that was entered by hand.
///
/// # Errors
/// There is no such sign, or it can't be there.
pub fn by_hand(build: Build, word: &str, at: &[String]) -> Result<Found, Failure> {
    let words = || Sign::ALL.iter().map(|s| s.word());
    let sign = Sign::parse(word).ok_or_else(|| {
        let list = words().collect::<Vec<_>>().join(", ");
        failure(&format!("there is no symptom `{word}`"), &format!("use one of: {list}"))
    })?;
    if at.is_empty() && !sign.is_everywhere() {
        return Err(failure(&format!("{sign} has a place"), "name the slot that shows it with --at"));
    }
    let mut slots: Vec<SlotIndex> = Vec::new();
    for name in at {
        slots.extend(place(&build, name)?);
    }
    let symptom = Symptom::at(&build, sign, &slots).ok_or_else(|| {
        let why = format!("{sign} can't be at {}", if at.is_empty() { "an empty machine".into() } else { at.join(", ") });
        let hint = "one filled slot for a module, any slot of a channel for a channel, any of a socket for a processor; \
                    several slots for correctable errors only";
        failure(&why, hint)
    })?;
    Ok(Found { build, symptom, notes: Vec::new() })
}

/// The slots of a label or of a socket's name.
fn place(build: &Build, name: &str) -> Result<Vec<SlotIndex>, Failure> {
    let board = &build.board;
    if let Some(slot) = board.slot_by_label(name) {
        return Ok(vec![slot]);
    }
    if let Some(socket) = board.sockets.iter().find(|s| s.name.eq_ignore_ascii_case(name.trim())) {
        return Ok(socket.slots().collect());
    }
    let near = nearest(name, board.slots.iter().map(|s| s.label.as_str()));
    let hint = match near.as_slice() {
        [] => format!("`slotwright boards {}` shows its slots", board.id),
        near => format!("did you mean {}?", near.join(" or ")),
    };
    Err(failure(&format!("board {} has no slot or socket `{name}`", board.id), &hint))
}

/// The symptom that a comparison finds: the first that is one, or the one that was chosen.
fn compared(
    library: &Library,
    build: Build,
    seen: &Path,
    node: Option<usize>,
    chosen: Option<usize>,
) -> Result<Found, Failure> {
    let (comparison, mut notes) = compare::with_build(library, &build, seen, node)?;
    let all = &comparison.differences;
    if all.is_empty() {
        let why = "the machine is as planned: there is nothing to look for";
        return Err(failure(why, "for a symptom that the report does not show, give --symptom and --at"));
    }
    let symptoms: Vec<Option<Symptom>> = all.iter().map(|d| Symptom::of(d, &build)).collect();
    let number = match chosen {
        None => symptoms.iter().position(Option::is_some).map(|i| i + 1),
        Some(n) => Some(n).filter(|n| (1..=all.len()).contains(n)),
    };
    let told = |n: usize| all.get(n - 1).map_or_else(String::new, |d| format!("{}: {}", d.what, d.place));
    let symptom = number.and_then(|n| symptoms.get(n - 1).cloned().flatten());
    let (Some(number), Some(symptom)) = (number, symptom) else {
        let list: Vec<String> = (1..=all.len()).map(|n| format!("({n}) {}", told(n))).collect();
        let why = format!("no fault to look for there; the differences are {}", list.join("; "));
        return Err(failure(&why, "put modules that are in wrong places right as planned, then compare again"));
    };
    for n in (1..=all.len()).filter(|n| *n != number) {
        notes.push(match symptoms.get(n - 1).is_some_and(Option::is_some) {
            true => format!("not looked at here: {} (--difference {n})", told(n)),
            false => format!("put right first, as planned: {}", told(n)),
        });
    }
    Ok(Found { build, symptom, notes })
}
