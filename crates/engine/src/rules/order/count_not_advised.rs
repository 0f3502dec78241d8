//! A number of modules that the board's maker advises against.

use crate::rules::chart::charted;
use crate::rules::report::{Told, cite, plural};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::board::CountVerdict;
use domain::{Finding, Outcome, Place, Severity};

pub const RULE: Rule = Rule {
    name: "count-not-advised",
    severity: Severity::Note,
    scope: Scope::Socket,
    monotone: false,
    sources: &["chart-6ch-manual", "chart-6ch-4socket"],
    explain: r#"## What it finds

A number of modules for one processor that the board's chart takes but advises against.

## Why it matters

It runs. Mostly it is an odd number that leaves memory in sets of unlike width; what that costs is told apart.

## Example

    machine DDR4 1 socket x 2 controllers x 3 channels x 1 slot
    chart 5: a1 b1 c1 d1 e1 not-advised
    fill 0a1 0b1 0c1 0d1 0e1 32GB 2Rx4 RDIMM 2933
    -> note count-not-advised at socket 0

## Instead

    machine DDR4 1 socket x 2 controllers x 3 channels x 1 slot
    chart 5: a1 b1 c1 d1 e1 not-advised
    fill 0*1 32GB 2Rx4 RDIMM 2933
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for charted in charted(scene) {
        let Some(row) = charted.rows().find(|r| r.verdict == CountVerdict::NotAdvised) else {
            continue;
        };
        if charted.rows().any(|r| r.verdict == CountVerdict::Supported) {
            continue;
        }
        let modules = plural(usize::from(charted.count), "module");
        let why = row.why.as_deref().map(|w| format!(": {w}")).unwrap_or_default();
        let evidence = format!("{modules} for this processor, which the maker advises against{why}");
        let evidence = cite(&evidence, &charted.chart.source, charted.chart.mark);
        let advice = "use a number that the chart advises";
        let told = Told::new(Severity::Note, Outcome::Unknown, evidence, advice);
        found.push(told.at(RULE.name, Place::Socket(charted.socket.index)));
    }
}
