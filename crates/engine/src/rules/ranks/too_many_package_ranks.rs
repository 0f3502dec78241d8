//! More package ranks in a channel than it has chip selects for.

use crate::rules::channel_limit::over_limit;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "too-many-package-ranks",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["mixing-6ch"],
    explain: r#"## What it finds

More package ranks (chip selects) in one channel than the board's maker allows for that kind of module.

## Why it matters

A controller has a fixed number of chip selects for each channel. Ranks beyond them cannot be addressed. Dies of a 3DS
stack need no chip select of their own; the two dies of a dual-die package (`4DRx4`) do.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 3 slots
    says channel RDIMM package-ranks 8
    fill 0a1 0a2 64GB 4DRx4 RDIMM 2933
    fill 0a3 32GB 2Rx4 RDIMM 2933
    -> wrong too-many-package-ranks at channel 0a

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 3 slots
    says channel RDIMM package-ranks 8
    fill 0a1 0a2 64GB 4DRx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    over_limit(RULE.name, scene, found, "package rank", |c| c.package_ranks(), |limit| limit.package_ranks);
}
