//! Modules of different rank counts in a machine whose maker wants one.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-rank-counts",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-8ch-ddr5"],
    explain: r#"## What it finds

Modules of different logical rank counts anywhere in a machine whose maker wants one rank count throughout. Where the
board's data says nothing, nothing is found: single- beside dual-rank is common.

## Why it matters

On some newer boards the maker stands behind one rank count only, even in different channels.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    fill 0a1 0b1 32GB 2Rx8 RDIMM 4800
    fill 0c1 16GB 1Rx8 RDIMM 4800
    -> unsupported mixed-rank-counts at 0c1

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    fill 0a1 0b1 0c1 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.rank_counts.as_ref(),
        silent: None,
        key: |module| Some(module.organisation.logical_ranks()),
        show: |ranks| format!("{ranks}R"),
        advice: "use modules of one rank count",
    };
    mixed_in_machine(scene, found, &question);
}
