//! `measure [BUILD]`: arguments, progress and text.

use super::Reply;
use super::judged::section;
use super::paint::Paint;
use super::table::{facts, paragraph, table, wrap};
use crate::failure::Failure;
use crate::verbs::measure::{self, ExpectedView, MeasureView, PairView, Question, SpreadView};
use crate::world::{self, Data};
use domain::Capacity;
use std::path::PathBuf;

/// Measures bandwidth and latency of this machine's memory, node by node, and holds it against a build.
///
/// It needs no rights beyond a user's. Run it on the idle machine itself.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The build file (TOML) of this machine, to say what it should reach.
    #[arg(value_name = "BUILD")]
    build: Option<PathBuf>,
    /// Readings of each figure.
    #[arg(long, value_name = "N", default_value_t = 7, value_parser = clap::value_parser!(u16).range(1..=1000))]
    runs: u16,
    /// Threads of a node at most.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// Size of each thread's three arrays, such as 256 MiB.
    #[arg(long, value_name = "SIZE", value_parser = size)]
    size: Option<Capacity>,
    /// Leave latency out.
    #[arg(long)]
    no_latency: bool,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

fn size(text: &str) -> Result<Capacity, String> {
    Capacity::parse(text).map_err(|e| format!("{e}: {}", e.hint()))
}

/// Measures.
///
/// # Errors
/// The build file is wrong, or there is not enough memory.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let question = Question {
        runs: usize::from(args.runs),
        threads: args.threads.map(usize::from),
        size: args.size,
        latency: !args.no_latency,
    };
    let bar = world::bar();
    let mut told = |what: &str, share: f64| {
        bar.set_position((share * 1000.0) as u64);
        bar.set_message(what.to_string());
    };
    let view = measure::measure(&data.library, args.build.as_deref(), &question, &mut told);
    bar.finish_and_clear();
    let view = view?;
    let short = view.expected.as_ref().is_some_and(|e| !e.enough);
    Reply::of(&view, args.json, short, || words(&view, paint))
}

fn count(n: usize, what: &str) -> String {
    format!("{n} {what}{}", if n == 1 { "" } else { "s" })
}

fn words(view: &MeasureView, paint: Paint) -> String {
    let processors: usize = view.nodes.iter().map(|n| n.processors).sum();
    let cache = view.last_cache_mib.map_or_else(String::new, |c| format!("; last cache {c} MiB as the kernel tells"));
    let mut text = facts(&[
        ("machine", format!("{}, {}{cache}", count(view.nodes.len(), "node"), count(processors, "processor"))),
        ("readings", format!("{} of each, three arrays of {} MiB a thread", view.runs, view.array_mib)),
        ("best", format!("{:.1} GB/s", view.best_gbs)),
    ]);
    for pair in &view.tables {
        text.push_str(&section(&title(pair), &streams(pair), paint));
    }
    if let Some(expected) = &view.expected {
        text.push_str(&section("against the build", &against(expected, paint), paint));
    }
    let notes: String = view.notes.iter().map(|n| format!("{}\n", paragraph(&format!("- {n}"), 2, 4))).collect();
    text.push_str(&section("notes", &notes, paint));
    text
}

fn title(pair: &PairView) -> String {
    match (pair.from_node, pair.memory_node) {
        (Some(from), Some(to)) => format!("node {from} on memory of node {to}, {} threads", pair.threads),
        _ => format!("all nodes at once, each on its own memory, {} threads", pair.threads),
    }
}

fn spread(spread: &SpreadView) -> Vec<String> {
    let mut cells: Vec<String> = [spread.median, spread.least, spread.most].map(|v| format!("{v:.1}")).to_vec();
    cells.push(format!("{:.0} %", spread.spread_percent));
    cells
}

fn streams(pair: &PairView) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for stream in &pair.streams {
        let mut row = vec![stream.stream.clone(), "GB/s".to_string()];
        row.extend(spread(&stream.gbs));
        row.push(stream.how.clone());
        rows.push(row);
    }
    if let Some(latency) = &pair.latency_ns {
        let mut row = vec!["latency".to_string(), "ns".to_string()];
        row.extend(spread(latency));
        row.push("one load after another, lines in random order".to_string());
        rows.push(row);
    }
    table(&["", "", "median", "least", "most", "spread", ""], &[2, 3, 4, 5], rows)
}

fn against(expected: &ExpectedView, paint: Paint) -> String {
    let verdict = if expected.enough { "as expected" } else { "short" };
    let mut text = facts(&[
        ("build", expected.build.clone()),
        (
            "expected",
            format!("{:.1} GB/s; {:.1} % of it measured", expected.expected_gbs, expected.of_expected_percent),
        ),
        ("peak", format!("{:.1} GB/s; {:.1} % of it measured", expected.peak_gbs, expected.of_peak_percent)),
        ("verdict", paint.strong(verdict)),
    ]);
    if !expected.suggestions.is_empty() && !expected.suggestions.iter().any(|s| s.fits) {
        text.push_str(&format!("{}\n", wrap("none of these alone would leave so little:", 4)));
    }
    for one in &expected.suggestions {
        let leaves = one.leaves_percent.map_or_else(String::new, |l| format!(" would leave {l:.0} %"));
        let fits = if one.fits { "fits: " } else { "" };
        text.push_str(&format!("{}\n", paragraph(&format!("- {fits}{}{leaves}; {}", one.what, one.check), 4, 6)));
    }
    text
}
