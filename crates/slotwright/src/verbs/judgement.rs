//! A judged build as plain data: what `check` shows, and what every plan carries.

use super::findings::FindingView;
use super::modules::ModuleView;
use super::summary;
use domain::{Build, DataRate};
use engine::bandwidth::MachineBandwidth;
use engine::interleave::Region;
use engine::judge::Judgement;
use engine::rate::RateLink;
use schemars::JsonSchema;
use serde::Serialize;

/// Everything that is said of a build.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct JudgementView {
    /// The board's id.
    pub board: String,
    pub title: String,
    /// What it comes to, in one line: does it start, and which rules say otherwise.
    pub summary: String,
    /// The RAS mode.
    pub mode: String,
    /// The NUMA partition mode, where one is asked for.
    pub numa: Option<String>,
    pub firmware: Option<String>,
    /// One a socket; null where the socket is empty.
    pub processors: Vec<Option<String>>,
    /// DRAM that a processor reaches, in MiB.
    pub capacity_mib: u64,
    /// What the mode leaves of it, in MiB.
    pub usable_mib: u64,
    /// Non-volatile capacity, in MiB, never counted above.
    pub non_volatile_mib: u64,
    /// The rate that all channels run at, in MT/s; null where nothing runs.
    pub data_rate_mts: Option<u32>,
    /// The limits that make that rate, in order.
    pub rate_chain: Vec<RateLinkView>,
    /// Address ranges that one interleave set each serves.
    pub regions: Vec<RegionView>,
    /// What regions and bandwidth leave out, where a NUMA mode parts a processor; null where nothing.
    pub regions_caution: Option<String>,
    /// Null where nothing runs.
    pub bandwidth: Option<BandwidthView>,
    /// Idle latency of each socket's node, where the family's data has it.
    pub latency: Vec<LatencyView>,
    /// Power of all modules under load.
    pub watts: f64,
    /// Does every module's data give its watts? If not, a plain default stands in.
    pub watts_known: bool,
    /// Worst first.
    pub findings: Vec<FindingView>,
    /// Every slot of the board, in board order.
    pub slots: Vec<SlotView>,
}

/// One limit of the rate chain.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RateLinkView {
    /// What sets the limit.
    pub what: String,
    pub most_mts: u32,
    /// What it depends on.
    pub because: String,
    /// Is the rate this low because of this link?
    pub binds: bool,
    /// What would lift it.
    pub lift: String,
    /// Id in the citation register; null where the label itself says it.
    pub source: Option<String>,
    /// How the figure was come by.
    pub mark: Option<String>,
}

/// One address range.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RegionView {
    pub socket: u8,
    /// Channels in the set.
    pub width: u8,
    pub capacity_mib: u64,
    /// Channel numbers within the socket.
    pub members: Vec<u8>,
}

/// Bandwidth, in GB/s (10^9 bytes a second), as a tuned streaming program sees it; peak apart.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BandwidthView {
    /// The buses' own limit: rate × 8 bytes × filled channels.
    pub peak_gbs: f64,
    /// The single figure; null where only a range is known.
    pub estimate_gbs: Option<f64>,
    pub low_gbs: f64,
    pub high_gbs: f64,
    /// One region at a time.
    pub serial_gbs: f64,
    /// All regions busy at once.
    pub concurrent_gbs: f64,
    /// The slowest region's bandwidth as a share of its processor's full, evenly filled figure.
    pub slowest_region: f64,
    /// All channels filled alike at this rate.
    pub full_gbs: f64,
    /// The best that these processors can reach.
    pub best_gbs: f64,
    /// The estimate over `full_gbs`; null where only a range is known.
    pub relative_to_full: Option<f64>,
    pub relative_low: f64,
    pub relative_high: f64,
    /// The estimate over `best_gbs`; null where only a range is known.
    pub relative_to_best: Option<f64>,
    pub relative_to_best_low: f64,
    pub relative_to_best_high: f64,
    /// One figure, or only a range?
    pub single: bool,
    /// Was the model for this family held against a published table, and does one region serve all?
    pub verified: bool,
    /// All that in a sentence.
    pub words: String,
    pub sockets: Vec<SocketBandwidthView>,
}

