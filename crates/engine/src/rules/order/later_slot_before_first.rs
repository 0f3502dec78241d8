//! A later slot of a channel filled while an earlier one is empty.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::{ChannelScene, Scene};
use domain::{Finding, Outcome, Place, Severity, SlotIndex};

pub const RULE: Rule = Rule {
    name: "later-slot-before-first",
    severity: Severity::Wrong,
    scope: Scope::Channel,
    monotone: false,
    sources: &["practice", "chart-4ch-manual"],
    explain: r#"## What it finds

A module in a slot of a channel while a slot farther from the processor is empty in the same channel. Common practice of
the trade holds it wrong; a board whose maker says otherwise has that in its data.

## Why it matters

The farthest slot ends the bus. Left open behind a filled slot it reflects the signal: the module does not train, is
disabled, or runs with errors.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a2 0b1 32GB 2Rx4 RDIMM 2933
    -> wrong later-slot-before-first at 0a2

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933
    -> clean

On a board whose maker does not ask for it:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says first-slot-first no
    fill 0a2 0b1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let ruling = scene.board.first_slot_first.as_ref();
    if ruling.is_some_and(|r| !r.value) {
        return;
    }
    for channel in scene.channels() {
        let Some((empty, later)) = skipped(channel) else {
            continue;
        };
        let evidence = format!("filled, while {} before it is empty", scene.label(empty));
        let advice = format!("move the module from {} to {}", scene.labels(&later[..1]), scene.label(empty));
        let told = match ruling {
            Some(ruling) => Told::ruled(ruling, &evidence, advice),
            None => Told::new(Severity::Wrong, Outcome::DisablesModule, evidence, advice),
        };
        found.push(told.at(RULE.name, Place::Slots(later)));
    }
}

/// The first empty slot that has filled ones behind it, and those.
fn skipped(channel: &ChannelScene) -> Option<(SlotIndex, Vec<SlotIndex>)> {
    let in_order = channel.slots.iter().zip(&channel.modules).take_while(|(slot, (filled, _))| *slot == filled);
    let leading = in_order.count();
    if leading == channel.modules.len() {
        return None;
    }
    let later = channel.modules[leading..].iter().map(|(slot, _)| *slot).collect();
    Some((channel.slots[leading], later))
}
