//! Error counters that are not zero, by the slot that they belong to.

use super::causes::Cause;
use super::pairing::plain;
use super::{Difference, Expected, What};
use domain::Snapshot;
use domain::snapshot::{ErrorController, ErrorCounts, ErrorModule};
use std::collections::{BTreeMap, BTreeSet};

/// One difference for every module that has counted errors, and one for errors that name no module.
pub fn differences(expected: &Expected, seen: &Snapshot) -> Vec<Difference> {
    let ErrorCounts::Read(controllers) = &seen.errors else { return Vec::new() };
    let mut out = Vec::new();
    for controller in controllers {
        let earlier = expected.counted.iter().find(|c| c.index == controller.index);
        let since = controller.seconds.map_or(String::new(), |s| format!(" in {}", duration(s)));
        for (module, corrected, uncorrected) in counted(controller) {
            let slot = slot(expected, seen, controllers, module);
            let own = format!("controller {} module {}", controller.index, module.index);
            let label = module.label.clone().filter(|l| !l.trim().is_empty());
            let place = match (slot, &label) {
                (Some(i), _) => expected.slots[i].name.trim().to_string(),
                (None, Some(label)) => format!("{own} ({})", label.trim()),
                (None, None) => own,
            };
            let before =
                earlier.and_then(|c| c.modules.iter().find(|m| m.index == module.index && m.label == module.label));
            let before = before.map(|m| (m.corrected.unwrap_or(0), m.uncorrected.unwrap_or(0)));
            let counts = Counts { before, now: (corrected, uncorrected), anew: anew(earlier, controller) };
            out.extend(told(place, slot.and_then(|i| expected.slots[i].at), &counts, &since));
        }
        let loose = loose(controller);
        if loose != (0, 0) {
            let place = format!("controller {}, no module named", controller.index);
            let counts = Counts { before: earlier.map(self::loose), now: loose, anew: anew(earlier, controller) };
            out.extend(told(place, None, &counts, &since));
        }
    }
    out
}

/// Corrected and uncorrected errors of a place, then and now.
struct Counts {
    /// Of an earlier report, where it counted there.
    before: Option<(u64, u64)>,
    now: (u64, u64),
    /// Did the counters begin again since then, such as at a start of the machine?
    anew: bool,
}

impl Counts {
    /// How many came since the earlier report; `None` where there is none, or where the counters began again.
    fn more(&self) -> Option<(u64, u64)> {
        let then = self.before.filter(|_| !self.anew)?;
        Some((self.now.0.checked_sub(then.0)?, self.now.1.checked_sub(then.1)?))
    }
}

/// Counters that ran for a shorter time than they had already run began again.
fn anew(earlier: Option<&ErrorController>, now: &ErrorController) -> bool {
    earlier.and_then(|e| e.seconds).zip(now.seconds).is_some_and(|(then, now)| now < then)
}

