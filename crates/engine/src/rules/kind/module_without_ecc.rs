//! A module without ECC bits on a board that needs them.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "module-without-ecc",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["jedec-module-label", "practice"],
    explain: r#"## What it finds

A module without ECC bits on a board whose maker requires ECC. On-die ECC, which every DDR5 device has, does not count:
it never leaves the device. Where it is not known whether a module has ECC bits, that is told as unproven.

## Why it matters

Without the extra devices there is nowhere to keep the check bits of a word. Firmware that requires ECC refuses such a
module; where it does not, one flipped bit goes unseen.

## Example

    machine DDR4 1 socket x 1 controller x 2 channels x 2 slots
    says ecc required
    fill 0a1 0b1 16GB 2Rx8 UDIMM 3200 no-ecc
    -> wrong module-without-ecc at 0a1, 0b1

## Instead

    machine DDR4 1 socket x 1 controller x 2 channels x 2 slots
    says ecc required
    fill 0a1 0b1 16GB 2Rx8 UDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    if !scene.board.ecc_required {
        return;
    }
    each_module(RULE.name, scene, found, |_, _, module| match module.ecc_bits {
        Some(0) => {
            let evidence = "no ECC bits, on a board that requires ECC".to_string();
            Some(Told::new(Severity::Wrong, Outcome::Stops, evidence, "fit modules with ECC"))
        }
        None => {
            let evidence = "not known to have ECC bits, which the board requires".to_string();
            Some(Told::new(Severity::Unproven, Outcome::Unknown, evidence, "read the module's label or SPD"))
        }
        Some(_) => None,
    });
}
