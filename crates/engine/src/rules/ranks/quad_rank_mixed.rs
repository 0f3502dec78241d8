//! A quad-rank module beside one with fewer ranks in a channel.

use crate::rules::report::{Told, channel_place};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "quad-rank-mixed",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["mixing-4ch", "practice"],
    explain: r#"## What it finds

A module of 4 or more package ranks in one channel with a module of fewer. Where the board's data says nothing of it,
the mix is told as unproven.

## Why it matters

Quad-rank modules load the bus otherwise than single- and dual-rank ones, and older families never take them together in
a channel. Newer ones do on some boards: the maker's chart decides.

## Example

    machine DDR4 1 socket x 1 controller x 4 channels x 3 slots
    says mixing quad-rank never wrong disables-channel
    fill 0a1 32GB 4Rx4 RDIMM 2133
    fill 0a2 16GB 2Rx4 RDIMM 2133
    -> wrong quad-rank-mixed at channel 0a

Nothing said by the maker:

    machine DDR4 1 socket x 1 controller x 4 channels x 3 slots
    fill 0a1 32GB 4Rx4 RDIMM 2133
    fill 0a2 16GB 2Rx4 RDIMM 2133
    -> unproven quad-rank-mixed at channel 0a

## Instead

    machine DDR4 1 socket x 1 controller x 4 channels x 3 slots
    says mixing quad-rank never wrong disables-channel
    fill 0a1 32GB 4Rx4 RDIMM 2133
    fill 0b1 16GB 2Rx4 RDIMM 2133
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let ruling = scene.board.mixing.quad_rank.as_ref();
    if ruling.is_some_and(|r| r.value) {
        return;
    }
    for channel in scene.channels().filter(|c| c.modules.len() > 1) {
        let ranks = || channel.dram().map(|(_, m)| m.organisation.package_ranks);
        if !(ranks().any(|r| r >= 4) && ranks().any(|r| r < 4)) {
            continue;
        }
        let list = ranks().map(|r| r.to_string()).collect::<Vec<_>>().join(" and ");
        let evidence = format!("modules of {list} package ranks in one channel");
        let advice = "give quad-rank modules channels of their own";
        let told = match ruling {
            Some(ruling) => Told::ruled(ruling, &evidence, advice),
            None => Told::new(Severity::Unproven, Outcome::Unknown, evidence, advice),
        };
        found.push(told.at(RULE.name, channel_place(channel)));
    }
}
