//! Processor families: named by what they are (`ddr4-6ch-2933`), never by a maker.

use crate::module::{Generation, Kind};
use crate::quantity::{Capacity, DataRate};
use crate::source::{Cited, Mark, SourceId};
use std::fmt;

/// The id of a processor family.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ProcessorId(pub String);

impl fmt::Display for ProcessorId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// A rate limit for a kind of module at so many modules a channel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RateLimit {
    pub kind: Kind,
    /// Modules in the channel.
    pub dpc: u8,
    /// Package ranks of a module that this row is for; `None` for any.
    pub ranks: Option<(u8, u8)>,
    pub most: DataRate,
    pub source: SourceId,
    pub mark: Mark,
}

impl RateLimit {
    /// Is this row for a module of that kind and those package ranks, with `dpc` modules in its channel?
    pub fn applies(&self, kind: Kind, package_ranks: u8, dpc: u8) -> bool {
        self.kind == kind
            && self.dpc == dpc
            && self.ranks.is_none_or(|(least, most)| (least..=most).contains(&package_ranks))
    }
}

/// The widths that one address set can have, and which channels can make one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InterleaveSets {
    /// Supported set sizes; 1 is always among them.
    pub sizes: Vec<u8>,
    /// The sets that exist, each a list of channel numbers within the processor (controller × channels + channel),
    /// best first within a size. Empty: any channels, as long as every controller taking part gives equally many.
    pub listed: Vec<Vec<u8>>,
    pub source: SourceId,
    pub mark: Mark,
}

/// How bandwidth grows with the width of a set and the ranks of a channel.
#[derive(Debug, Clone, PartialEq)]
pub struct BandwidthModel {
    /// `k` of b(w) = w / (1 + w / k); `None` for a straight line.
    pub saturation: Option<Cited<f64>>,
    /// (least ranks of a channel, factor), ascending: the last row whose least is reached holds.
    pub rank_factors: Vec<(u8, Cited<f64>)>,
    /// Factor for channels with two or more modules, beyond the slower rate; `None` for none.
    pub second_module: Option<Cited<f64>>,
    /// Share of peak that a tuned streaming program reaches on full channels.
    pub sustained: Cited<f64>,
}

/// A way to part a processor into NUMA nodes, with what each part demands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NumaMode {
    /// The word that a build names it by.
    pub name: String,
    /// Channels of one node, as channel numbers within the processor.
    pub nodes: Vec<Vec<u8>>,
    /// Must all channels of a node hold equally much?
    pub equal_within_node: bool,
    /// Must all nodes of all processors hold equally much on equally many channels?
    pub equal_nodes: bool,
    pub source: SourceId,
    pub mark: Mark,
}

/// Idle latency in ns, to the processor's own memory and to another's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IdleLatency {
    pub local_ns: u32,
    pub remote_ns: Option<u32>,
}

/// One family of processors.
#[derive(Debug, Clone, PartialEq)]
pub struct Processor {
    pub id: ProcessorId,
    /// One sentence on what it is.
    pub about: String,
    pub generation: Generation,
    pub controllers: u8,
    pub channels_per_controller: u8,
    /// Most modules a channel.
    pub dpc_most: u8,
    pub rates: Vec<RateLimit>,
    pub capacity_limit: Option<Cited<Capacity>>,
    pub sets: InterleaveSets,
    pub bandwidth: BandwidthModel,
    pub numa: Vec<NumaMode>,
    pub latency: Option<Cited<IdleLatency>>,
}

impl Processor {
    /// Memory channels in all.
    pub fn channels(&self) -> u8 {
        self.controllers * self.channels_per_controller
    }
    /// The rate limit for a module of `kind` with `package_ranks`, `dpc` to a channel; `None` where it takes none.
    pub fn rate_limit(&self, kind: Kind, package_ranks: u8, dpc: u8) -> Option<&RateLimit> {
        self.rates.iter().filter(|r| r.applies(kind, package_ranks, dpc)).min_by_key(|r| r.most)
    }
    /// The best rate of any kind at one module a channel.
    pub fn best_rate(&self) -> Option<DataRate> {
        self.rates.iter().filter(|r| r.dpc == 1).map(|r| r.most).max()
    }
}
