//! Modules with different numbers of ECC bits.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-ecc-bits",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["jedec-module-label", "mixing-8ch-ddr5", "practice"],
    explain: r#"## What it finds

Modules with different numbers of ECC bits in one machine: DDR5 modules with 4 and with 8 bits a sub-channel, or modules
with and without ECC. Where the board's data says nothing of it, the mix is told as unproven.

## Why it matters

Check bits are laid out alike in the whole machine. Some makers refuse the mix, on others the machine may fall back to
the weaker code, or to none, without telling.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing ecc-bits never wrong
    fill 0a1 0b1 32GB 2Rx8 RDIMM 4800
    fill 0c1 32GB 2Rx8 RDIMM 4800 ecc4
    -> wrong mixed-ecc-bits at 0c1

Nothing said by the maker:

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    fill 0a1 0b1 32GB 2Rx8 RDIMM 4800
    fill 0c1 32GB 2Rx8 RDIMM 4800 ecc4
    -> unproven mixed-ecc-bits at 0c1

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing ecc-bits never wrong
    fill 0a1 0b1 0c1 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.ecc_bits.as_ref(),
        silent: Some(Severity::Unproven),
        key: |module| module.ecc_bits,
        show: |bits| format!("{bits} ECC bits"),
        advice: "use modules with equally many ECC bits",
    };
    mixed_in_machine(scene, found, &question);
}
