//! Processors with unequal memory.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::{Scene, SocketScene};
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "sockets-unequal",
    severity: Severity::Slower,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

Processors that have memory, but not equally much of it.

## Why it matters

Programs spread over all processors; those on the one with less memory reach for the other's, over the link between
them, which is slower and farther.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933
    fill 1a1 32GB 2Rx4 RDIMM 2933
    -> slower sockets-unequal at machine

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 1a1 1b1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let filled = || scene.sockets.iter().filter(|s| s.processor.is_some() && s.dram().next().is_some());
    let Some(first) = filled().next() else { return };
    let capacity = first.capacity();
    if filled().all(|s| s.capacity() == capacity) {
        return;
    }
    let each = |s: &SocketScene| format!("{} on {}", s.capacity(), scene.board.sockets[usize::from(s.index)].name);
    let evidence = filled().map(each).collect::<Vec<_>>().join(", ");
    let advice = "give every processor the same modules in the same slots";
    let told = Told::new(Severity::Slower, Outcome::LosesBandwidth, evidence, advice);
    found.push(told.at(RULE.name, Place::Machine));
}
