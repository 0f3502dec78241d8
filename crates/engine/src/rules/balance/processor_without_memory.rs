//! A processor without memory of its own beside one that has some.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "processor-without-memory",
    severity: Severity::Unsupported,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

A processor without a DRAM module of its own, in a machine where another has some.

## Why it matters

Makers ask for one module at least for each processor. Without one it reaches all memory through another processor, or
the machine does not start.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933
    -> unsupported processor-without-memory at socket 1

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 1a1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    if scene.dram().next().is_none() {
        return;
    }
    for socket in scene.sockets.iter().filter(|s| s.processor.is_some() && s.dram().next().is_none()) {
        let evidence = "a processor without memory of its own".to_string();
        let advice = "fit at least one module for this processor; best as much as for the others";
        let told = Told::new(Severity::Unsupported, Outcome::Unknown, evidence, advice);
        found.push(told.at(RULE.name, Place::Socket(socket.index)));
    }
}
