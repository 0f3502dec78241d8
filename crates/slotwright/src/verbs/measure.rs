//! `measure`: bandwidth and latency of this machine by node, held against what a build should reach.

use super::check;
use crate::failure::Failure;
use bench::machine::{self, Free};
use bench::measure::{self, Plan, Spread, Step, Stream, Wide};
use catalog::Library;
use domain::Capacity;
use engine::{Scene, shortfall};
use schemars::JsonSchema;
use serde::Serialize;
use std::path::Path;

/// Bounds of one worker's array: beyond caches as far as the kernel tells of them truly, and not so large that it takes long.
const LEAST: usize = 64 << 20;
const MOST: usize = 512 << 20;
/// Arrays are this many times the last cache (J. D. McCalpin's rule for streams is four).
const TIMES: usize = 4;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    pub runs: usize,
    /// Workers of a node at most.
    pub threads: Option<usize>,
    /// Of one worker's array.
    pub size: Option<Capacity>,
    pub latency: bool,
}

/// What was measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureView {
    pub nodes: Vec<NodeView>,
    /// Of one worker's array, of which each has three.
    pub array_mib: u64,
    pub runs: usize,
    pub last_cache_mib: Option<u64>,
    pub tables: Vec<PairView>,
    /// The best of the medians over all nodes together, or the one node.
    pub best_gbs: f64,
    pub expected: Option<ExpectedView>,
    pub notes: Vec<String>,
}

/// A node.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NodeView {
    pub node: u32,
    pub processors: usize,
    pub memory: bool,
}

/// Processors of one node on memory of one node.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PairView {
    /// None where all nodes worked at once, each on its own memory.
    pub from_node: Option<u32>,
    pub memory_node: Option<u32>,
    pub threads: usize,
    pub streams: Vec<StreamView>,
    pub latency_ns: Option<SpreadView>,
}

/// One stream in one way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StreamView {
    /// `read`, `write`, `copy` or `triad`.
    pub stream: String,
    /// How it moves data, in words.
    pub how: String,
    /// GB/s (10^9), bytes that the program moves.
    pub gbs: SpreadView,
    /// How it counts: bytes and floating-point operations for each element of 8 bytes.
    pub bytes_an_element: u64,
    pub operations_an_element: u64,
    /// What memory moves where each stored line is read first: only for loops whose stores go through the caches.
    pub with_write_allocate_gbs: Option<f64>,
}

/// Several readings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SpreadView {
    pub median: f64,
    pub least: f64,
    pub most: f64,
    /// From least to most, in percent of the median.
    pub spread_percent: f64,
}

/// What a build should reach.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExpectedView {
    pub build: String,
    /// GB/s, a tuned stream.
    pub expected_gbs: f64,
    pub peak_gbs: f64,
    /// Measured, in percent of these.
    pub of_expected_percent: f64,
    pub of_peak_percent: f64,
    /// Is it enough?
    pub enough: bool,
    pub suggestions: Vec<SuggestionView>,
}

/// What a shortfall suggests.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SuggestionView {
    pub what: String,
    /// What it would leave, in percent of what is expected.
    pub leaves_percent: Option<f64>,
    pub fits: bool,
    pub check: String,
}

impl SpreadView {
    fn new(spread: &Spread) -> Self {
        let (median, least, most) = (spread.median(), spread.least(), spread.most());
        Self { median, least, most, spread_percent: spread.share() * 100.0 }
    }
}

/// Measures. `told` hears what is being done, and how much of all is behind it, 0 to 1.
///
/// # Errors
/// The build file is wrong, or there is not enough memory.
pub fn measure(
    library: &Library,
    build: Option<&Path>,
    question: &Question,
    told: &mut dyn FnMut(&str, f64),
) -> Result<MeasureView, Failure> {
    // Before minutes of measuring, not after.
    let checked = build.map(|file| check::check(library, file)).transpose()?;
    let nodes = machine::nodes();
    let mut plans = measure::plans(&nodes);
    for plan in plans.iter_mut().filter(|p| p.from.is_some()) {
        plan.workers.truncate(question.threads.unwrap_or(usize::MAX).max(1));
    }
    let workers = plans.iter().map(|p| p.workers.len()).max().unwrap_or(1).max(1);
    let array = array(question.size, workers)?;
    let mut tables = Vec::new();
    for (i, plan) in plans.iter().enumerate() {
        told(&title(plan), i as f64 / plans.len() as f64);
        tables.push(pair(plan, array, question)?);
    }
    let whole = tables.iter().find(|t| t.from_node.is_none()).or_else(|| tables.first());
    let best = whole.map_or(0.0, |t| t.streams.iter().map(|s| s.gbs.median).fold(0.0, f64::max));
    let expected = match (&checked, build) {
        (Some(checked), Some(file)) => Some(expected(checked, file, best, nodes.len())),
        _ => None,
    };
    Ok(MeasureView {
        nodes: nodes
            .iter()
            .map(|n| NodeView { node: n.number, processors: n.processors.len(), memory: n.memory })
            .collect(),
        array_mib: array as u64 >> 20,
        runs: question.runs,
        last_cache_mib: machine::last_cache().map(|b| b as u64 >> 20),
        best_gbs: best,
        expected,
        notes: notes(array, workers, &tables),
        tables,
    })
}

