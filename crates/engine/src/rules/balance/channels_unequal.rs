//! Filled channels of a processor with unequal memory.

use crate::rules::report::{Told, plural};
use crate::rules::{Rule, Scope};
use crate::scene::{Scene, SocketScene};
use domain::{Capacity, Finding, Outcome, Place, Severity};
use std::collections::BTreeMap;

pub const RULE: Rule = Rule {
    name: "channels-unequal",
    severity: Severity::Slower,
    scope: Scope::Socket,
    monotone: false,
    sources: &["kernel-interleave", "practice"],
    explain: r#"## What it finds

Channels of one processor that hold memory, but not equally much.

## Why it matters

Addresses are spread over channels only as far as all hold equally much. What is left on the fuller ones forms a region
of its own, spread over fewer channels, and is slower.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0*1 32GB 2Rx4 RDIMM 2933
    fill 0a2 32GB 2Rx4 RDIMM 2933
    -> slower channels-unequal at socket 0

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0** 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for socket in &scene.sockets {
        let mut filled = socket.channels.iter().map(|c| c.capacity()).filter(|c| !c.is_zero());
        let Some(first) = filled.next() else { continue };
        if filled.all(|c| c == first) {
            continue;
        }
        let advice = "fill all channels alike, or move modules until all filled ones are";
        let told = Told::new(Severity::Slower, Outcome::LosesBandwidth, spread(socket), advice);
        found.push(told.at(RULE.name, Place::Socket(socket.index)));
    }
}

/// `1 channel of 64 GiB, 5 channels of 32 GiB`
fn spread(socket: &SocketScene) -> String {
    let mut sizes: BTreeMap<Capacity, usize> = BTreeMap::new();
    for channel in socket.channels.iter().filter(|c| !c.capacity().is_zero()) {
        *sizes.entry(channel.capacity()).or_default() += 1;
    }
    let words = sizes.iter().rev().map(|(size, n)| format!("{} of {size}", plural(*n, "channel")));
    words.collect::<Vec<_>>().join(", ")
}
