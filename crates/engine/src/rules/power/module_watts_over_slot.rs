//! A module that draws more than its slot supplies.

use crate::power;
use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "module-watts-over-slot",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A module that draws more than the board's maker allows for one slot. Where the module's own figure is not known, an
estimate from its devices stands in, and what it finds is told as unproven.

## Why it matters

Slot power is also heat: above it, the board's air flow no longer cools the module, which then refreshes twice as often,
is throttled, or fails.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says limit slot-watts 10W unsupported
    fill 0a1 128GB 2S2Rx4 RDIMM-3DS 2933 14W
    -> unsupported module-watts-over-slot at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says limit slot-watts 10W unsupported
    fill 0a1 0b1 64GB 2Rx4 RDIMM 2933 6W
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(limit) = &scene.board.limits.slot_watts else {
        return;
    };
    each_module(RULE.name, scene, found, |_, _, module| {
        let (watts, known) = power::module(module);
        (watts > limit.value).then(|| {
            let advice = "use modules that draw less";
            if known {
                Told::ruled(limit, &format!("{watts}, where a slot takes {}", limit.value), advice)
            } else {
                let evidence = format!("about {watts} by estimate, where a slot takes {}", limit.value);
                Told::new(Severity::Unproven, Outcome::Unknown, evidence, "look up what the module draws")
            }
        })
    });
}
