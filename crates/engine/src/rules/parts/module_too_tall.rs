//! A module too tall for its slot, or for what reaches over it.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Height, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "module-too-tall",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A module taller than the board takes, than its slot takes, or than fits under a heat sink that reaches over the slot.
Modules of unknown height are let through.

## Why it matters

It meets the lid, the air duct or the heat sink: it can't be seated, or presses on the processor's cooling.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says overhang 0a1
    says limit overhang-height 18.75mm wrong disables-module
    fill 0a1 32GB 2Rx4 RDIMM 2933 31.25mm
    -> wrong module-too-tall at 0a1

A slot with a height of its own:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says height 0a1 20mm
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933 31.25mm
    -> wrong module-too-tall at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says overhang 0a1
    says limit overhang-height 18.75mm wrong disables-module
    fill 0a1 32GB 2Rx8 RDIMM 2933 18.75mm
    fill 0b1 32GB 2Rx4 RDIMM 2933 31.25mm
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let limits = &scene.board.limits;
    each_module(RULE.name, scene, found, |_, slot, module| {
        let height = module.height?;
        let slot = scene.board.slot(slot);
        let overhang = limits.height_under_heat_sink.as_ref().filter(|_| slot.under_heat_sink);
        if let Some(limit) = overhang.filter(|l| height > l.value) {
            let evidence = said(height, limit.value, "fits under the heat sink");
            return Some(Told::ruled(limit, &evidence, "use low modules here, or move them"));
        }
        if let Some(limit) = limits.height.as_ref().filter(|l| height > l.value) {
            let evidence = said(height, limit.value, "fits the board");
            return Some(Told::ruled(limit, &evidence, "use lower modules"));
        }
        let most = slot.height_most.filter(|most| height > *most)?;
        let evidence = said(height, most, "fits this slot");
        Some(Told::new(Severity::Wrong, Outcome::DisablesModule, evidence, "use low modules here, or move them"))
    });
}

fn said(height: Height, most: Height, fits: &str) -> String {
    format!("{height} tall, where {most} {fits}")
}