/// Bandwidth of one socket, working on its own memory.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SocketBandwidthView {
    pub socket: u8,
    pub peak_gbs: f64,
    pub serial_gbs: f64,
    pub concurrent_gbs: f64,
    pub full_gbs: f64,
    pub best_gbs: f64,
    pub slowest_region: f64,
    pub regions: u32,
}

/// Idle latency of one socket's node.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LatencyView {
    pub socket: u8,
    /// To the processor's own memory, in ns.
    pub local_ns: u32,
    /// To another processor's, in ns.
    pub remote_ns: Option<u32>,
    pub source: String,
    pub mark: String,
}

/// One slot with what sits in it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SlotView {
    pub label: String,
    pub socket: u8,
    /// The board's own name of the socket; empty where it gives none.
    pub socket_name: String,
    pub controller: u8,
    /// Within its controller.
    pub channel: u8,
    /// 0 is farthest from the processor.
    pub position: u8,
    pub module: Option<ModuleView>,
}

impl JudgementView {
    /// A build and its judgement as plain data.
    pub fn new(build: &Build, judged: &Judgement) -> Self {
        Self {
            board: build.board.id.clone(),
            title: build.board.title.clone(),
            summary: summary::words(&judged.findings),
            mode: build.mode.to_string(),
            numa: build.numa.clone(),
            firmware: build.firmware.clone(),
            processors: build.processors.iter().map(|p| p.as_ref().map(|p| p.id.to_string())).collect(),
            capacity_mib: judged.capacity.mib(),
            usable_mib: judged.usable.mib(),
            non_volatile_mib: judged.non_volatile.mib(),
            data_rate_mts: judged.rate.as_ref().map(|r| r.rate.mts()),
            rate_chain: judged.rate.iter().flat_map(|r| r.links.iter().map(RateLinkView::new)).collect(),
            regions: judged.regions.iter().map(RegionView::new).collect(),
            regions_caution: parted(build),
            bandwidth: judged.bandwidth.as_ref().map(BandwidthView::new),
            latency: latencies(build),
            watts: judged.watts.watts(),
            watts_known: judged.watts_known,
            findings: judged.findings.iter().map(|f| FindingView::new(&build.board, f)).collect(),
            slots: slots(build),
        }
    }
}

impl RateLinkView {
    fn new(link: &RateLink) -> Self {
        Self {
            what: link.kind.words().to_string(),
            most_mts: link.most.mts(),
            because: link.because.clone(),
            binds: link.binds,
            lift: link.lift.clone(),
            source: link.source.as_ref().map(|(s, _)| s.to_string()),
            mark: link.source.as_ref().map(|(_, m)| m.words().to_string()),
        }
    }
}

impl RegionView {
    fn new(region: &Region) -> Self {
        Self {
            socket: region.socket,
            width: region.width,
            capacity_mib: region.capacity.mib(),
            members: region.members.clone(),
        }
    }
}

