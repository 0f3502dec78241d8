//! Published population charts against the general order: which of them would be given by a board without any chart?

use super::{Setup, board, build, chartless, files, library, processor};
use catalog::Library;
use domain::board::LocalSlot;
use domain::{Board, Generation, Mode, Processor, Severity};
use engine::bandwidth::{self, Bounds};
use engine::interleave::SetTable;
use engine::judge::judge;
use engine::order::{Basis, general_fill};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    chart: Vec<Chart>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Chart {
    id: String,
    board: String,
    processor: String,
    #[serde(default)]
    mode: Option<String>,
    #[serde(default)]
    ranks: Option<u8>,
    quote: String,
    mark: String,
    /// Modules in each channel, where the source tells which channels.
    #[serde(default)]
    channels: Option<Vec<u8>>,
    /// Counts a processor, where the source tells a pattern only.
    #[serde(default)]
    counts: Vec<u16>,
    #[serde(default)]
    pattern: Option<Pattern>,
    expect: Verdict,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Pattern {
    /// A slot is used only once all earlier slots of all channels are.
    FirstSlotsFirst,
    /// A channel that is used at all is used whole.
    WholeChannels,
    /// The maker does not support these counts at all.
    CountsRefused,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Verdict {
    /// The general order gives the published fill.
    Agrees,
    /// It gives the published fill, but says itself that others do as well: the channel numbers decided.
    AgreesAmongTied,
    /// It gives another and says itself that others do as well; the published one is no worse by its own measure.
    Tied,
    /// No general rule tells; only the chart does.
    NeedsChart,
    /// It gives another fill and claims it to be better.
    Contradicted,
}

fn spread(board: &Board, slots: &[LocalSlot]) -> Vec<u8> {
    let channels = board.sockets[0].channels();
    channels.map(|(c, h, _)| slots.iter().filter(|s| (s.controller, s.channel) == (c, h)).count() as u8).collect()
}

fn bounds(processor: &Processor, spread: &[u8]) -> Bounds {
    let capacities: Vec<u64> = spread.iter().map(|n| u64::from(*n)).collect();
    bandwidth::bounds(&SetTable::new(processor), &processor.bandwidth, &capacities, &vec![1.0; spread.len()])
}

fn follows(pattern: Pattern, board: &Board, spread: &[u8]) -> bool {
    let room = || board.sockets[0].channels().map(|(_, _, slots)| slots.len() as u8);
    match pattern {
        Pattern::FirstSlotsFirst => {
            let most = spread.iter().max().copied().unwrap_or(0);
            spread.iter().zip(room()).all(|(n, room)| *n + 1 >= most.min(room + 1))
        }
        Pattern::WholeChannels => spread.iter().zip(room()).all(|(n, room)| *n == 0 || *n == room),
        Pattern::CountsRefused => false,
    }
}

/// What the general order makes of one count, with the fill it gives.
fn verdict(chart: &Chart, board: &Board, processor: &Processor, count: u16) -> (Verdict, Vec<u8>) {
    let mode = chart.mode.clone().map_or_else(Mode::independent, Mode);
    let Some(fill) = general_fill(board, processor, &mode, 0, count, chart.ranks) else {
        return (Verdict::NeedsChart, Vec::new());
    };
    let ours = spread(board, &fill.slots);
    let tied = matches!(fill.basis, Basis::General { tied: true });
    let found = match (&chart.channels, chart.pattern) {
        (Some(published), _) if ours == *published && tied => Verdict::AgreesAmongTied,
        (Some(published), _) if ours == *published => Verdict::Agrees,
        (Some(published), _) => {
            let (ours, theirs) = (bounds(processor, &ours), bounds(processor, published));
            let no_worse = theirs.serial >= ours.serial - 1e-9 && theirs.slowest >= ours.slowest - 1e-9;
            if tied && no_worse { Verdict::Tied } else { Verdict::Contradicted }
        }
        (None, Some(Pattern::CountsRefused)) => Verdict::NeedsChart,
        (None, Some(pattern)) if follows(pattern, board, &ours) => Verdict::Agrees,
        (None, Some(_)) => Verdict::Contradicted,
        (None, None) => panic!("{} tells neither channels nor a pattern", chart.id),
    };
    (found, ours)
}

/// Findings that speak against the published fill on a board without any chart, told with confidence.
fn accused(library: &Library, chart: &Chart, bare: &Arc<Board>, channels: &[u8]) -> Vec<String> {
    let module = match bare.generation {
        Generation::Ddr5 => "ddr5-rdimm-64-2rx4-4800",
        _ => "ddr4-rdimm-16-2rx4-2133",
    };
    let words = channels.iter().map(|n| if *n == 0 { "-".to_string() } else { "a".repeat(usize::from(*n)) });
    let setup = Setup {
        board: chart.board.clone(),
        processor: chart.processor.clone(),
        mode: chart.mode.clone(),
        numa: None,
        fill: words.collect::<Vec<_>>().join(" "),
        second: None,
        modules: BTreeMap::from([('a', module.to_string())]),
    };
    let findings = judge(&build(library, &setup, Arc::clone(bare))).findings;
    let confident = findings.into_iter().filter(|f| f.severity <= Severity::Unsupported);
    confident.map(|f| format!("{}: {} {}, {}", chart.id, f.severity, f.rule, f.evidence)).collect()
}

#[test]
fn the_general_order_contradicts_no_published_chart() {
    let library = library();
    let (mut even, mut agrees, mut among, mut tied, mut needs) = (0, 0, 0, 0, 0);
    let mut wrong = Vec::new();
    println!("{:38} {:>5} {:16} {:12}", "chart", "count", "general order", "outcome");
    for (source, text) in files("charts.toml") {
        let file: File = toml::from_str(&text).unwrap_or_else(|e| panic!("{source}: {e}"));
        for chart in file.chart {
            assert!(!chart.quote.is_empty() && ["seen", "derived"].contains(&chart.mark.as_str()), "{}", chart.id);
            let full = board(&library, &chart.board);
            let processor = processor(&library, &full, &chart.processor);
            let bare = chartless(&full);
            let counts = match &chart.channels {
                Some(channels) => vec![channels.iter().map(|n| u16::from(*n)).sum()],
                None => chart.counts.clone(),
            };
            let told = chart.channels.as_deref();
            wrong.extend(told.into_iter().flat_map(|channels| accused(&library, &chart, &bare, channels)));
            assert!(!counts.is_empty(), "{} has no count", chart.id);
            for count in counts {
                let (found, ours) = verdict(&chart, &bare, &processor, count);
                let drawn: Vec<String> = ours.iter().map(u8::to_string).collect();
                println!("{:38} {count:>5} {:16} {found:?}", chart.id, drawn.join(""));
                match found {
                    // All slots of a row: no order could give anything else.
                    Verdict::Agrees if ours.iter().all(|n| *n == ours[0]) => even += 1,
                    Verdict::Agrees => agrees += 1,
                    Verdict::AgreesAmongTied => among += 1,
                    Verdict::Tied => tied += 1,
                    Verdict::NeedsChart => needs += 1,
                    Verdict::Contradicted => wrong.push(format!("{} {count}: contradicted by {ours:?}", chart.id)),
                }
                if found != chart.expect {
                    wrong.push(format!("{} {count}: {found:?}, not {:?}", chart.id, chart.expect));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let counts = [
        ("agree as every row is whole", even),
        ("agree", agrees),
        ("agree among tied", among),
        ("tied with another", tied),
        ("need a chart", needs),
    ];
    super::told("charts", &counts);
}
