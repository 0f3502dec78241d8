//! More different rank counts in a channel than the maker allows.

use crate::rules::report::{Told, channel_place, distinct, mix};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Module, Severity};

pub const RULE: Rule = Rule {
    name: "mixed-ranks-in-channel",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: true,
    sources: &["mixing-6ch", "mixing-4ch"],
    explain: r#"## What it finds

More different rank counts in one channel than the board's maker allows. Logical ranks are compared, as the trade calls
a `2S2R` module quad-rank. Where the board's data says nothing, nothing is found.

## Why it matters

Single- with dual-rank in a channel is common and allowed on many boards; some makers allow one rank count only.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says at-most 1 rank-counts-in-channel unsupported
    fill 0a1 32GB 2Rx8 RDIMM 4800
    fill 0a2 16GB 1Rx8 RDIMM 4800
    -> unsupported mixed-ranks-in-channel at channel 0a

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says at-most 1 rank-counts-in-channel unsupported
    fill 0a1 0a2 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(ruling) = &scene.board.mixing.rank_counts_in_channel else {
        return;
    };
    let ranks = |module: &Module| Some(module.organisation.logical_ranks());
    for channel in scene.channels().filter(|c| c.modules.len() > 1) {
        if distinct(channel.dram(), ranks) > usize::from(ruling.value) {
            let mix = mix(channel.dram(), ranks, |r| format!("{r}R"));
            let evidence = format!("{} in one channel, where {} may be", mix.words, ruling.value);
            let told = Told::ruled(ruling, &evidence, "fit modules of like ranks in each channel");
            found.push(told.at(RULE.name, channel_place(channel)));
        }
    }
}
