//! Modules of different die densities in one machine.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Generation, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-die-densities",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-8ch-ddr5", "mixing-12ch"],
    explain: r#"## What it finds

Modules of different die densities in one machine, where the board's maker does not allow it. Where a DDR5 board's data
says nothing of it, the mix is told as unproven; on older generations nothing is found then, since no chart that was
seen asks for one density. Modules whose density is not known do not count.

## Why it matters

On DDR5, makers allow the mix for one processor family and forbid it for the next on the same socket.

## Example

    machine DDR5 1 socket x 12 controllers x 1 channel x 1 slot
    says mixing densities never unsupported
    fill 0a1 0b1 64GB 2Rx4 RDIMM 4800 16Gbit
    fill 0c1 96GB 2Rx4 RDIMM 4800 24Gbit
    -> unsupported mixed-die-densities at 0c1

Nothing said by the maker:

    machine DDR5 1 socket x 12 controllers x 1 channel x 1 slot
    fill 0a1 0b1 64GB 2Rx4 RDIMM 4800 16Gbit
    fill 0c1 96GB 2Rx4 RDIMM 4800 24Gbit
    -> unproven mixed-die-densities at 0c1

## Instead

    machine DDR5 1 socket x 12 controllers x 1 channel x 1 slot
    says mixing densities never unsupported
    fill 0a1 0b1 0c1 64GB 2Rx4 RDIMM 4800 16Gbit
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.densities.as_ref(),
        silent: (scene.board.generation >= Generation::Ddr5).then_some(Severity::Unproven),
        key: |module| module.die_density,
        show: |density| density.to_string(),
        advice: "use modules of one die density",
    };
    mixed_in_machine(scene, found, &question);
}
