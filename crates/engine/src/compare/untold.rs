//! What a report cannot tell, said instead of passed over.

use super::identity::text;
use super::moves::{self, Moves};
use super::pairing::Pairs;
use super::{Expected, MatchedBy};
use domain::Snapshot;
use domain::snapshot::{ErrorCounts, SeenModule};
use std::collections::BTreeMap;

/// Everything that this comparison had to leave open.
pub fn untold(expected: &Expected, seen: &Snapshot, pairs: &Pairs, moved: &Moves) -> Vec<String> {
    let mut out = Vec::new();
    match pairs.by {
        MatchedBy::Nothing => out.push("which slot of the report is which of the plan: no name or place agrees".into()),
        MatchedBy::Place => out.push(
            "the names of the slots differ: they were matched by socket, channel and position, so confirm one by hand"
                .into(),
        ),
        MatchedBy::Name => {}
    }
    let (planned, listed) = (expected.slots.len(), seen.memory_slots().count());
    if pairs.by == MatchedBy::Place && planned != listed {
        out.push(format!(
            "whether it is the board of the plan: that has {planned} slots, the report lists {listed}, under other names"
        ));
    }
    let unlisted = seen.slots_unlisted();
    if unlisted > 0 && pairs.seen_of.iter().any(Option::is_none) {
        let stated = listed + unlisted;
        out.push(format!(
            "whether slots that are not listed are empty: the report states {stated} and lists {listed}, so it may be cut \
             short; take it again first"
        ));
    }
    let held: Vec<&SeenModule> = pairs.seen_of.iter().filter_map(|s| s.and_then(moves::held)).collect();
    let count = |holds: fn(&SeenModule) -> bool| held.iter().filter(|m| holds(m)).count();
    let mut none = |n: usize, what: &str| {
        if n > 0 {
            out.push(format!("{what}: {n} of {} modules do not report it", held.len()));
        }
    };
    none(count(|m| m.reading.capacity.is_none()), "a wrong size");
    none(count(|m| m.running.is_none()), "at what rate they run");
    out.extend(exchanges(expected, moved, &held));
    match seen.errors {
        ErrorCounts::NotRead => out.push("errors: no counters were read".into()),
        ErrorCounts::NoDriver => {
            out.push("errors: the kernel counts none on this machine, which is not the same as none".into())
        }
        ErrorCounts::Read(_) => {}
    }
    if !seen.processors.iter().any(|p| p.present.is_some()) {
        out.push("processors: the report does not list them".into());
    }
    out
}

/// Modules of one kind without serials: an exchange among them leaves no trace.
fn exchanges(expected: &Expected, moved: &Moves, held: &[&SeenModule]) -> Option<String> {
    let with_serial = |m: &&&SeenModule| text(&m.reading.serial).is_some();
    let planned_serials = expected.modules().filter(|m| text(&m.reading.serial).is_some()).count();
    if held.len() < 2 || (planned_serials > 0 && held.iter().filter(with_serial).count() == held.len()) {
        return None;
    }
    let stayed = moved.to.iter().enumerate().filter(|(i, to)| **to == Some(*i)).map(|(i, _)| i);
    let mut alike: BTreeMap<String, usize> = BTreeMap::new();
    for i in stayed {
        let Some(module) = &expected.slots[i].module else { continue };
        let r = &module.reading;
        *alike.entry(format!("{:?} {:?} {:?} {:?}", text(&r.part_number), r.capacity, r.label, r.rate)).or_default() +=
            1;
    }
    let most = alike.values().copied().max().unwrap_or(0);
    (most > 1).then(|| {
        format!("exchanges among like modules: without serials on both sides {most} of them can't be told apart")
    })
}
