//! Controllers of a processor with unequal memory.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::{Scene, SocketScene};
use domain::{Capacity, Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "controllers-unequal",
    severity: Severity::Slower,
    scope: Scope::Socket,
    monotone: false,
    sources: &["kernel-interleave", "chart-8ch-ddr4-four-controllers"],
    explain: r#"## What it finds

Memory controllers of one processor that do not hold equally much, on families whose controllers drive several channels
each and all of which have some memory.

## Why it matters

A set of channels takes equally many from each controller. Five channels as three and two therefore make no set of five:
four of them work together and the fifth alone.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 0c1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> slower controllers-unequal at socket 0

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for socket in &scene.sockets {
        let controllers = socket.channels.last().map_or(0, |c| c.controller + 1);
        if controllers < 2 || socket.channels.len() <= usize::from(controllers) {
            continue;
        }
        let first = capacity(socket, 0);
        let others = || (1..controllers).map(|c| capacity(socket, c));
        if others().all(|c| c == first) || first.is_zero() || others().any(Capacity::is_zero) {
            continue;
        }
        let each = (0..controllers).map(|c| capacity(socket, c).to_string()).collect::<Vec<_>>().join(", ");
        let evidence = format!("controllers hold {each}");
        let advice = "fill the same channels of every controller alike";
        let told = Told::new(Severity::Slower, Outcome::LosesBandwidth, evidence, advice);
        found.push(told.at(RULE.name, Place::Socket(socket.index)));
    }
}

fn capacity(socket: &SocketScene, controller: u8) -> Capacity {
    socket.channels.iter().filter(|c| c.controller == controller).map(|c| c.capacity()).sum()
}
