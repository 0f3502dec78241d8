//! Empty slots without the blanks that the maker asks for.

use crate::rules::report::{Told, plural};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Place, Severity};

pub const RULE: Rule = Rule {
    name: "blanks-missing",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

Empty slots that are known to be without blanks, on a board whose maker asks for blanks.

## Why it matters

Blanks keep air from taking the easy way through empty slots. Without them, the modules and the processor behind get too
little.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says blanks unsupported
    blanks no
    fill 0*1 32GB 2Rx8 RDIMM 4800
    -> unsupported blanks-missing at machine

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says blanks unsupported
    blanks yes
    fill 0*1 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(ruling) = &scene.board.blanks else {
        return;
    };
    if !ruling.value || scene.build.blanks != Some(false) {
        return;
    }
    let empty = scene.board.slots.len() - scene.modules().count();
    if empty > 0 {
        let evidence = format!("{} without a blank", plural(empty, "empty slot"));
        found.push(Told::ruled(ruling, &evidence, "put a blank into every empty slot").at(RULE.name, Place::Machine));
    }
}
