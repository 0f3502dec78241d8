//! A module that needs another supply voltage than the generation's.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Generation, Module, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "wrong-voltage",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["jesd79-4", "jesd79-5", "practice"],
    explain: r#"## What it finds

A module whose label or catalogue row asks for another supply voltage than its DDR generation has: 1.5 V (DDR3), 1.2 V
(DDR4), 1.1 V (DDR5). DDR3L, which runs at 1.35 V and at 1.5 V alike, is let through.

## Why it matters

Server boards supply the standard voltage and no other. A module that reaches its rate only at a raised voltage does not
train there, or gives errors later.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 16GB 2Rx8 UDIMM 3200 1.35V
    -> wrong wrong-voltage at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 16GB 2Rx8 UDIMM 3200
    -> clean

DDR3L in a DDR3 board:

    machine DDR3 1 socket x 1 controller x 4 channels x 2 slots
    fill 0a1 16GB 2Rx4 RDIMM 1600 1.35V
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    each_module(RULE.name, scene, found, |_, _, module| {
        let standard = Module::standard_voltage(module.generation);
        let low_voltage_ddr3 = module.generation == Generation::Ddr3 && module.voltage < standard;
        (module.voltage != standard && !low_voltage_ddr3).then(|| {
            let evidence = format!("asks for {}, where {} slots supply {standard}", module.voltage, module.generation);
            Told::new(Severity::Wrong, Outcome::Stops, evidence, format!("fit modules for {standard}"))
        })
    });
}
