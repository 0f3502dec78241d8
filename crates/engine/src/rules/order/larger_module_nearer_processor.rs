//! A larger module, or one of more ranks, nearer to the processor than a smaller one of its channel.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Module, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "larger-module-nearer-processor",
    severity: Severity::Unsupported,
    scope: Scope::Channel,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

In one channel, a module with more package ranks nearer to the processor than one with fewer; or, where the ranks are
equal, a module of more capacity nearer than one of less.

## Why it matters

Makers ask for the heavier module at the far end of the bus, where it ends the line best. The other way round may train,
run slower, or fail.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 16GB 1Rx4 RDIMM 2933
    fill 0a2 32GB 2Rx4 RDIMM 2933
    -> unsupported larger-module-nearer-processor at 0a1, 0a2

Equal ranks, unequal capacity:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 32GB 2Rx4 RDIMM 2933
    fill 0a2 64GB 2Rx4 RDIMM 2933
    -> unsupported larger-module-nearer-processor at 0a1, 0a2

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 32GB 2Rx4 RDIMM 2933
    fill 0a2 16GB 1Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let weight = |m: &Module| (m.organisation.package_ranks, m.capacity);
    for channel in scene.channels().filter(|c| c.modules.len() > 1) {
        for ((far, farther), (near, nearer)) in channel.dram().zip(channel.dram().skip(1)) {
            if weight(nearer) <= weight(farther) {
                continue;
            }
            let what = |m: &Module| format!("{} {}", m.capacity, m.organisation);
            let (near_label, far_label) = (scene.label(near), scene.label(far));
            let evidence = format!("{} nearer to the processor than {}", what(nearer), what(farther));
            let advice = format!("exchange the modules in {far_label} and {near_label}");
            let told = Told::new(Severity::Unsupported, Outcome::Unknown, evidence, advice);
            found.push(told.at(RULE.name, Place::Slots(vec![far, near])));
        }
    }
}
