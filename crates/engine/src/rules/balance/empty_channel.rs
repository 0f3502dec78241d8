//! Channels left empty on a processor that has memory.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity, SlotIndex};

pub const RULE: Rule = Rule {
    name: "empty-channel",
    severity: Severity::Slower,
    scope: Scope::Socket,
    monotone: false,
    sources: &["kernel-interleave", "practice"],
    explain: r#"## What it finds

Channels without DRAM on a processor whose other channels have some. The first slot of each is named: that is where the
next module goes.

## Why it matters

Each channel carries its share of the bandwidth. Four channels of six carry two thirds at best.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> slower empty-channel at 0c1, 0f1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for socket in scene.sockets.iter().filter(|s| s.processor.is_some()) {
        let empty = || socket.channels.iter().filter(|c| c.capacity().is_zero() && !c.slots.is_empty());
        let (without, all) = (empty().count(), socket.channels.len());
        if without == 0 || without == all {
            continue;
        }
        let first: Vec<SlotIndex> = empty().filter_map(|c| c.slots.first().copied()).collect();
        let evidence =
            format!("{} of {all} channels hold memory; empty are those of {}", all - without, scene.labels(&first));
        let advice = "spread the same capacity over more, smaller modules, or add modules here";
        let told = Told::new(Severity::Slower, Outcome::LosesBandwidth, evidence, advice);
        found.push(told.at(RULE.name, Place::Slots(first)));
    }
}
