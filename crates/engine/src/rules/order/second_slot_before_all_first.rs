//! Second slots filled while first slots are empty, on a board whose chart does not say so.

use crate::order;
use crate::rules::report::{Told, slots_place};
use crate::rules::{Rule, Scope};
use crate::scene::{ChannelScene, Scene, SocketScene};
use domain::{Finding, Outcome, Severity};

pub const RULE: Rule = Rule {
    name: "second-slot-before-all-first",
    severity: Severity::Unproven,
    scope: Scope::Socket,
    monotone: false,
    sources: &["practice", "chart-4ch-manual"],
    explain: r#"## What it finds

A second (or third) slot that is filled while another channel of the processor is empty, where the board has no chart
for that number of modules. RAS modes that fill a channel up first are left out.

## Why it matters

Common practice fills the first slots of all channels before any second slot, which gives the widest sets. Some makers'
charts depart from that for a count; without a chart there is no source either way.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0a2 0d1 0d2 32GB 2Rx4 RDIMM 2933
    -> unproven second-slot-before-all-first at 0a2, 0d2

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> clean

A chart that says so wins:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    chart 4: a1 a2 d1 d2
    fill 0a1 0a2 0d1 0d2 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    if !scene.build.mode.is_independent() {
        return;
    }
    for socket in &scene.sockets {
        let empty = socket.channels.iter().find(|c| c.count() == 0);
        let deep = |c: &&ChannelScene| c.count() > 1;
        let Some(empty) = empty.filter(|_| socket.channels.iter().any(|c| deep(&c))) else {
            continue;
        };
        if charted(scene, socket) {
            continue;
        }
        let later = socket.channels.iter().filter(deep).flat_map(|c| c.modules.iter().skip(1).copied());
        let first = empty.slots.first().map_or("", |s| scene.label(*s));
        let evidence = format!("{first} and its channel are empty, and no chart of this board covers the count");
        let advice =
            format!("fill {first} and the other empty first slots first, unless the maker's manual says otherwise");
        let told = Told::new(Severity::Unproven, Outcome::LosesBandwidth, evidence, advice);
        found.push(told.at(RULE.name, slots_place(later)));
    }
}

/// Has the board a chart that covers this socket's count?
fn charted(scene: &Scene, socket: &SocketScene) -> bool {
    let mut ranks = socket.dram().map(|(_, m)| m.organisation.package_ranks);
    let first = ranks.next();
    let same = first.filter(|f| ranks.all(|r| r == *f));
    order::chart(scene.board, &scene.build.mode, socket.index, same)
        .is_some_and(|chart| order::chart_fill(chart, socket.dram().count() as u16).is_some())
}
