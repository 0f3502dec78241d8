//! Error counters, by the slot that they belong to: what came since an earlier report, what was there before, and whose it is
//! where a module has moved.

use super::causes::Cause;
use super::counter_slots::slot;
use super::identity::same_serials;
use super::moves::{Moves, held};
use super::pairing::Pairs;
use super::{Difference, Expected, What};
use domain::Snapshot;
use domain::snapshot::{ErrorController, ErrorCounts, ErrorModule};
use std::collections::BTreeMap;
use std::fmt;

/// Errors that were counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Count {
    pub corrected: u64,
    pub uncorrected: u64,
}

impl Count {
    fn of(module: &ErrorModule) -> Self {
        Self { corrected: module.corrected.unwrap_or(0), uncorrected: module.uncorrected.unwrap_or(0) }
    }
    fn some(self) -> Option<Self> {
        (self != Self::default()).then_some(self)
    }
    fn plus(self, other: Self) -> Self {
        Self {
            corrected: self.corrected.saturating_add(other.corrected),
            uncorrected: self.uncorrected.saturating_add(other.uncorrected),
        }
    }
    fn since(self, earlier: Self) -> Option<Self> {
        let corrected = self.corrected.checked_sub(earlier.corrected)?;
        Some(Self { corrected, uncorrected: self.uncorrected.checked_sub(earlier.uncorrected)? })
    }
}
impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} corrected, {} uncorrected", self.corrected, self.uncorrected)
    }
}

/// The errors of one place, then and now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Errors {
    pub place: String,
    pub now: Count,
    /// Seconds that these counters have run.
    pub seconds: Option<u64>,
    /// What an earlier report counted there for the same module, where it counted.
    pub earlier: Option<Count>,
    /// What came since; `None` where there is no such count, or where the counters began again.
    pub new: Option<Count>,
    /// Did the counters begin again since then, such as at a start of the machine?
    pub began_again: bool,
    /// The slot that this module sat in before, by its serial number, with what it had counted there.
    pub moved_from: Option<(String, Count)>,
    /// The slot that the module sits in now whose errors the earlier report counted here.
    pub moved_to: Option<String>,
    /// Does another module sit there than in the earlier report? Its counts are then no measure for this one.
    pub other_module: bool,
}

impl Errors {
    /// Only what was counted before?
    fn is_old(&self) -> bool {
        self.now == Count::default() || self.new == Some(Count::default())
    }
    /// `3 corrected, 0 uncorrected in 4 h; 1 corrected, 0 uncorrected since the earlier report`.
    fn words(&self) -> String {
        let since = self.seconds.map_or(String::new(), |s| format!(" in {}", duration(s)));
        let mut words = format!("{}{since}", self.now);
        match (self.new, self.earlier) {
            (Some(new), _) => words.push_str(&format!("; {new} since the earlier report")),
            (None, Some(_)) => words.push_str("; the counters began again since the earlier report"),
            (None, None) if self.other_module => {
                words.push_str("; another module sat here in the earlier report, so this one's count starts anew");
            }
            (None, None) => {}
        }
        if let Some((from, count)) = &self.moved_from {
            words.push_str(&format!("; this module sat in {from} before, with {count} there"));
        }
        words
    }
}
impl fmt::Display for Errors {
    /// `P1-A1: 3 corrected, 0 uncorrected, all of them before the earlier report`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.place)?;
        match (self.earlier, &self.moved_from) {
            (Some(earlier), _) if self.moved_to.is_some() => {
                let to = self.moved_to.as_deref().unwrap_or_default();
                write!(f, "{earlier} in the earlier report, of the module that sits in {to} now")
            }
            (_, Some((from, count))) => write!(f, "none so far; this module had {count} in {from} before it moved"),
            (Some(earlier), None) if self.now == Count::default() => {
                write!(f, "{earlier} in the earlier report; the counters began again, and none came since")
            }
            (_, None) => write!(f, "{}, all of them before the earlier report", self.now),
        }
    }
}

/// One difference for every place where errors came, and what was counted before where none came since.
pub fn differences(
    expected: &Expected,
    seen: &Snapshot,
    pairs: &Pairs<'_>,
    moved: &Moves,
) -> (Vec<Difference>, Vec<Errors>) {
    let ErrorCounts::Read(controllers) = &seen.errors else { return (Vec::new(), Vec::new()) };
    let histories = Histories::new(expected, seen, pairs, moved);
    let (mut new, mut old) = (Vec::new(), Vec::new());
    for controller in controllers {
        let earlier = expected.counted.iter().find(|c| c.index == controller.index);
        let began_again = earlier.and_then(|e| e.seconds).zip(controller.seconds).is_some_and(|(then, now)| now < then);
        let mut take = |place: String, slot: Option<usize>, now: Count, before: Option<Count>| {
            let history = slot.map_or(History::Same, |i| histories.of(i));
            let earlier = before.filter(|_| matches!(history, History::Same | History::Left(_)));
            let since = earlier.filter(|_| !began_again).and_then(|then| now.since(then));
            let errors = Errors {
                place,
                now,
                seconds: controller.seconds,
                earlier,
                new: since,
                began_again: earlier.is_some() && since.is_none(),
                other_module: match &history {
                    History::Moved(..) => slot.is_some_and(|i| expected.slots[i].module.is_some()),
                    History::Other => true,
                    History::Same | History::Left(_) => false,
                },
                moved_to: match &history {
                    History::Left(to) => Some(to.clone()),
                    _ => None,
                },
                moved_from: match history {
                    History::Moved(from, count) => count.some().map(|c| (from, c)),
                    _ => None,
                },
            };
            let told =
                errors.now.some().or(errors.earlier.and_then(Count::some)).is_some() || errors.moved_from.is_some();
            match (told, errors.is_old()) {
                (false, _) => {}
                (true, true) => old.push(errors),
                (true, false) => new.push(difference(errors, slot.and_then(|i| expected.slots[i].at))),
            }
        };
        for module in &controller.modules {
            let slot = slot(expected, seen, controllers, module);
            let own = format!("controller {} module {}", controller.index, module.index);
            let label = module.label.as_deref().map(str::trim).filter(|l| !l.is_empty());
            let place = match (slot, label) {
                (Some(i), _) => expected.slots[i].name.trim().to_string(),
                (None, Some(label)) => format!("{own} ({label})"),
                (None, None) => own,
            };
            let before =
                earlier.and_then(|c| c.modules.iter().find(|m| m.index == module.index && m.label == module.label));
            take(place, slot, Count::of(module), before.map(Count::of));
        }
        let place = format!("controller {}, no module named", controller.index);
        take(place, None, loose(controller), earlier.map(loose));
    }
    (new, old)
}