/// `node 0 on memory of node 1`.
pub fn title(plan: &Plan) -> String {
    match (plan.from, plan.to) {
        (Some(from), Some(to)) => format!("node {from} on memory of node {to}"),
        _ => "all nodes at once, each on its own memory".to_string(),
    }
}

/// Bytes of one worker's array.
fn array(asked: Option<Capacity>, workers: usize) -> Result<usize, Failure> {
    let free = Free::now()?;
    let three = |bytes: usize| Capacity::from_mib((bytes as u64 >> 20) * 3 * workers as u64);
    if let Some(asked) = asked {
        let bytes = (asked.mib().max(1) as usize) << 20;
        free.allow(three(bytes))?;
        return Ok(bytes);
    }
    let wanted = (machine::last_cache().unwrap_or(LEAST) * TIMES / workers).clamp(LEAST, MOST);
    // Half of what may be taken is enough for a measurement.
    let most = (free.most().mib() as usize / 2 / 3 / workers) << 20;
    let bytes = wanted.min(most.max(2 << 20));
    free.allow(three(bytes))?;
    Ok(bytes)
}

fn pair(plan: &Plan, array: usize, question: &Question) -> Result<PairView, Failure> {
    let ways: Vec<Wide> = Wide::all();
    let steps: Vec<Step> = Stream::ALL
        .iter()
        .flat_map(|(stream, _)| ways.iter().map(|wide| Step { stream: *stream, wide: *wide }))
        .collect();
    let readings = measure::bandwidth(plan, array, &steps, question.runs)?;
    let streams = readings.iter().map(|reading| {
        let Step { stream, wide } = reading.step;
        let factor = stream.bytes_allocating() as f64 / stream.bytes() as f64;
        let allocating = wide == Wide::Plain && stream != Stream::Read;
        StreamView {
            stream: stream.name().to_string(),
            how: wide.words().to_string(),
            gbs: SpreadView::new(&reading.gbs),
            bytes_an_element: stream.bytes(),
            operations_an_element: stream.operations(),
            with_write_allocate_gbs: allocating.then(|| reading.gbs.median() * factor),
        }
    });
    let latency = match (plan.from, plan.workers.first()) {
        (Some(_), Some((processor, node))) if question.latency => {
            let near = plan.from == plan.to;
            let spread = measure::latency(*processor, (!near).then_some(*node), array.max(LEAST), question.runs)?;
            Some(SpreadView::new(&spread))
        }
        _ => None,
    };
    Ok(PairView {
        from_node: plan.from,
        memory_node: plan.to,
        threads: plan.workers.len(),
        streams: streams.collect(),
        latency_ns: latency,
    })
}

fn expected(checked: &check::Checked, file: &Path, best: f64, nodes: usize) -> ExpectedView {
    let bandwidth = checked.judgement.bandwidth.as_ref();
    let (low, _) = bandwidth.map(|b| b.range()).unwrap_or_default();
    let peak = bandwidth.map_or(0.0, |b| b.peak.gbs());
    let percent = |of: f64| if of > 0.0 { best / of * 100.0 } else { 0.0 };
    let share = percent(low.gbs()) / 100.0;
    let scene = Scene::new(&checked.build);
    let rate = checked.judgement.rate.as_ref().map(|r| r.rate);
    let suggestions = rate.map_or_else(Vec::new, |rate| shortfall::suggestions(&scene, rate, share, nodes));
    ExpectedView {
        build: file.display().to_string(),
        expected_gbs: low.gbs(),
        peak_gbs: peak,
        of_expected_percent: percent(low.gbs()),
        of_peak_percent: percent(peak),
        enough: share >= shortfall::ENOUGH,
        suggestions: suggestions
            .into_iter()
            .map(|s| SuggestionView {
                what: s.what,
                leaves_percent: s.leaves.map(|l| l * 100.0),
                fits: s.fits,
                check: s.check,
            })
            .collect(),
    }
}

fn notes(array: usize, workers: usize, tables: &[PairView]) -> Vec<String> {
    let mut notes = vec![
        "GB/s are 10^9 bytes a second that the program reads and writes; a plain store first reads its line, so memory moves \
         more than a plain loop shows"
            .to_string(),
        "normal shares of peak: 75 to 90 % with stores past the caches, 85 to 92 % reading only (servers, from memory)".to_string(),
    ];
    if machine::last_cache().is_some_and(|cache| array * workers < cache * TIMES) {
        notes.push(
            "the arrays are less than four times the last cache that the kernel tells of: figures may hold cached data; in a \
             virtual machine the kernel often tells of the host's whole cache"
                .to_string(),
        );
    }
    let wide = |t: &PairView| t.streams.iter().any(|s| s.gbs.spread_percent > 10.0);
    if tables.iter().any(wide) {
        notes.push("some readings spread by more than 10 %: other programs were at work".to_string());
    }
    notes
}
