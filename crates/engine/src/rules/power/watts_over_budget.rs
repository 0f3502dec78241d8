//! Modules that together draw more than the board allows for memory.

use crate::power;
use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity, Watts};

pub const RULE: Rule = Rule {
    name: "watts-over-budget",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

Modules that together draw more than the board's maker allows for memory. Where it takes estimates for modules of
unknown draw to get there, it is told as unproven.

## Why it matters

Regulators and power supplies are sized for a budget. Above it the machine throttles, or switches off under load.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says limit memory-watts 60W unsupported
    fill 0** 64GB 2Rx4 RDIMM 2933 6W
    -> unsupported watts-over-budget at machine

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says limit memory-watts 60W unsupported
    fill 0*1 128GB 2S2Rx4 RDIMM-3DS 2933 9W
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(limit) = &scene.board.limits.memory_watts else {
        return;
    };
    let known: Watts = scene.modules().filter_map(|(_, m)| m.watts).sum();
    let advice = "use fewer or larger modules, or such that draw less";
    let told = if known > limit.value {
        Told::ruled(limit, &format!("{known}, where the board allows {} for memory", limit.value), advice)
    } else {
        let (estimate, _) = power::machine(scene);
        if estimate <= limit.value {
            return;
        }
        let evidence = format!("about {estimate} by estimate, where the board allows {} for memory", limit.value);
        Told::new(Severity::Unproven, Outcome::Unknown, evidence, advice)
    };
    found.push(told.at(RULE.name, Place::Machine));
}
