//! More different capacities in a channel than the maker allows.

use crate::rules::report::{Told, channel_place, distinct, mix};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Capacity, Finding, Module, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-capacities-in-channel",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["mixing-6ch-strict", "practice"],
    explain: r#"## What it finds

More different capacities in one channel than the board's maker allows. Where the board's data says nothing, nothing is
found: a larger module in the first slot and a smaller in the second is common.

## Why it matters

Some makers stand behind like modules in a channel only.

## Example

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says at-most 1 capacities-in-channel unsupported
    fill 0a1 64GB 2Rx4 RDIMM 3200
    fill 0a2 32GB 2Rx4 RDIMM 3200
    -> unsupported mixed-capacities-in-channel at channel 0a

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    says at-most 1 capacities-in-channel unsupported
    fill 0a1 64GB 2Rx4 RDIMM 3200
    fill 0b1 32GB 2Rx4 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(ruling) = &scene.board.mixing.capacities_in_channel else {
        return;
    };
    let capacity = |module: &Module| Some(module.capacity);
    for channel in scene.channels().filter(|c| c.modules.len() > 1) {
        if distinct(channel.dram(), capacity) > usize::from(ruling.value) {
            let mix = mix(channel.dram(), capacity, Capacity::to_string);
            let evidence = format!("{} in one channel, where {} may be", mix.words, ruling.value);
            let told = Told::ruled(ruling, &evidence, "fit like modules in each channel");
            found.push(told.at(RULE.name, channel_place(channel)));
        }
    }
}