/// Whose errors an earlier count of a slot was.
#[derive(Debug, Clone)]
enum History {
    /// Of the module that sits there now, or nothing says otherwise.
    Same,
    /// Of another or of none; the one that sits there now sat in this slot, with this count.
    Moved(String, Count),
    /// Of the module that left it empty, and sits in this slot now.
    Left(String),
    /// Of another, and of this one nothing is known.
    Other,
}

/// What the earlier report counted, by slot, and where the modules sit now.
struct Histories<'a> {
    expected: &'a Expected,
    pairs: &'a Pairs<'a>,
    moved: &'a Moves,
    earlier: BTreeMap<usize, Count>,
}

impl<'a> Histories<'a> {
    fn new(expected: &'a Expected, seen: &Snapshot, pairs: &'a Pairs<'a>, moved: &'a Moves) -> Self {
        let mut earlier: BTreeMap<usize, Count> = BTreeMap::new();
        for module in expected.counted.iter().flat_map(|c| &c.modules) {
            if let Some(i) = slot(expected, seen, &expected.counted, module) {
                let sum = earlier.entry(i).or_default();
                *sum = sum.plus(Count::of(module));
            }
        }
        Self { expected, pairs, moved, earlier }
    }
    /// Joined by serial numbers only: a module like the planned one may be another of its kind.
    fn of(&self, at: usize) -> History {
        let now = |slot: usize| self.pairs.seen_of.get(slot).copied().flatten().and_then(held);
        let then = |slot: usize| self.expected.slots.get(slot).and_then(|s| s.module.as_ref());
        let same = |a: usize, b: usize| same_serials(&then(a)?.reading, &now(b)?.reading);
        let name = |slot: usize| self.expected.slots[slot].name.trim().to_string();
        if !self.expected.reported {
            return History::Same;
        }
        let elsewhere = |moved: &[Option<usize>]| moved.get(at).copied().flatten().filter(|other| *other != at);
        match (elsewhere(&self.moved.from), elsewhere(&self.moved.to)) {
            (Some(from), _) if same(from, at) == Some(true) => {
                History::Moved(name(from), self.earlier.get(&from).copied().unwrap_or_default())
            }
            (_, Some(to)) if now(at).is_none() && same(at, to) == Some(true) => History::Left(name(to)),
            // Without serials on both sides nothing says that it is another.
            _ if same(at, at) == Some(false) => History::Other,
            _ => History::Same,
        }
    }
}

fn loose(controller: &ErrorController) -> Count {
    Count {
        corrected: unplaced(controller, controller.corrected, controller.corrected_unplaced, |m| m.corrected),
        uncorrected: unplaced(controller, controller.uncorrected, controller.uncorrected_unplaced, |m| m.uncorrected),
    }
}

/// Errors that name no module: those that are counted so, or what the controller's total has beyond its modules.
fn unplaced(
    controller: &ErrorController,
    total: Option<u64>,
    counted: Option<u64>,
    of: impl Fn(&ErrorModule) -> Option<u64>,
) -> u64 {
    let placed = controller.modules.iter().filter_map(of).fold(0, u64::saturating_add);
    counted.unwrap_or(0).max(total.unwrap_or(0).saturating_sub(placed))
}

/// Errors of one place as a difference.
fn difference(errors: Errors, at: Option<super::Where>) -> Difference {
    let mut causes = vec![
        of("a failing module", "move it to another slot: the errors go with it"),
        of("not fully seated, or a dirty contact", "clean and reseat it, clear the counters, run it again"),
        of("the slot or a contact of the processor socket", "the errors stay with the slot"),
        of("too hot", "modules refresh faster and fail more above 85 °C: look at the air baffle and blanks"),
    ];
    if let Some((from, _)) = &errors.moved_from {
        causes[0].why = format!("it erred in {from} too: the errors went with it");
    }
    if errors.now.uncorrected == 0 {
        causes.push(of("chance", "a few corrected errors in months are usual; many in hours are not"));
    }
    Difference {
        what: What::Errors,
        slots: vec![errors.place.clone()],
        place: errors.place.clone(),
        at,
        planned: errors.earlier.and_then(Count::some).map_or("no errors".to_string(), |c| c.to_string()),
        seen: errors.words(),
        causes,
        errors: Some(errors),
    }
}

fn of(what: &str, why: &str) -> Cause {
    Cause { what: what.to_string(), why: why.to_string(), mark: "common practice, no source" }
}

fn duration(seconds: u64) -> String {
    match seconds {
        0..=7199 => format!("{} min", seconds / 60),
        7200..=172_799 => format!("{} h", seconds / 3600),
        _ => format!("{} days", seconds / 86_400),
    }
}
