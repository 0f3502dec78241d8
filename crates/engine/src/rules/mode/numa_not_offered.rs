//! A NUMA mode that a processor does not offer.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "numa-not-offered",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["sets-8ch-manual", "practice"],
    explain: r#"## What it finds

A NUMA mode that the processor's data does not list.

## Why it matters

The firmware falls back to what it has: the processor is parted otherwise than was planned for.

## Example

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    numa quarters
    fill 0*1 32GB 2Rx4 RDIMM 3200
    -> wrong numa-not-offered at socket 0

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    processor numa quarters ab cd ef gh
    numa quarters
    fill 0*1 32GB 2Rx4 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(wanted) = &scene.build.numa else {
        return;
    };
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        if processor.numa.iter().any(|n| n.name == *wanted) {
            continue;
        }
        let offered = processor.numa.iter().map(|n| n.name.as_str()).collect::<Vec<_>>().join(", ");
        let evidence = format!("`{wanted}` is asked for, which {} does not offer", processor.id);
        let advice =
            if offered.is_empty() { "ask for no NUMA mode".to_string() } else { format!("choose one of: {offered}") };
        let told = Told::new(Severity::Wrong, Outcome::DisablesMode, evidence, advice);
        found.push(told.at(RULE.name, Place::Socket(socket.index)));
    }
}
