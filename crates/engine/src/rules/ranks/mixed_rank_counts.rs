//! Modules of different rank counts in a machine whose maker wants one.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Module, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-rank-counts",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: false,
    sources: &["mixing-8ch-ddr5"],
    explain: r#"## What it finds

Modules of different logical rank counts anywhere in a machine whose maker wants one rank count throughout. Some makers
allow single- beside dual-rank once every slot of the processors is filled; then nothing is found. Where the board's
data says nothing, nothing is found: single- beside dual-rank is common.

## Why it matters

On some newer boards the maker stands behind one rank count only, even in different channels.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    fill 0a1 0b1 32GB 2Rx8 RDIMM 4800
    fill 0c1 16GB 1Rx8 RDIMM 4800
    -> unsupported mixed-rank-counts at 0c1

Not all slots are filled, which the exception asks for:

    machine DDR5 1 socket x 1 controller x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    says mixing rank-counts once-full 1 2
    fill 0a1 0a2 32GB 2Rx8 RDIMM 4800
    fill 0b1 16GB 1Rx8 RDIMM 4800
    -> unsupported mixed-rank-counts at 0b1

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    fill 0a1 0b1 0c1 32GB 2Rx8 RDIMM 4800
    -> clean

All slots are filled, and the maker makes an exception of that:

    machine DDR5 1 socket x 1 controller x 2 channels x 2 slots
    says mixing rank-counts never unsupported
    says mixing rank-counts once-full 1 2
    fill 0a1 0b1 32GB 2Rx8 RDIMM 4800
    fill 0a2 0b2 16GB 1Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    if is_excepted(scene) {
        return;
    }
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

/// Is every slot of the processors filled, with modules of rank counts that may then be mixed?
fn is_excepted(scene: &Scene) -> bool {
    let allowed = &scene.board.mixing.rank_counts_once_full;
    let simple = |module: &Module| {
        let organisation = &module.organisation;
        organisation.logical_ranks() == organisation.package_ranks && allowed.contains(&organisation.package_ranks)
    };
    let mut slots = scene.sockets.iter().filter(|s| s.processor.is_some()).flat_map(|s| &s.channels);
    !allowed.is_empty()
        && slots.all(|c| c.slots.len() == usize::from(c.count()))
        && scene.dram().all(|(_, module)| simple(module))
}