impl BandwidthView {
    fn new(machine: &MachineBandwidth) -> Self {
        let (low, high) = machine.range();
        let one = machine.single.then_some(machine.serial);
        Self {
            peak_gbs: machine.peak.gbs(),
            estimate_gbs: one.map(|b| b.gbs()),
            low_gbs: low.gbs(),
            high_gbs: high.gbs(),
            serial_gbs: machine.serial.gbs(),
            concurrent_gbs: machine.concurrent.gbs(),
            slowest_region: rounded(machine.slowest_region),
            full_gbs: machine.full.gbs(),
            best_gbs: machine.best.gbs(),
            relative_to_full: one.map(|b| rounded(machine.share_of_full(b))),
            relative_low: rounded(machine.share_of_full(low)),
            relative_high: rounded(machine.share_of_full(high)),
            relative_to_best: one.map(|b| rounded(machine.share_of_best(b))),
            relative_to_best_low: rounded(machine.share_of_best(low)),
            relative_to_best_high: rounded(machine.share_of_best(high)),
            single: machine.single,
            verified: machine.verified,
            words: bandwidth_words(machine),
            sockets: machine
                .sockets
                .iter()
                .map(|s| SocketBandwidthView {
                    socket: s.socket,
                    peak_gbs: s.peak.gbs(),
                    serial_gbs: s.estimate.gbs(),
                    concurrent_gbs: rounded(s.full.gbs() * s.concurrent),
                    full_gbs: s.full.gbs(),
                    best_gbs: s.best.gbs(),
                    slowest_region: rounded(s.slowest_region),
                    regions: s.regions,
                })
                .collect(),
        }
    }
}

fn bandwidth_words(machine: &MachineBandwidth) -> String {
    let (low, high) = machine.range();
    let figure = if machine.single {
        format!("about {}", machine.serial)
    } else {
        format!("between {low} and {high}, by whether one region is read at a time or all at once")
    };
    let trust = if machine.verified {
        "the model of this family was held against a published table"
    } else {
        "estimated, not verified against a published table"
    };
    format!("{figure}, as a tuned streaming program sees it; {trust}")
}

/// Four decimals: more would only show the model's arithmetic.
fn rounded(value: f64) -> f64 {
    (value * 10_000.0).round() / 10_000.0
}

/// Said where a NUMA mode parts a processor: regions are worked out for a processor as a whole.
fn parted(build: &Build) -> Option<String> {
    let wanted = build.numa.as_ref()?;
    let parts = |p: &domain::Processor| p.numa.iter().any(|n| n.name == *wanted && n.nodes.len() > 1);
    build.processors.iter().flatten().any(|p| parts(p)).then(|| {
        format!("in NUMA mode {wanted} no region is wider than a node: these regions, and the bandwidth, are those of one node a processor")
    })
}

fn latencies(build: &Build) -> Vec<LatencyView> {
    let present = build.processors.iter().flatten().count();
    build
        .processors
        .iter()
        .enumerate()
        .filter_map(|(socket, processor)| {
            let cited = processor.as_ref()?.latency.as_ref()?;
            Some(LatencyView {
                socket: socket as u8,
                local_ns: cited.value.local_ns,
                remote_ns: cited.value.remote_ns.filter(|_| present > 1),
                source: cited.source.to_string(),
                mark: cited.mark.words().to_string(),
            })
        })
        .collect()
}

/// Every slot of a board, empty.
pub fn empty_slots(board: &std::sync::Arc<domain::Board>) -> Vec<SlotView> {
    slots(&Build::empty(std::sync::Arc::clone(board), Vec::new(), domain::Mode::independent()))
}

fn slots(build: &Build) -> Vec<SlotView> {
    let name = |socket: u8| build.board.sockets.get(usize::from(socket)).map_or_else(String::new, |s| s.name.clone());
    build
        .board
        .indexed()
        .map(|(index, slot)| SlotView {
            label: slot.label.clone(),
            socket: slot.address.socket,
            socket_name: name(slot.address.socket),
            controller: slot.address.controller,
            channel: slot.address.channel,
            position: slot.address.position,
            module: build.slots.get(index.at()).and_then(Option::as_deref).map(ModuleView::new),
        })
        .collect()
}

impl JudgementView {
    /// Is there anything that someone should act on? Notes alone are clean.
    pub fn has_findings(&self) -> bool {
        self.findings.iter().any(FindingView::matters)
    }
    /// The data rate as the trade writes it.
    pub fn rate(&self) -> Option<DataRate> {
        self.data_rate_mts.map(DataRate::from_mts)
    }
}
