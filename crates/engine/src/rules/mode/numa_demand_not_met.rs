//! A fill that does not meet what the NUMA mode demands.

use crate::rules::report::{Told, cite};
use crate::rules::{Rule, Scope};
use crate::scene::{Scene, SocketScene};
use domain::processor::NumaMode;
use domain::{Capacity, Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "numa-demand-not-met",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: false,
    sources: &["sets-8ch-manual", "numa-8ch-ddr5", "numa-12ch"],
    explain: r#"## What it finds

A fill that the chosen NUMA mode does not work with: channels of a node that do not hold equally much, or nodes that do
not, where the processor's data demands it.

## Why it matters

The firmware falls back to fewer nodes, or leaves part of the memory outside the sets.

## Example

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    processor numa halves abcd efgh equal-within
    numa halves
    fill 0a1 0b1 0c1 0e1 0f1 0g1 0h1 32GB 2Rx4 RDIMM 3200
    -> wrong numa-demand-not-met at socket 0

Nodes that must be equal:

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    processor numa halves abcd efgh equal-nodes
    numa halves
    fill 0a1 0b1 0e1 32GB 2Rx4 RDIMM 3200
    -> wrong numa-demand-not-met at machine

## Instead

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    processor numa halves abcd efgh equal-within equal-nodes
    numa halves
    fill 0*1 32GB 2Rx4 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let Some(wanted) = &scene.build.numa else {
        return;
    };
    let with_mode = || {
        let parted = |s| Some((s, mode_of(s, wanted)?));
        scene.sockets.iter().filter_map(parted)
    };
    for (socket, mode) in with_mode().filter(|(_, mode)| mode.equal_within_node) {
        let equal = |node: &Vec<u8>| all_equal(node.iter().map(|n| channel_capacity(socket, *n)));
        if !mode.nodes.iter().all(equal) {
            found.push(tell(mode, "channels of a node hold unequal memory", Place::Socket(socket.index)));
        }
    }
    let Some((_, mode)) = with_mode().find(|(_, mode)| mode.equal_nodes) else {
        return;
    };
    let nodes = with_mode().flat_map(|(socket, mode)| mode.nodes.iter().map(move |node| node_fill(socket, node)));
    if !all_equal(nodes) {
        found.push(tell(mode, "nodes hold unequal memory, or on unequally many channels", Place::Machine));
    }
}

fn mode_of<'a>(socket: &SocketScene<'a>, wanted: &str) -> Option<&'a NumaMode> {
    socket.processor?.numa.iter().find(|n| n.name == wanted)
}

fn channel_capacity(socket: &SocketScene, number: u8) -> Capacity {
    socket.channels.get(usize::from(number)).map_or(Capacity::ZERO, |c| c.capacity())
}

/// A node's capacity and how many of its channels hold some.
fn node_fill(socket: &SocketScene, node: &[u8]) -> (Capacity, usize) {
    let each = || node.iter().map(|n| channel_capacity(socket, *n));
    (each().sum(), each().filter(|c| !c.is_zero()).count())
}

fn all_equal<T: PartialEq>(mut values: impl Iterator<Item = T>) -> bool {
    let first = values.next();
    values.all(|v| Some(v) == first)
}

fn tell(mode: &NumaMode, evidence: &str, place: Place) -> Finding {
    let evidence = cite(&format!("{}: {evidence}", mode.name), &mode.source, mode.mark);
    let advice = format!("fill its nodes alike, or do without `{}`", mode.name);
    Told::new(Severity::Wrong, Outcome::DisablesMode, evidence, advice).at(RULE.name, place)
}