fn loose(controller: &ErrorController) -> (u64, u64) {
    (
        unplaced(controller, controller.corrected, controller.corrected_unplaced, |m| m.corrected),
        unplaced(controller, controller.uncorrected, controller.uncorrected_unplaced, |m| m.uncorrected),
    )
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

/// Modules with errors; the ranks of one module together.
fn counted(controller: &ErrorController) -> Vec<(&ErrorModule, u64, u64)> {
    let counts = |m: &ErrorModule| (m.corrected.unwrap_or(0), m.uncorrected.unwrap_or(0));
    let each = controller.modules.iter().map(|m| (m, counts(m).0, counts(m).1));
    each.filter(|(_, c, u)| (*c, *u) != (0, 0)).collect()
}

/// The errors of one place; nothing where none came since the earlier report.
fn told(place: String, at: Option<super::Where>, counts: &Counts, since: &str) -> Option<Difference> {
    let (corrected, uncorrected) = counts.now;
    let more = counts.more();
    if more == Some((0, 0)) {
        return None;
    }
    let words = |(corrected, uncorrected): (u64, u64)| format!("{corrected} corrected, {uncorrected} uncorrected");
    let grown = match (counts.before, more) {
        (_, Some(more)) => format!("; {} since the earlier report", words(more)),
        (Some(_), None) => "; the counters began again since the earlier report".to_string(),
        (None, None) => String::new(),
    };
    let mut causes = vec![
        of("a failing module", "move it to another slot: the errors go with it"),
        of("not fully seated, or a dirty contact", "clean and reseat it, clear the counters, run it again"),
        of("the slot or a contact of the processor socket", "the errors stay with the slot"),
        of("too hot", "modules refresh faster and fail more above 85 °C: look at the air baffle and blanks"),
    ];
    if uncorrected == 0 {
        causes.push(of("chance", "a few corrected errors in months are usual; many in hours are not"));
    }
    Some(Difference {
        what: What::Errors,
        slots: vec![place.clone()],
        place,
        at,
        planned: counts.before.filter(|b| *b != (0, 0)).map_or("no errors".to_string(), words),
        seen: format!("{}{since}{grown}", words((corrected, uncorrected))),
        causes,
    })
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

/// The expected slot of a counter: by the label, else by socket, controller, channel and slot.
fn slot(expected: &Expected, seen: &Snapshot, all: &[ErrorController], module: &ErrorModule) -> Option<usize> {
    let label = module.label.as_deref().unwrap_or("").trim();
    by_name(expected, seen, label).or_else(|| by_number(expected, all, module, label))
}

/// Firmware-first drivers name a module by its bank and device locator.
fn by_name(expected: &Expected, seen: &Snapshot, label: &str) -> Option<usize> {
    let wanted = plain(label);
    if wanted.is_empty() {
        return None;
    }
    let full = |s: &super::ExpectedSlot| plain(&format!("{} {}", s.bank.as_deref().unwrap_or(""), s.name));
    let one = |holds: &dyn Fn(&super::ExpectedSlot) -> bool| {
        let mut found = expected.slots.iter().enumerate().filter(|(_, s)| holds(s)).map(|(i, _)| i);
        found.next().filter(|_| found.next().is_none())
    };
    let reported = seen
        .slots
        .iter()
        .find(|s| plain(&format!("{} {}", s.bank.as_deref().unwrap_or(""), s.name)) == wanted)
        .map(|s| plain(&s.name));
    one(&|s| plain(&s.name) == wanted)
        .or_else(|| one(&|s| full(s) == wanted))
        .or_else(|| reported.and_then(|name| one(&|s| plain(&s.name) == name)))
}

/// `CPU_SrcID#0_MC#1_Chan#2_DIMM#0` and its like: number after each word.
fn by_number(expected: &Expected, all: &[ErrorController], module: &ErrorModule, label: &str) -> Option<usize> {
    let named = numbers(label);
    let layer = |name: &str| module.location.iter().find(|(l, _)| l == name).map(|(_, n)| *n);
    let get = |names: &[&str]| names.iter().find_map(|n| named.get(*n).copied());
    let socket = get(&["srcid"])?;
    let channel = get(&["chan", "channel"]).or_else(|| layer("channel"))?;
    let position = get(&["dimm"]).or_else(|| layer("slot"))?;
    let memory_controller = get(&["mc", "ha"]);
    let lowest = lowest_channel(all);
    let wanted = (socket, memory_controller.unwrap_or(0), channel.checked_sub(lowest)?, position);
    let found = expected.slots.iter().position(|s| place(s) == Some(wanted));
    found.or_else(|| {
        // Counted over the whole socket where the plan knows no controllers.
        let flat = (wanted.0, 0, wanted.1 * per_controller(expected, all, wanted.0)? + wanted.2, wanted.3);
        expected.slots.iter().position(|s| s.at.is_some_and(|a| a.controller.is_none()) && place(s) == Some(flat))
    })
}

type Number = (u32, u32, u32, u32);

fn place(slot: &super::ExpectedSlot) -> Option<Number> {
    let at = slot.at?;
    Some((at.socket.into(), at.controller.unwrap_or(0).into(), at.channel.into(), at.position?.into()))
}

/// One family's driver counts channels from 1.
fn lowest_channel(all: &[ErrorController]) -> u32 {
    let channels = all.iter().flat_map(|c| &c.modules).filter_map(|m| {
        let named = numbers(m.label.as_deref().unwrap_or(""));
        named.get("chan").or_else(|| named.get("channel")).copied()
    });
    let seen: BTreeSet<u32> = channels.collect();
    // Channels 1, 2 and 3 and never 0: a family of three channels whose driver starts at 1.
    u32::from(seen.first() == Some(&1) && seen.contains(&3) && seen.last() == Some(&3))
}

fn per_controller(expected: &Expected, all: &[ErrorController], socket: u32) -> Option<u32> {
    let controllers: BTreeSet<u32> = all
        .iter()
        .flat_map(|c| &c.modules)
        .map(|m| numbers(m.label.as_deref().unwrap_or("")))
        .filter(|n| n.get("srcid") == Some(&socket))
        .filter_map(|n| n.get("mc").or_else(|| n.get("ha")).copied())
        .collect();
    let channels: BTreeSet<u8> = expected
        .slots
        .iter()
        .filter_map(|s| s.at)
        .filter(|a| u32::from(a.socket) == socket)
        .map(|a| a.channel)
        .collect();
    let count = controllers.last()? + 1;
    let channels = channels.len() as u32;
    channels.is_multiple_of(count).then_some(channels / count)
}

/// The numbers of `word#number` pairs, words in lower case.
fn numbers(label: &str) -> BTreeMap<String, u32> {
    let mut out = BTreeMap::new();
    for piece in label.split(['_', ' ', '/']) {
        if let Some((word, number)) = piece.split_once('#')
            && let Ok(number) = number.trim().parse()
        {
            out.insert(word.trim().to_lowercase(), number);
        }
    }
    out
}
