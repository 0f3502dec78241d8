//! A capacity that tolerates no other beside it.

use crate::rules::report::{Told, slots_place};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Finding, Severity};

pub const RULE: Rule = Rule {
    name: "capacity-that-stands-alone",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-6ch"],
    explain: r#"## What it finds

Modules of a capacity that the board's maker allows only by itself, together with modules of another.

## Why it matters

Makers name such capacities where the largest modules are 3DS or dual-die and were not tried with plain ones.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says alone 128GB unsupported
    fill 0a1 0b1 128GB 4DRx4 LRDIMM 2933
    fill 0c1 64GB 4DRx4 LRDIMM 2933
    -> unsupported capacity-that-stands-alone at 0a1, 0b1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says alone 128GB unsupported
    fill 0a1 0b1 0c1 128GB 4DRx4 LRDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for ruling in &scene.board.mixing.alone {
        let is_it = |capacity| capacity == ruling.value;
        if scene.dram().any(|(_, m)| is_it(m.capacity)) && scene.dram().any(|(_, m)| !is_it(m.capacity)) {
            let evidence = format!("modules of {} beside others, where they must stand alone", ruling.value);
            let advice = format!("use modules of {} throughout, or none", ruling.value);
            let place = slots_place(scene.dram().filter(|(_, m)| is_it(m.capacity)));
            found.push(Told::ruled(ruling, &evidence, advice).at(RULE.name, place));
        }
    }
}
