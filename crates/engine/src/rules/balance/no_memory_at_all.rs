//! No DRAM that any processor reaches.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "no-memory-at-all",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

No DRAM in any slot that a processor reaches. Non-volatile modules do not stand in for it.

## Why it matters

The machine does not start without memory.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    socket 1 empty
    fill 1a1 32GB 2Rx4 RDIMM 2933
    -> wrong no-memory-at-all at machine

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    socket 1 empty
    fill 0a1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    if scene.sockets.iter().any(|s| s.processor.is_some() && s.dram().next().is_some()) {
        return;
    }
    let evidence = "no memory that a processor reaches".to_string();
    let advice = "fit at least one module for each processor";
    found.push(Told::new(Severity::Wrong, Outcome::Stops, evidence, advice).at(RULE.name, Place::Machine));
}
