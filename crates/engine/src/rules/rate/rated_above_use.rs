//! Modules rated above the rate that the machine runs.

use crate::rules::machine_rate;
use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "rated-above-use",
    severity: Severity::Note,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

Modules whose rate bin is above the rate that the machine runs: the processor, the board, the number of modules a
channel or a slower module holds them back.

## Why it matters

It does no harm: a module runs at any lower rate of its generation. But a dearer bin is paid for and not used, unless
the modules go on into a faster machine later or cost the same.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2666
    fill 0a1 0b1 32GB 2Rx4 RDIMM 3200
    -> note rated-above-use at 0a1, 0b1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2666
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2666
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(rates) = machine_rate::of(scene) else {
        return;
    };
    let runs = rates.limit.min(rates.slowest);
    if rates.fastest <= runs {
        return;
    }
    let fast = scene.dram().filter(|(_, m)| m.rate > runs).map(|(slot, _)| slot).collect();
    let evidence = format!("rated up to {}, runs at {runs}", rates.fastest);
    let advice = format!("modules rated {runs} do here, where they cost less");
    let told = Told::new(Severity::Note, Outcome::NothingSeen, evidence, advice);
    found.push(told.at(RULE.name, Place::Slots(fast)));
}
