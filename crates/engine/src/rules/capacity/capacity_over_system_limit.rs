//! More memory in all than the board takes.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Capacity, Finding, Place, Severity};

pub const RULE: Rule = Rule {
    name: "capacity-over-system-limit",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

More DRAM in the whole machine than the board's maker lists.

## Why it matters

The limit may be what the address map of the firmware holds, or only what the maker has tried: the board's data says
which by its severity.

## Example

    machine DDR4 1 socket x 1 controller x 4 channels x 2 slots
    says limit system 256GB unsupported
    fill 0** 64GB 4DRx4 LRDIMM 2400
    -> unsupported capacity-over-system-limit at machine

## Instead

    machine DDR4 1 socket x 1 controller x 4 channels x 2 slots
    says limit system 256GB unsupported
    fill 0*1 64GB 4DRx4 LRDIMM 2400
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(limit) = &scene.board.limits.system else {
        return;
    };
    let holds: Capacity = scene.dram().map(|(_, m)| m.capacity).sum();
    if holds > limit.value {
        let evidence = format!("{holds} in all, where the board takes {}", limit.value);
        found.push(Told::ruled(limit, &evidence, "fit less memory").at(RULE.name, Place::Machine));
    }
}
