//! A number of modules that the board's chart does not support.

use crate::rules::chart::charted;
use crate::rules::report::{Told, cite, plural};
use crate::rules::{Rule, Scope};
use crate::scene::Scene;
use domain::board::CountVerdict;
use domain::{Finding, Place, Severity};

pub const RULE: Rule = Rule {
    name: "count-not-in-chart",
    severity: Severity::Wrong,
    scope: Scope::Socket,
    monotone: false,
    sources: &["chart-8ch-ddr5-manual"],
    explain: r#"## What it finds

A number of modules for one processor that the board's population chart calls not supported, or that a closed chart does
not list. What happens then is the chart's own word.

## Why it matters

The maker has not laid out address sets for that number, or the firmware stops or waits for a key with it.

## Example

    machine DDR5 1 socket x 4 controllers x 2 channels x 1 slot
    chart closed
    chart 4: a1 c1 e1 g1
    chart 8: a1 b1 c1 d1 e1 f1 g1 h1
    fill 0a1 0c1 0e1 0f1 0g1 32GB 2Rx8 RDIMM 4800
    -> unsupported count-not-in-chart at socket 0

A count that the chart names as not supported:

    machine DDR5 1 socket x 4 controllers x 2 channels x 1 slot
    chart 5: not-supported
    chart breaking-it wrong waits-for-key
    fill 0a1 0c1 0e1 0f1 0g1 32GB 2Rx8 RDIMM 4800
    -> wrong count-not-in-chart at socket 0

## Instead

    machine DDR5 1 socket x 4 controllers x 2 channels x 1 slot
    chart closed
    chart 4: a1 c1 e1 g1
    chart 8: a1 b1 c1 d1 e1 f1 g1 h1
    fill 0a1 0c1 0e1 0g1 32GB 2Rx8 RDIMM 4800
    -> clean
"#,
    check,
};

fn check(scene: &Scene, found: &mut Vec<Finding>) {
    for charted in charted(scene) {
        let (chart, count) = (charted.chart, charted.count);
        let supported = charted.rows().any(|r| r.verdict != CountVerdict::NotSupported);
        let named = charted.rows().next();
        if supported || (named.is_none() && !chart.closed) {
            continue;
        }
        let modules = plural(usize::from(count), "module");
        let said = match named.and_then(|r| r.why.as_deref()) {
            Some(why) => {
                format!("{modules} for this processor, which the chart does not support: {why}")
            }
            None => format!("{modules} for this processor, which the chart does not support"),
        };
        let evidence = cite(&said, &chart.source, chart.mark);
        let told = Told::new(chart.severity, chart.outcome, evidence, nearest(chart, count));
        found.push(told.at(RULE.name, Place::Socket(charted.socket.index)));
    }
}

/// Advice: the nearest numbers that the chart does support.
fn nearest(chart: &domain::board::Chart, count: u16) -> String {
    let rows = || chart.rows.iter().filter(|r| r.verdict == CountVerdict::Supported).map(|r| r.count);
    match (rows().filter(|n| *n < count).max(), rows().filter(|n| *n > count).min()) {
        (Some(less), Some(more)) => format!("use {less} or {more} modules for each processor"),
        (Some(one), None) | (None, Some(one)) => {
            format!("use {} for each processor", plural(usize::from(one), "module"))
        }
        (None, None) => "use a number that the chart lists".to_string(),
    }
}
