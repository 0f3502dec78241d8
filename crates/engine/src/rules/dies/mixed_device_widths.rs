//! Modules of x4 and of x8 devices in one machine.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-device-widths",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-6ch", "mixing-8ch", "mixing-8ch-ddr5", "mixing-12ch"],
    explain: r#"## What it finds

Modules of x4 and of x8 devices in one machine, where the board's maker does not allow it. Where the board's data says
nothing of it, the mix is told as unproven.

## Why it matters

Makers differ, even on the same processor: some let the two share a channel, some switch mirroring and device correction
off for it, some do not allow it at all.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing widths never unsupported
    fill 0a1 0b1 32GB 1Rx4 RDIMM 4800
    fill 0c1 32GB 2Rx8 RDIMM 4800
    -> unsupported mixed-device-widths at 0c1

Nothing said by the maker:

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    fill 0a1 32GB 1Rx4 RDIMM 4800
    fill 0c1 32GB 2Rx8 RDIMM 4800
    -> unproven mixed-device-widths at 0a1, 0c1

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing widths freely
    fill 0a1 32GB 1Rx4 RDIMM 3200
    fill 0c1 32GB 2Rx8 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.widths.as_ref(),
        silent: Some(Severity::Unproven),
        key: |module| Some(module.organisation.width),
        show: |width| format!("x{width}"),
        advice: "use modules of one device width",
    };
    mixed_in_machine(scene, found, &question);
}
