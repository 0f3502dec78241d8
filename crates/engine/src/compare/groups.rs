//! Missing modules that together are a whole channel, controller or socket, and processors that are not seen.

use super::causes::{self, Around};
use super::slots::Found;
use super::{Difference, Expected, What, Where};
use domain::Snapshot;
use std::collections::{BTreeMap, BTreeSet};

/// Turns what was found by slot into differences, gathering what went together.
pub fn gather(expected: &Expected, seen: &Snapshot, found: Vec<Found>) -> Vec<Difference> {
    let missing: BTreeSet<usize> = found
        .iter()
        .filter(|f| matches!(f.what, What::Missing | What::Disabled))
        .filter_map(|f| f.slots.first().copied())
        .collect();
    let told = absent_processors(expected, seen);
    let absent = told.unwrap_or(0);
    let mut gone: Vec<(What, Vec<usize>)> = Vec::new();
    let mut covered: BTreeSet<usize> = BTreeSet::new();
    for (what, units) in [
        (What::SocketGone, by(expected, |a| (a.socket, 0, 0))),
        (What::ControllerGone, by(expected, |a| (a.socket, a.controller.map_or(0, |c| c + 1), 0))),
        (What::ChannelGone, by(expected, |a| (a.socket, a.controller.map_or(0, |c| c + 1), a.channel))),
    ] {
        for (key, slots) in units {
            let whole = slots.len() > 1 && slots.iter().all(|s| missing.contains(s));
            let by_absence = what == What::SocketGone && absent > 0 && slots.iter().all(|s| missing.contains(s));
            let known = what != What::ControllerGone || (key.1 > 0 && has_other_controllers(expected, key.0));
            if (whole || by_absence) && known && !slots.iter().any(|s| covered.contains(s)) {
                covered.extend(&slots);
                gone.push((what, slots));
            }
        }
    }
    let mut out: Vec<Difference> = gone.into_iter().map(|(what, slots)| whole(expected, what, &slots, told)).collect();
    let is_gathered = |f: &Found| {
        matches!(f.what, What::Missing | What::Disabled) && f.slots.first().is_some_and(|s| covered.contains(s))
    };
    out.extend(found.into_iter().filter(|f| !is_gathered(f)).map(|f| single(expected, f)));
    out
}

/// Expected filled slots by a part of their place.
fn by(expected: &Expected, key: impl Fn(&Where) -> (u8, u8, u8)) -> BTreeMap<(u8, u8, u8), Vec<usize>> {
    let mut units: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (i, slot) in expected.slots.iter().enumerate() {
        if let (Some(at), Some(_)) = (&slot.at, &slot.module) {
            units.entry(key(at)).or_default().push(i);
        }
    }
    units
}

/// Has this socket several controllers, each of several channels? A controller of one channel is told as the channel.
fn has_other_controllers(expected: &Expected, socket: u8) -> bool {
    let at = || expected.slots.iter().filter_map(|s| s.at).filter(|a| a.socket == socket);
    let controllers: BTreeSet<_> = at().map(|a| a.controller).collect();
    let channels: BTreeSet<_> = at().map(|a| (a.controller, a.channel)).collect();
    controllers.len() > 1 && channels.len() > controllers.len()
}

fn names(expected: &Expected, slots: &[usize]) -> Vec<String> {
    slots.iter().filter_map(|s| expected.slots.get(*s)).map(|s| name(&s.name, s.bank.as_deref())).collect()
}

fn name(name: &str, bank: Option<&str>) -> String {
    match (name.trim(), bank.map(str::trim)) {
        ("", Some(bank)) => bank.to_string(),
        (name, _) => name.to_string(),
    }
}

/// A channel in words.
fn channel(expected: &Expected, at: &Where) -> String {
    let controller = at.controller.map_or(String::new(), |c| format!(", controller {c}"));
    format!("{}{controller}, channel {}", expected.socket(at.socket), at.channel)
}

fn whole(expected: &Expected, what: What, slots: &[usize], absent: Option<usize>) -> Difference {
    let processor_absent = absent.is_some_and(|n| n > 0);
    let names = names(expected, slots);
    let at = slots.first().and_then(|s| expected.slots[*s].at);
    let unit = match (what, &at) {
        (What::SocketGone, Some(at)) => expected.socket(at.socket),
        (What::ControllerGone, Some(at)) => {
            format!("{}, controller {}", expected.socket(at.socket), at.controller.unwrap_or(0))
        }
        (_, Some(at)) => channel(expected, at),
        (_, None) => String::new(),
    };
    let seen = match (what, processor_absent) {
        (What::SocketGone, true) => "none of them, and a processor less than planned",
        _ => "none of them",
    };
    let around = Around { processor_absent, processors_seen: absent == Some(0), ..Around::default() };
    Difference {
        what,
        place: format!("{unit} ({})", names.join(", ")),
        at,
        planned: format!("{} modules", slots.len()),
        seen: seen.to_string(),
        causes: causes::of(what, around),
        slots: names,
        errors: None,
    }
}

fn single(expected: &Expected, found: Found) -> Difference {
    let names = match &found.stranger {
        Some(stranger) => vec![stranger.clone()],
        None => names(expected, &found.slots),
    };
    let at = found.slots.first().and_then(|s| expected.slots.get(*s)).and_then(|s| s.at);
    let joint = match found.what {
        What::Swapped => " and ",
        What::WrongSlot => " → ",
        _ => ", ",
    };
    let place = match &at {
        Some(at) => format!("{} ({})", names.join(joint), channel(expected, at)),
        None => names.join(joint),
    };
    Difference {
        what: found.what,
        place,
        at,
        planned: found.planned,
        seen: found.seen,
        causes: causes::of(found.what, found.around),
        slots: names,
        errors: None,
    }
}

/// How many processors fewer are seen than planned; `None` where the report does not tell.
fn absent_processors(expected: &Expected, seen: &Snapshot) -> Option<usize> {
    let told = seen.processors.iter().any(|p| p.present.is_some());
    let present = seen.processors.iter().filter(|p| p.present == Some(true)).count();
    match &expected.processors {
        Some(planned) if told => Some(planned.len().saturating_sub(present)),
        _ => None,
    }
}

/// Processors that are not seen, where no socket is told as gone already.
pub fn processors(expected: &Expected, seen: &Snapshot, so_far: &[Difference]) -> Vec<Difference> {
    let sockets = so_far.iter().filter(|d| d.what == What::SocketGone).count();
    let absent = absent_processors(expected, seen).unwrap_or(0);
    let Some(planned) = expected.processors.as_ref().filter(|_| absent > sockets) else { return Vec::new() };
    let present: BTreeSet<&str> =
        seen.processors.iter().filter(|p| p.present == Some(true)).map(|p| p.name.trim()).collect();
    let mut lost: Vec<String> = planned.iter().filter(|n| !present.contains(n.as_str())).cloned().collect();
    if lost.len() != absent {
        lost = Vec::new();
    }
    vec![Difference {
        what: What::ProcessorMissing,
        place: if lost.is_empty() { "a processor socket".to_string() } else { lost.join(", ") },
        slots: Vec::new(),
        at: None,
        planned: format!("{} processors", planned.len()),
        seen: format!("{} processors", present.len().max(planned.len() - absent)),
        causes: causes::of(What::ProcessorMissing, Around { processor_absent: true, ..Around::default() }),
        errors: None,
    }]
}
