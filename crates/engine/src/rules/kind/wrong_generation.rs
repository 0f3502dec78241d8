//! A module of another DDR generation than the board's.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "wrong-generation",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["jesd79-4", "jesd79-5"],
    explain: r#"## What it finds

A module of another DDR generation than the board is built for.

## Why it matters

Each generation has its own key notch, pin count and supply voltage. The module does not go into the slot; forced in,
it may be damaged and damage the board.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 16GB 1Rx8 RDIMM 4800 DDR5
    -> wrong wrong-generation at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 16GB 1Rx8 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let board = scene.board.generation;
    each_module(RULE.name, scene, found, |_, _, module| {
        (module.generation != board).then(|| {
            let evidence = format!("a {} module in a {board} slot", module.generation);
            Told::new(Severity::Wrong, Outcome::Stops, evidence, format!("fit {board} modules"))
        })
    });
}
