//! Firmware older than a processor or a module needs.

use crate::rules::firmware_level;
use crate::rules::report::{Told, cite};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::board::{FirmwareNeed, FirmwareReason};
use domain::{Finding, Module, Outcome, Place, Severity};
use std::cmp::Ordering;

pub const RULE: Rule = Rule {
    name: "firmware-too-old",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A firmware level older than a fitted processor, a die density or a kind of module needs. Where the machine's level is
not known and something fitted needs one, that is told as a note.

## Why it matters

Training code comes with the firmware. A processor that it does not know does not start; a module that it does not know
may stay untrained. A machine that does not start cannot be brought up to date with the new parts in it.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933
    says firmware 2.10 for ddr4-6ch-2933
    firmware 2.9
    fill 0a1 32GB 2Rx4 RDIMM 2933
    -> wrong firmware-too-old at machine

Needed by a module, with the level not known:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says firmware 2.10 for 16Gbit
    fill 0a1 64GB 2Rx4 RDIMM 2933 16Gbit
    -> note firmware-too-old at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says firmware 2.10 for 16Gbit
    firmware 2.11
    fill 0a1 64GB 2Rx4 RDIMM 2933 16Gbit
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for need in &scene.board.firmware {
        let Some(place) = needed_at(scene, need) else {
            continue;
        };
        let what = match &need.reason {
            FirmwareReason::Processor(id) => format!("{id} needs"),
            FirmwareReason::Density(density) => format!("dies of {density} or more need"),
            FirmwareReason::Kind(kind) => format!("{kind} modules need"),
        };
        let told = match &scene.build.firmware {
            None => {
                let evidence = format!("{what} firmware {}, and the machine's level is not known", need.least);
                let evidence = cite(&evidence, &need.source, need.mark);
                Told::new(Severity::Note, Outcome::Unknown, evidence, "check the level before the parts are changed")
            }
            Some(level)
                if firmware_level::compare(scene.board.firmware_order, level, &need.least) == Ordering::Less =>
            {
                let (severity, outcome) = match need.reason {
                    FirmwareReason::Processor(_) => (Severity::Wrong, Outcome::Stops),
                    _ => (Severity::Unsupported, Outcome::Unknown),
                };
                let evidence = format!("firmware {level}, where {what} {}", need.least);
                let evidence = cite(&evidence, &need.source, need.mark);
                let advice = format!("bring it to {} or later while the old parts are still in", need.least);
                Told::new(severity, outcome, evidence, advice)
            }
            Some(_) => continue,
        };
        found.push(told.at(RULE.name, place));
    }
}

/// Where the thing sits that needs the level; `None` where nothing does.
fn needed_at(scene: &Scene, need: &FirmwareNeed) -> Option<Place> {
    let fits = |m: &Module| match &need.reason {
        FirmwareReason::Processor(_) => false,
        FirmwareReason::Density(least) => m.die_density.is_some_and(|d| d >= *least),
        FirmwareReason::Kind(kind) => m.kind == *kind,
    };
    if let FirmwareReason::Processor(id) = &need.reason {
        let fitted = scene.sockets.iter().any(|s| s.processor.is_some_and(|p| p.id == *id));
        return fitted.then_some(Place::Machine);
    }
    let slots: Vec<_> = scene.modules().filter(|(_, m)| fits(m)).map(|(slot, _)| slot).collect();
    (!slots.is_empty()).then_some(Place::Slots(slots))
}
