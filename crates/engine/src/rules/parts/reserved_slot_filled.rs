//! A module in a slot that is to stay empty.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity, SlotIndex};

pub const RULE: Rule = Rule {
    name: "reserved-slot-filled",
    severity: Severity::Note,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A module in a slot that the build reserves: one promised to other work, or known to be damaged.

## Why it matters

The machine may run all the same, so this is a note; whoever reserved the slot wants it empty.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    reserve 0f1
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> note reserved-slot-filled at 0f1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    reserve 0c1 0f1
    fill 0a1 0b1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let reserved = &scene.build.reserved;
    if !scene.modules().any(|(slot, _)| reserved.contains(&slot)) {
        return;
    }
    let slots: Vec<SlotIndex> = scene.modules().map(|(s, _)| s).filter(|s| reserved.contains(s)).collect();
    let evidence = "reserved to stay empty, but filled".to_string();
    let advice = format!("take the modules out of {}", scene.labels(&slots));
    let told = Told::new(Severity::Note, Outcome::NothingSeen, evidence, advice);
    found.push(told.at(RULE.name, Place::Slots(slots)));
}
