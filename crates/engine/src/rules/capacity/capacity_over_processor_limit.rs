//! More memory on a processor than it addresses, or than the board's maker allows for one.

use crate::rules::report::{Told, cite};
use crate::rules::{Rule, Scope};
use crate::scene::{Scene, SocketScene};
use domain::{Board, Finding, Outcome, Place, Processor, Severity};

pub const RULE: Rule = Rule {
    name: "capacity-over-processor-limit",
    severity: Severity::Wrong,
    scope: Scope::Socket,
    monotone: true,
    sources: &["limits-6ch", "practice"],
    explain: r#"## What it finds

More DRAM in a socket's slots than its processor addresses, or than the board's maker allows for one processor. Which of
the two limits it is, is told.

## Why it matters

Some families are sold in two forms that differ only in how much memory they address. Above the limit the firmware stops
the machine or disables what is too much; which, depends on the firmware.

## Example

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    processor 2933 limit 1TiB
    fill 0** 128GB 2S2Rx4 RDIMM-3DS 2933
    fill 1*1 128GB 2S2Rx4 RDIMM-3DS 2933
    -> wrong capacity-over-processor-limit at socket 0

The board's own limit for one processor:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says limit processor 384GB unsupported
    fill 0** 64GB 2Rx4 RDIMM 2933
    -> unsupported capacity-over-processor-limit at socket 0

## Instead

    machine DDR4 2 sockets x 2 controllers x 3 channels x 2 slots
    processor 2933 limit 1TiB
    fill 0*1 1*1 128GB 2S2Rx4 RDIMM-3DS 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        let holds = socket.capacity();
        if let Some(limit) = &processor.capacity_limit
            && holds > limit.value
        {
            let evidence = format!("{holds}, where {} addresses {}", processor.id, limit.value);
            let evidence = cite(&evidence, &limit.source, limit.mark);
            let advice = mending(scene.board, processor, socket);
            let told = Told::new(Severity::Wrong, Outcome::Unknown, evidence, advice);
            found.push(told.at(RULE.name, Place::Socket(socket.index)));
        }
        if let Some(limit) = &scene.board.limits.processor
            && holds > limit.value
        {
            let evidence = format!("{holds}, where the board takes {} for each processor", limit.value);
            let told = Told::ruled(limit, &evidence, "fit less memory for this processor");
            found.push(told.at(RULE.name, Place::Socket(socket.index)));
        }
    }
}

/// The family's larger form where the board takes it, else less memory here or some of it elsewhere.
fn mending(board: &Board, processor: &Processor, socket: &SocketScene) -> String {
    let large = format!("{}-large", processor.id);
    if board.processors.iter().any(|p| p.0 == large) {
        return format!("take {large}, which addresses more, or fit less memory for this processor");
    }
    if board.sockets.len() > 1 && socket.count() > 1 {
        return "spread the memory over more processors, or fit less for this one".to_string();
    }
    "fit less memory for this processor".to_string()
}
