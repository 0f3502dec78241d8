//! 3DS modules of different stack heights in one machine.

use crate::rules::report::{MixQuestion, mixed_in_machine};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-stack-heights",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-8ch", "mixing-12ch"],
    explain: r#"## What it finds

3DS modules with stacks of different heights in one machine, where the board's maker does not allow it. Where the
board's data says nothing of it, the mix is told as unproven.

## Why it matters

Dies of a stack have refresh and timing of their own, and the charts that were seen refuse 3DS modules of 4 ranks beside
those of 8. Dual-die packages (`4DRx4`) are no stacks.

## Example

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing stacks never wrong
    fill 0a1 0b1 128GB 2S2Rx4 RDIMM-3DS 3200
    fill 0c1 256GB 2S4Rx4 RDIMM-3DS 3200
    -> wrong mixed-stack-heights at 0c1

Nothing said by the maker:

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    fill 0a1 0b1 128GB 2S2Rx4 RDIMM-3DS 3200
    fill 0c1 256GB 2S4Rx4 RDIMM-3DS 3200
    -> unproven mixed-stack-heights at 0c1

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says mixing stacks never wrong
    fill 0a1 0b1 0c1 128GB 2S2Rx4 RDIMM-3DS 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let question = MixQuestion {
        rule: RULE.name,
        ruling: scene.board.mixing.stacks.as_ref(),
        silent: Some(Severity::Unproven),
        key: |module| (module.organisation.stack > 1).then_some(module.organisation.stack),
        show: |stack| format!("stacks of {stack}"),
        advice: "use 3DS modules of one stack height",
    };
    mixed_in_machine(scene, found, &question);
}
