//! Processors of different families in one machine.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "processors-unequal",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

Processors of different families in the sockets of one machine.

## Why it matters

Processors that work together have to be of one model. Different families do not start together; makers ask for equal
part numbers, which this rule cannot see.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    socket 1 other
    fill 0a1 1a1 32GB 2Rx4 RDIMM 2933
    -> wrong processors-unequal at machine

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 1a1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let ids = || scene.sockets.iter().filter_map(|s| s.processor).map(|p| &p.id);
    let Some(first) = ids().next() else { return };
    if ids().all(|id| id == first) {
        return;
    }
    let list = ids().map(|id| id.0.as_str()).collect::<Vec<_>>().join(" beside ");
    let advice = "use processors of one model";
    found.push(Told::new(Severity::Wrong, Outcome::Stops, list, advice).at(RULE.name, Place::Machine));
}
