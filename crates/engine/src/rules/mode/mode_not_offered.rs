//! A RAS mode that the board does not offer.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "mode-not-offered",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["ras-6ch", "ras-8ch", "practice"],
    explain: r#"## What it finds

A RAS mode (mirroring, sparing and their kin) that the board's data does not list.

## Why it matters

The firmware has no such setting: the machine starts without the mode, and what it was to protect is not protected.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    mode mirror
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> wrong mode-not-offered at machine

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says mode mirror counts 6 12
    mode mirror
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let (board, mode) = (scene.board, &scene.build.mode);
    if mode.is_independent() || board.mode(mode).is_some() {
        return;
    }
    let offered = board.mode_names().iter().map(|m| m.0.clone()).collect::<Vec<_>>().join(", ");
    let evidence = format!("`{mode}` is asked for, the board offers: {offered}");
    let advice = format!("choose one of: {offered}");
    found.push(Told::new(Severity::Wrong, Outcome::DisablesMode, evidence, advice).at(RULE.name, Place::Machine));
}
