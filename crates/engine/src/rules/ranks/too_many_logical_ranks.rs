//! More logical ranks in a channel than the controller addresses.

use crate::rules::channel_limit::over_limit;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "too-many-logical-ranks",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["chart-8ch-ddr4-four-controllers"],
    explain: r#"## What it finds

More logical ranks in one channel than the board's maker allows for that kind of module. Every die of a 3DS stack is a
logical rank: `2S4Rx4` is 8.

## Why it matters

Controllers keep count of every logical rank for refresh and timing, and can do so for a fixed number of them, often 8
to a channel, even where the bus itself would carry more.

## Example

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says channel RDIMM-3DS logical-ranks 8
    fill 0a1 256GB 2S4Rx4 RDIMM-3DS 3200
    fill 0a2 128GB 2S2Rx4 RDIMM-3DS 3200
    -> wrong too-many-logical-ranks at channel 0a

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says channel RDIMM-3DS logical-ranks 8
    fill 0a1 0a2 128GB 2S2Rx4 RDIMM-3DS 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    over_limit(RULE.name, scene, found, "logical rank", |c| c.logical_ranks(), |limit| limit.logical_ranks);
}
