//! A kind of module that the board or the processor does not take at all.

use crate::rules::report::{Told, each_module};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Kind, Module, Outcome, Processor, Severity};

pub const RULE: Rule = Rule {
    name: "wrong-kind",
    severity: Severity::Wrong,
    scope: Scope::Slot,
    monotone: true,
    sources: &["jesd79-4", "practice"],
    explain: r#"## What it finds

A kind of module (unbuffered, registered, load-reduced, 3DS, multiplexed-rank, non-volatile) that the board's maker does
not list, or a kind and number of ranks for which the processor's data has no rate at any number of modules a channel.

## Why it matters

The memory controller has to know how to train what stands between it and the DRAM. A kind that it does not know stays
untrained: the machine stops at start, or goes on without the module.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says kinds RDIMM LRDIMM
    fill 0a1 16GB 2Rx8 UDIMM 3200
    -> wrong wrong-kind at 0a1

The board takes it, but the processor does not:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933 kinds RDIMM
    fill 0a1 64GB 4DRx4 LRDIMM 2933
    -> wrong wrong-kind at 0a1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    processor 2933 kinds RDIMM
    says kinds RDIMM LRDIMM
    fill 0a1 16GB 2Rx8 RDIMM 3200
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    each_module(RULE.name, scene, found, |socket, _, module| {
        if !scene.board.kinds.contains(&module.kind) {
            let kinds = scene.board.kinds.iter().map(|k| k.name()).collect::<Vec<_>>().join(", ");
            let evidence = format!("{} modules, where the board takes {kinds}", module.kind);
            return Some(Told::new(Severity::Wrong, Outcome::Stops, evidence, format!("fit one of: {kinds}")));
        }
        let processor = socket.processor?;
        (!takes(processor, module)).then(|| {
            let ranks = module.organisation.package_ranks;
            let evidence = format!("{} has no rate for {} modules of {ranks} ranks", processor.id, module.kind);
            Told::new(Severity::Wrong, Outcome::Stops, evidence, "fit a kind that the processor lists")
        })
    });
}

/// Has the processor a rate for it at any number of modules a channel? Non-volatile modules are the board's affair.
fn takes(processor: &Processor, module: &Module) -> bool {
    let ranks = module.organisation.package_ranks;
    module.kind == Kind::Nonvolatile || processor.rates.iter().any(|r| r.applies(module.kind, ranks, r.dpc))
}
