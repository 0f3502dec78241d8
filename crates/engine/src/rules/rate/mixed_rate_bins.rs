//! Modules of different rate bins in one machine.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-rate-bins",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-8ch-ddr5", "practice"],
    explain: r#"## What it finds

Modules of different rate bins in one machine. Where the board's maker forbids it, with the maker's severity; where the
board's data says nothing, as a note.

## Why it matters

All channels run at one rate, that of the slowest module present. Most boards take mixed bins and run so; some newer
ones stand behind one bin only.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rates never unsupported
    fill 0a1 0b1 32GB 2Rx8 RDIMM 5600
    fill 0c1 32GB 2Rx8 RDIMM 4800
    -> unsupported mixed-rate-bins at 0c1

Nothing said by the maker:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 32GB 2Rx4 RDIMM 2933
    fill 0b1 32GB 2Rx4 RDIMM 2666
    -> note mixed-rate-bins at 0a1, 0b1

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing rates never unsupported
    fill 0a1 0b1 0c1 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.rates.as_ref(),
        silent: Some(Severity::Note),
        key: |module| Some(module.rate),
        show: |rate| rate.to_string(),
        advice: "all run at the slowest: use modules of one rate bin where the rate counts",
    };
    mixed_in_machine(scene, found, &question);
}
