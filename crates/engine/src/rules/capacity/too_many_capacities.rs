//! More different capacities in the machine than the maker allows.

use crate::rules::report::{Told, distinct, mix};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::{Capacity, Finding, Module, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "too-many-capacities",
    severity: Severity::Wrong,
    scope: Scope::Machine,
    monotone: true,
    sources: &["mixing-6ch", "chart-8ch-ddr4-four-controllers"],
    explain: r#"## What it finds

More different capacities in the machine than the board's maker allows. Where the board's data says nothing of it, three
or more are told as unproven.

## Why it matters

Most makers that write of it stand behind two capacities at most. Each further one also breaks memory into more regions
of unlike width.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    says at-most 1 capacities unsupported
    fill 0a1 0b1 32GB 2Rx4 RDIMM 2933
    fill 0c1 16GB 1Rx4 RDIMM 2933
    -> unsupported too-many-capacities at 0c1

Nothing said by the maker:

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0a1 0d1 64GB 2Rx4 RDIMM 2933
    fill 0b1 32GB 2Rx4 RDIMM 2933
    fill 0c1 16GB 1Rx4 RDIMM 2933
    -> unproven too-many-capacities at 0b1, 0c1

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 2 slots
    fill 0*1 32GB 2Rx4 RDIMM 2933
    fill 0*2 16GB 1Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

/// What makers that write of it allow.
const USUAL_MOST: u8 = 2;

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    let ruling = scene.board.mixing.capacities.as_ref();
    let most = ruling.map_or(USUAL_MOST, |r| r.value);
    let capacity = |module: &Module| Some(module.capacity);
    if distinct(scene.dram(), capacity) <= usize::from(most) {
        return;
    }
    let mix = mix(scene.dram(), capacity, Capacity::to_string);
    let advice = format!("use at most {most} capacities");
    let told = match ruling {
        Some(ruling) => Told::ruled(ruling, &format!("{}, where {most} may be", mix.words), advice),
        None => {
            let evidence =
                format!("{}; makers mostly allow {most} capacities, this board's data says nothing", mix.words);
            Told::new(Severity::Unproven, Outcome::Unknown, evidence, advice)
        }
    };
    found.push(told.at(RULE.name, Place::Slots(mix.odd)));
}
