//! More modules in a channel than the processor drives.

use crate::rules::report::{Told, channel_name, channel_place};
use crate::rules::{Rule, Scope};
use crate::scene::{ChannelScene, Scene};
use domain::{Finding, Kind, Module, Outcome, Processor, Severity};

pub const RULE: Rule = Rule {
    name: "too-many-modules-in-channel",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: false,
    sources: &["rates-6ch-2933", "practice"],
    explain: r#"## What it finds

More modules in a channel than the processor drives at all, or than it drives of this kind and number of ranks.

## Why it matters

Every module loads the bus. A board may have more slots than some of its processors can use; beyond the processor's
limit the channel does not train.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    processor 6400 most 1
    fill 0a1 0a2 32GB 2Rx8 RDIMM 6400
    -> wrong too-many-modules-in-channel at channel 0a

No rate at two modules a channel:

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    processor 6400 second none
    fill 0a1 0a2 32GB 2Rx8 RDIMM 6400
    -> wrong too-many-modules-in-channel at channel 0a

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 2 slots
    processor 6400 most 1
    fill 0a1 0b1 32GB 2Rx8 RDIMM 6400
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        for channel in &socket.channels {
            if let Some(evidence) = excess(processor, channel) {
                let advice = format!("move modules from {} to other channels", channel_name(scene, channel));
                let told = Told::new(Severity::Wrong, Outcome::Stops, evidence, advice);
                found.push(told.at(RULE.name, channel_place(channel)));
            }
        }
    }
}

fn excess(processor: &Processor, channel: &ChannelScene) -> Option<String> {
    let count = channel.count();
    if count > processor.dpc_most {
        return Some(format!("{count} modules, where {} drives {} a channel", processor.id, processor.dpc_most));
    }
    let (_, module) = channel.modules.iter().find(|(_, m)| runs_only_otherwise(processor, m, count))?;
    let ranks = module.organisation.package_ranks;
    let (id, kind) = (&processor.id, module.kind);
    Some(format!("{count} modules, where {id} has no rate for so many {kind} modules of {ranks} ranks"))
}

/// Is there a rate for it at some number of modules a channel, but none at this one?
fn runs_only_otherwise(processor: &Processor, module: &Module, count: u8) -> bool {
    let ranks = module.organisation.package_ranks;
    let mut rates = processor.rates.iter().filter(|r| r.applies(module.kind, ranks, r.dpc)).peekable();
    module.kind != Kind::Nonvolatile && rates.peek().is_some() && rates.all(|r| r.dpc != count)
}
