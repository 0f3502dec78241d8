//! Modules rated below what processor and board would run.

use crate::rules::machine_rate;
use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "rated-below-processor",
    severity: Severity::Slower,
    scope: Scope::Machine,
    monotone: false,
    sources: &["practice"],
    explain: r#"## What it finds

Modules whose rate bin is below what processor and board would run with so many modules a channel.

## Why it matters

All channels run at one rate, so one slow module holds every other back.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933
    fill 0c1 32GB 2Rx4 RDIMM 2400
    -> slower rated-below-processor at 0c1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933
    fill 0a1 0b1 0c1 32GB 2Rx4 RDIMM 2933
    -> clean

Where two modules a channel run at 2400 anyway, a slower bin costs nothing:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933 second 2400
    fill 0a1 0a2 32GB 2Rx4 RDIMM 2400
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(rates) = machine_rate::of(scene) else {
        return;
    };
    let (limit, runs) = (rates.limit, rates.limit.min(rates.slowest));
    if runs == limit {
        return;
    }
    let slow = scene.dram().filter(|(_, m)| m.rate < limit).map(|(slot, _)| slot).collect();
    let evidence = format!("processor and board would run {limit}, the slowest module is rated {}", rates.slowest);
    let advice = format!("fit modules rated {limit} or more in these slots");
    let told = Told::new(Severity::Slower, Outcome::SlowsTo(runs), evidence, advice);
    found.push(told.at(RULE.name, Place::Slots(slow)));
}
