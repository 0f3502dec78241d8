//! More electrical loads on a channel than it carries.

use crate::rules::channel_limit::over_limit;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "too-many-loads",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["mixing-6ch", "practice"],
    explain: r#"## What it finds

More electrical loads on one channel than the board's maker allows. Each package rank of a registered or unbuffered
module is one load, however high its 3DS stack; a load-reduced or multiplexed-rank module is one load in all.

## Why it matters

Loads blur the signal. This is why a channel can carry more ranks on load-reduced modules than on registered ones.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says channel RDIMM loads 4
    fill 0a1 64GB 4DRx4 RDIMM 2933
    fill 0a2 32GB 2Rx4 RDIMM 2933
    -> wrong too-many-loads at channel 0a

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says channel RDIMM LRDIMM loads 4
    fill 0a1 0a2 64GB 4DRx4 LRDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    over_limit(RULE.name, scene, found, "load", |c| c.loads(), |limit| limit.loads);
}
