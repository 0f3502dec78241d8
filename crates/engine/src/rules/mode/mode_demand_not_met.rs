//! A fill that does not meet what the RAS mode demands.

use crate::rules::alike::{alike, unlike};
use crate::rules::report::{Told, channel_place, cite, plural, slots_place};
use crate::rules::{Rule, Scope};
use crate::scene::{ChannelScene, Scene, SocketScene};
use domain::board::ModeRule;
use domain::{Finding, Generation, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "mode-demand-not-met",
    severity: Severity::Wrong,
    scope: Scope::Socket,
    monotone: false,
    sources: &["ras-4ch", "ras-6ch", "ras-8ch", "ras-12ch"],
    explain: r#"## What it finds

A fill that the chosen RAS mode does not work with: a number of modules for a processor that the mode does not take,
channels that must be alike and are not, too few ranks in a channel to spare one, devices of another width, modules
with other ECC bits (DDR5 modules of nine x4 devices have 4 a sub-channel, those of ten have 8), modules that differ
where all must be alike, or a NUMA mode that excludes it. Modules are alike here when kind, capacity and organisation
are; maker and part number may differ.

## Why it matters

The machine starts without the mode, often with only a line in its log.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says mode mirror counts 6 12 alike ab de
    mode mirror
    fill 0a1 0b1 0c1 0d1 32GB 2Rx4 RDIMM 2933
    -> wrong mode-demand-not-met at socket 0
    -> wrong mode-demand-not-met at 0d1

Sparing with too few ranks:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says mode spare-rank ranks 2 width 4
    mode spare-rank
    fill 0a1 0b1 16GB 1Rx8 RDIMM 2933
    -> wrong mode-demand-not-met at channel 0a
    -> wrong mode-demand-not-met at channel 0b
    -> wrong mode-demand-not-met at 0a1, 0b1

Mirroring that takes no modules of nine x4 devices:

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    says mode mirror ecc-bits 8
    mode mirror
    fill 0*1 32GB 1Rx4 RDIMM 4800 ecc4
    -> wrong mode-demand-not-met at 0a1, 0b1, 0c1, 0d1, 0e1, 0f1, 0g1, 0h1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says mode mirror counts 6 12 alike ab de identical
    mode mirror
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(rule) = scene.board.mode(&scene.build.mode) else {
        return;
    };
    for socket in scene.sockets.iter().filter(|s| s.dram().next().is_some()) {
        of_processor(scene, rule, socket, found);
        for group in &rule.alike {
            let members: Vec<&ChannelScene> =
                group.iter().filter_map(|n| socket.channels.get(usize::from(*n))).collect();
            if let Some(strays) = unlike(&members) {
                found.push(tell(rule, "channels that must be filled alike are not", Place::Slots(strays)));
            }
        }
        let least = u16::from(rule.ranks_least.unwrap_or(0));
        for channel in socket.channels.iter().filter(|c| c.dram().next().is_some() && c.logical_ranks() < least) {
            let ranks = plural(usize::from(channel.logical_ranks()), "rank");
            found.push(tell(rule, &format!("{ranks} in a channel, where {least} are needed"), channel_place(channel)));
        }
    }
}

/// What the mode demands of a processor's modules as a whole.
fn of_processor(scene: &Scene, rule: &ModeRule, socket: &SocketScene, found: &mut Vec<Finding>) {
    let count = socket.dram().count() as u16;
    if !rule.counts.is_empty() && !rule.counts.contains(&count) {
        let counts = rule.counts.iter().map(u16::to_string).collect::<Vec<_>>().join(", ");
        let evidence = format!("{} for this processor, where it takes {counts}", plural(usize::from(count), "module"));
        found.push(tell(rule, &evidence, Place::Socket(socket.index)));
    }
    if let Some(width) = rule.width
        && socket.dram().any(|(_, m)| m.organisation.width != width)
    {
        let place = slots_place(socket.dram().filter(|(_, m)| m.organisation.width != width));
        found.push(tell(rule, &format!("modules whose devices are not x{width}"), place));
    }
    if let Some(bits) = rule.ecc_bits {
        let unlike = || socket.dram().filter(move |(_, m)| m.ecc_bits.is_some_and(|has| has != bits));
        if unlike().next().is_some() {
            let each = if scene.board.generation == Generation::Ddr5 { "sub-channel" } else { "channel" };
            found.push(tell(rule, &format!("modules without {bits} ECC bits a {each}"), slots_place(unlike())));
        }
    }
    if rule.identical && socket.dram().zip(socket.dram().skip(1)).any(|((_, a), (_, b))| !alike(a, b)) {
        found.push(tell(rule, "modules differ, where all must be alike", Place::Socket(socket.index)));
    }
    if let Some(numa) = scene.build.numa.as_ref().filter(|n| rule.not_with_numa.contains(n)) {
        let evidence = format!("the NUMA mode `{numa}`, which excludes it");
        found.push(tell(rule, &evidence, Place::Socket(socket.index)));
    }
}

fn tell(rule: &ModeRule, evidence: &str, place: Place) -> Finding {
    let evidence = cite(&format!("{}: {evidence}", rule.mode), &rule.source, rule.mark);
    let advice = format!("change the fill, or do without `{}`", rule.mode);
    Told::new(Severity::Wrong, Outcome::DisablesMode, evidence, advice).at(RULE.name, place)
}
