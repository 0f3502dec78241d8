//! A non-volatile module: not counted as DRAM, and it may hold a customer's data.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Kind, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "non-volatile-module",
    severity: Severity::Note,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A non-volatile module: persistent, or backed by a battery. Its capacity is never counted as DRAM here.

## Why it matters

It keeps what was written to it when the power is gone, so it may hold a former owner's data. It needs its own firmware
settings, a listed processor and DRAM beside it, none of which is checked here.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 32GB 2Rx4 RDIMM 2666
    fill 0a2 128GB 1Rx4 NVDIMM 2666
    -> note non-volatile-module at 0a2

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2666
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    each_module(RULE.name, scene, found, |_, _, module| {
        (module.kind == Kind::Nonvolatile).then(|| {
            let evidence = format!("{} non-volatile, not counted as memory", module.capacity);
            let advice = "it may hold a former owner's data: before resale erase it by its maker's procedure, and do \
                          not reuse it as DRAM";
            Told::new(Severity::Note, Outcome::NothingSeen, evidence, advice)
        })
    });
}
