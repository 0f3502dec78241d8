//! The right number of modules in other slots than the board's chart shows.

use crate::rules::chart::{Charted, charted};
use crate::rules::report::{Told, cite, plural};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::board::{CountVerdict, LocalSlot};
use domain::{Finding, Outcome, Place, Severity, SlotIndex};

pub const RULE: Rule = Rule {
    name: "slots-off-the-chart",
    severity: Severity::Unsupported,
    scope: Scope::Socket,
    monotone: false,
    sources: &["chart-6ch-manual", "chart-8ch-ddr4-manual"],
    explain: r#"## What it finds

A number of modules that the board's chart takes, but in other slots than the chart, or its order, shows for that
number. It is never told as worse than unsupported; slots that cannot train are found by other rules.

## Why it matters

The chart wins over any general order. A board may want four modules on six channels as two and two, one controller
each, where the plain order would fill the first four channels.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    chart 4: a1 b1 d1 e1
    fill 0a1 0b1 0c1 0d1 32GB 2Rx4 RDIMM 2933
    -> unsupported slots-off-the-chart at 0c1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    chart 4: a1 b1 d1 e1
    fill 0a1 0b1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> clean

An order instead of rows:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    chart order a1 d1 b1 e1 c1 f1
    fill 0a1 0b1 0d1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for charted in charted(scene) {
        let Some(wanted) = off_chart(scene, &charted) else {
            continue;
        };
        let socket = charted.socket;
        let local = |slot: SlotIndex| scene.board.slot(slot).address.local();
        let strays: Vec<SlotIndex> = socket.dram().map(|(s, _)| s).filter(|s| !wanted.contains(&local(*s))).collect();
        let target: Vec<SlotIndex> = wanted.iter().filter_map(|l| scene.board.slot_in(socket.index, *l)).collect();
        let modules = plural(usize::from(charted.count), "module");
        let evidence = format!("the chart puts {modules} into {}", scene.labels(&target));
        let evidence = cite(&evidence, &charted.chart.source, charted.chart.mark);
        let free: Vec<SlotIndex> = target.into_iter().filter(|t| socket.dram().all(|(s, _)| s != *t)).collect();
        let advice = format!("move from {} to {}", scene.labels(&strays), scene.labels(&free));
        let severity = charted.chart.severity.max(Severity::Unsupported);
        // An outcome such as "does not start" belongs to the severity that was held back.
        let outcome = if severity == charted.chart.severity { charted.chart.outcome } else { Outcome::Unknown };
        let told = Told::new(severity, outcome, evidence, advice);
        found.push(told.at(RULE.name, Place::Slots(strays)));
    }
}

/// The slots that the chart wants, where others are filled; `None` where it is content or has no say.
fn off_chart<'s>(scene: &Scene, charted: &Charted<'s, '_>) -> Option<&'s [LocalSlot]> {
    let mut rows = charted.rows().filter(|r| r.verdict != CountVerdict::NotSupported && !r.slots.is_empty());
    if let Some(first) = rows.next() {
        let content = charted.fills(scene, &first.slots) || rows.any(|r| charted.fills(scene, &r.slots));
        return (!content).then_some(first.slots.as_slice());
    }
    if charted.chart.closed || charted.rows().next().is_some() {
        return None;
    }
    let wanted = charted.chart.order.get(..usize::from(charted.count))?;
    (!charted.fills(scene, wanted)).then_some(wanted)
}
