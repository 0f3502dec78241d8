//! Modules of different kinds in one machine.

use crate::rules::report::{Told, distinct, mix};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Kind, Module, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-module-kinds",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-8ch", "practice"],
    explain: r#"## What it finds

Modules of different kinds (RDIMM, LRDIMM, their 3DS forms, UDIMM, MRDIMM) anywhere in the machine, unless the board's
maker says that just these kinds may share it. Non-volatile modules have a rule of their own.

## Why it matters

The controllers train one kind. Every published chart that was seen forbids the mix for the whole machine, not only for
a channel or a processor; makers of the modules may be mixed.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 64GB 2Rx4 RDIMM 2933
    fill 1a1 64GB 4DRx4 LRDIMM 2933
    -> wrong mixed-module-kinds at 1a1

Each kind alike often:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 64GB 2Rx4 RDIMM 2933
    fill 0a2 64GB 4DRx4 LRDIMM 2933
    -> wrong mixed-module-kinds at 0a1, 0a2

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 1a1 64GB 2Rx4 RDIMM 2933
    -> clean

On a board whose maker allows the two together:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says together RDIMM RDIMM-3DS
    fill 0a1 128GB 2S2Rx4 RDIMM-3DS 2933
    fill 0b1 64GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let kind = |module: &Module| Some(module.kind);
    if distinct(scene.dram(), kind) < 2 {
        return;
    }
    let groups = &scene.board.mixing.kinds_together;
    if groups.iter().any(|group| scene.dram().all(|(_, m)| group.contains(&m.kind))) {
        return;
    }
    let mix = mix(scene.dram(), kind, Kind::to_string);
    let advice = "use one kind in the whole machine";
    let told = Told::new(Severity::Wrong, Outcome::Stops, mix.words, advice);
    found.push(told.at(RULE.name, Place::Slots(mix.odd)));
}
