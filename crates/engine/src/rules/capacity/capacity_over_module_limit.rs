//! A module larger than the board takes.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "capacity-over-module-limit",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A module larger than the largest that the board's maker lists.

## Why it matters

The limit stands for die densities and stacks that processor and firmware know. A larger module may stay untrained, or
be seen with less than it has.

## Example

    machine DDR4 1 socket x 1 controller x 4 channels x 2 slots
    says limit module 64GB wrong disables-module
    fill 0a1 128GB 4DRx4 LRDIMM 2400
    -> wrong capacity-over-module-limit at 0a1

## Instead

    machine DDR4 1 socket x 1 controller x 4 channels x 2 slots
    says limit module 64GB wrong disables-module
    fill 0a1 0b1 64GB 4DRx4 LRDIMM 2400
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(limit) = &scene.board.limits.module else {
        return;
    };
    each_module(RULE.name, scene, found, |_, _, module| {
        (module.capacity > limit.value).then(|| {
            let evidence = format!("a module of {}, where the board takes {}", module.capacity, limit.value);
            Told::ruled(limit, &evidence, format!("use modules of {} or less", limit.value))
        })
    });
}
