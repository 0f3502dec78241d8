//! A processor that the board does not take.

use crate::rules::report::Told;
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "processor-not-on-board",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["practice"],
    explain: r#"## What it finds

A processor of another DDR generation than the board, or one that the board's data does not list. The first does not
start; the second may, but the maker does not stand behind it.

## Why it matters

All figures for rates, limits and sets come from the processor. On a board that was not made for it they mean nothing.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says processors ddr4-6ch-2666
    processor 2933
    fill 0a1 32GB 2Rx4 RDIMM 2933
    -> unsupported processor-not-on-board at socket 0

A processor for another generation:

    machine DDR4 1 socket x 4 controllers x 2 channels x 2 slots
    processor DDR5 4800
    fill 0a1 32GB 2Rx4 RDIMM 3200
    -> wrong processor-not-on-board at socket 0

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says processors ddr4-6ch-2666 ddr4-6ch-2933
    processor 2933
    fill 0a1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let board = scene.board;
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        let id = &processor.id;
        let told = if processor.generation != board.generation {
            let evidence = format!("{id} drives {}, the board has {} slots", processor.generation, board.generation);
            Told::new(Severity::Wrong, Outcome::Stops, evidence, "choose a processor that the board lists")
        } else if !board.processors.contains(id) {
            let listed = board.processors.iter().map(|p| p.0.as_str()).collect::<Vec<_>>().join(", ");
            let evidence = format!("{id} is not listed for this board");
            Told::new(Severity::Unsupported, Outcome::Unknown, evidence, format!("choose one of: {listed}"))
        } else {
            continue;
        };
        found.push(told.at(RULE.name, Place::Socket(socket.index)));
    }
}
