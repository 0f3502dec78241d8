//! Modules that run slower than planned, and why: a slower module, more modules a channel, or a setting.

use super::causes::Cause;
use super::moves::{self, Moves};
use super::pairing::Pairs;
use super::{Difference, Expected, What};
use domain::snapshot::SeenModule;
use domain::{DataRate, Snapshot};
use std::collections::BTreeMap;

/// Groups of modules that run, or are rated, below what was planned.
pub fn differences(expected: &Expected, seen: &Snapshot, pairs: &Pairs, moved: &Moves) -> Vec<Difference> {
    let mut slow: BTreeMap<(bool, DataRate, DataRate), Vec<usize>> = BTreeMap::new();
    let usual = expected.usual_rate();
    let mut filled = 0;
    for (i, slot) in expected.slots.iter().enumerate() {
        let Some(module) = pairs.seen_of[i].and_then(moves::held).filter(|m| !m.nonvolatile) else { continue };
        filled += 1;
        let here = slot.module.as_ref().and_then(|m| m.running).or(usual);
        let running = module.running.map(|r| r.rate);
        match (here, running) {
            (Some(planned), Some(now)) if now < planned => slow.entry((true, planned, now)).or_default().push(i),
            (Some(_), Some(_)) => {}
            // Without a running rate the rated one is all there is to see.
            _ => rated(expected, module, moved.from[i], i, &mut slow),
        }
        if running.is_some() && moved.from[i].is_some() {
            rated(expected, module, moved.from[i], i, &mut slow);
        }
    }
    let single_rated = |key: &(bool, DataRate, DataRate)| !key.0;
    let runs: Vec<usize> = slow.iter().filter(|(k, _)| k.0).flat_map(|(_, s)| s.clone()).collect();
    slow.iter()
        // A module that also runs slower is told once, with its rating as the reason.
        .filter(|(key, slots)| !single_rated(key) || !slots.iter().all(|s| runs.contains(s)))
        .map(|(key, slots)| told(expected, seen, pairs, *key, slots, filled))
        .collect()
}

fn rated(
    expected: &Expected,
    module: &SeenModule,
    from: Option<usize>,
    slot: usize,
    slow: &mut BTreeMap<(bool, DataRate, DataRate), Vec<usize>>,
) {
    let planned = from.and_then(|f| expected.slots[f].module.as_ref()).and_then(|m| m.reading.rate);
    if let (Some(planned), Some(now)) = (planned, module.reading.rate)
        && now < planned
    {
        let slots = slow.entry((false, planned, now)).or_default();
        if !slots.contains(&slot) {
            slots.push(slot);
        }
    }
}

fn told(
    expected: &Expected,
    seen: &Snapshot,
    pairs: &Pairs,
    (runs, planned, now): (bool, DataRate, DataRate),
    slots: &[usize],
    filled: usize,
) -> Difference {
    let names: Vec<String> = slots.iter().map(|s| expected.slots[*s].name.trim().to_string()).collect();
    let all = slots.len() == filled && filled > 1;
    let place = if all { format!("all {filled} modules ({})", names.join(", ")) } else { names.join(", ") };
    let verb = if runs { "runs at" } else { "rated" };
    Difference {
        what: What::Slower,
        place,
        at: slots.first().and_then(|s| expected.slots[*s].at).filter(|_| !all),
        slots: names,
        planned: format!("{verb} {planned}"),
        seen: format!("{verb} {now}"),
        causes: if runs { why(expected, seen, pairs, slots, now, all) } else { rated_why() },
        errors: None,
    }
}

fn rated_why() -> Vec<Cause> {
    vec![
        of("another module was picked", "compare its label with the pick list"),
        of("its SPD was rewritten or is damaged", "read the module's SPD and screen it against its label"),
    ]
}

fn of(what: &str, why: &str) -> Cause {
    Cause { what: what.to_string(), why: why.to_string(), mark: "common practice, no source" }
}

/// Why it runs at `now`: what the report itself shows comes first.
fn why(expected: &Expected, seen: &Snapshot, pairs: &Pairs, slots: &[usize], now: DataRate, all: bool) -> Vec<Cause> {
    let mut causes = Vec::new();
    let slowest: Vec<String> = seen
        .memory_slots()
        .filter(|s| moves::held(s).and_then(|m| m.reading.rate).is_some_and(|r| r <= now))
        .map(|s| s.name.trim().to_string())
        .collect();
    if !slowest.is_empty() {
        let why =
            format!("rated {now} or less in {}: all channels run at the slowest module's rate", slowest.join(", "));
        causes.push(of("a slower module is present", &why));
    }
    if fuller(expected, pairs, slots) {
        causes.push(of(
            "more modules in a channel than planned",
            "many processors and boards run a channel of two or three modules at a lower rate",
        ));
    }
    if all || slots.len() > 1 {
        causes.push(of("a firmware setting", "the memory rate or a power profile is set lower"));
        causes.push(of("the processor", "its own limit may be lower than planned: compare its full name"));
        causes.push(of("firmware that is too old", "for these modules, so that it falls back to a safe rate"));
    } else {
        causes.push(of("a fall-back after a training fault", "the firmware's event log tells it; reseat this module"));
        causes.push(of("the report", "one module of a channel can't run at a rate of its own: read it again"));
    }
    causes
}

/// Does a channel of these slots hold more than planned?
fn fuller(expected: &Expected, pairs: &Pairs, slots: &[usize]) -> bool {
    let key = |s: usize| expected.slots[s].at.map(|a| (a.socket, a.controller, a.channel));
    slots.iter().any(|slot| {
        let own = key(*slot);
        let channel = || (0..expected.slots.len()).filter(|s| own.is_some() && key(*s) == own);
        let planned = channel().filter(|s| expected.slots[*s].module.is_some()).count();
        let now = channel().filter(|s| pairs.seen_of[*s].and_then(moves::held).is_some()).count();
        now > planned
    })
}
