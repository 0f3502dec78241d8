//! A module in a slot whose processor is absent.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "slot-of-absent-processor",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A module in a slot of a socket without a processor.

## Why it matters

The memory controllers are in the processor. Without one, its slots are dead and the module is not seen.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    socket 1 empty
    fill 0a1 1a1 1b1 32GB 2Rx4 RDIMM 2933
    -> wrong slot-of-absent-processor at 1a1, 1b1

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    socket 1 empty
    fill 0a1 0b1 0c1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    each_module(RULE.name, scene, found, |socket, _, _| {
        socket.processor.is_none().then(|| {
            let name = &scene.board.sockets[usize::from(socket.index)].name;
            let evidence = format!("socket {name} has no processor");
            let advice = "move the modules to a socket that has one, or add the processor";
            Told::new(Severity::Wrong, Outcome::DisablesModule, evidence, advice)
        })
    });
}
