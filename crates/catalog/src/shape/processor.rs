//! The shapes of processor and module files.

use super::words::{GenerationWord, KindWord, MarkWord};
use super::{Figure, Many, MtPerS};
use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// A processor family, in a file named after its id.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "processor", rename = "Processor")]
#[allow(dead_code, reason = "format, source and mark of the file are read before the shape")]
pub(crate) struct ProcessorFile {
    /// The version of this file format: 1.
    pub format: At<u32>,
    /// One sentence on what it is.
    pub about: At<String>,
    pub generation: At<GenerationWord>,
    /// Memory controllers, 1 to 16.
    pub controllers: At<u8>,
    /// Channels of each controller, 1 to 16.
    pub channels: At<u8>,
    /// Most modules in a channel, 1 to 4.
    pub modules_per_channel: At<u8>,
    /// Where the figures of this file are written, unless one says otherwise.
    pub source: At<String>,
    /// How they were come by; if absent, as the register of sources says.
    pub mark: Option<MarkWord>,
    /// The most memory that one processor addresses.
    pub capacity_limit: Option<CapacityLimit>,
    /// Data rates by kind and modules in the channel.
    pub rate: At<Vec<RateRow>>,
    pub sets: Sets,
    pub bandwidth: Bandwidth,
    /// Ways to part the processor into NUMA nodes.
    #[serde(default)]
    pub numa: Vec<Numa>,
    pub latency: Option<Latency>,
}

/// A limit of capacity.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CapacityLimit {
    /// Such as "1 TiB".
    pub most: At<String>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// The rate that some modules run at, at most.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RateRow {
    /// The kinds of module that this row is for.
    pub kinds: Vec<KindWord>,
    /// The numbers of modules in the channel that this row is for.
    pub modules_per_channel: At<Many<u8>>,
    /// Least and most package ranks of the module; any if absent.
    pub ranks: Option<At<Vec<u8>>>,
    /// The rate in MT/s.
    pub most: At<MtPerS>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// The sets of channels that addresses can be spread over.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sets {
    /// The sizes that exist; 1 among them.
    pub sizes: At<Vec<u8>>,
    /// The sets that exist, as channel numbers within the processor (controller × channels + channel), best first.
    #[serde(default)]
    pub listed: Vec<At<Vec<u8>>>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// How bandwidth grows with width and ranks.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Bandwidth {
    /// `k` of w / (1 + w / k); a straight line if absent.
    pub saturation: Option<Figure>,
    /// Factors by the least ranks of a channel.
    pub ranks: At<Vec<RankFactor>>,
    /// Factor for channels with two or more modules.
    pub second_module: Option<Figure>,
    /// Share of the peak that a tuned program reaches.
    pub sustained: Figure,
}

/// A factor for channels with so many ranks or more.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RankFactor {
    pub least: At<u8>,
    pub factor: At<f64>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// A way to part a processor into NUMA nodes.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Numa {
    /// The word that a build names it by.
    pub name: At<String>,
    /// The channel numbers of each node.
    pub nodes: At<Vec<At<Vec<u8>>>>,
    /// Must all channels of a node hold equally much?
    #[serde(default)]
    pub equal_within_node: bool,
    /// Must all nodes hold equally much?
    #[serde(default)]
    pub equal_nodes: bool,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// Idle latency in ns.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Latency {
    /// To the processor's own memory.
    pub local_ns: At<u32>,
    /// To another processor's.
    pub remote_ns: Option<u32>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// A file of modules.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "modules", rename = "Modules")]
#[allow(dead_code, reason = "format, source and mark of the file are read before the shape")]
pub(crate) struct ModulesFile {
    /// The version of this file format: 1.
    pub format: At<u32>,
    /// Where the figures of this file are written.
    pub source: At<String>,
    /// How they were come by; if absent, as the register of sources says.
    pub mark: Option<MarkWord>,
    #[serde(default)]
    pub module: Vec<ModuleEntry>,
}

/// One kind of module.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ModuleEntry {
    /// A name of its own in the catalogue.
    pub id: At<String>,
    /// The JEDEC module label, as printed.
    pub label: At<String>,
    pub generation: GenerationWord,
    pub kind: KindWord,
    /// Such as "64 GiB".
    pub capacity: At<String>,
    /// Package ranks, 1 to 8.
    pub ranks: At<u8>,
    /// Data bits of one device: 4, 8 or 16.
    pub width: At<u8>,
    /// Dies of a 3DS stack; 1 if absent.
    pub stack: Option<At<u8>>,
    /// Two dies a package that are package ranks?
    #[serde(default)]
    pub dual_die: bool,
    /// ECC bits of a channel (DDR3, DDR4: 0 or 8) or of a sub-channel (DDR5: 0, 4 or 8).
    pub ecc_bits: Option<At<u8>>,
    /// The rate bin in MT/s.
    pub rate: At<MtPerS>,
    /// CAS latency in clocks at that rate.
    pub cas_latency: Option<u8>,
    /// Density of one die in Gbit.
    pub die_gbit: Option<At<u32>>,
    /// Power while loaded, in W.
    pub watts: Option<At<f64>>,
    pub height_mm: Option<At<f64>>,
    /// In V; the generation's own if absent.
    pub voltage: Option<At<f64>>,
    pub part_number: Option<At<String>>,
    pub maker: Option<String>,
    #[serde(default)]
    pub prices: Prices,
    /// Where this module's figures are written, where not as the file says.
    pub source: Option<At<String>>,
    #[allow(dead_code, reason = "a module in the domain carries no mark yet")]
    pub mark: Option<MarkWord>,
}

/// What a module costs.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Prices {
    /// Such as "310.00 EUR".
    pub new: Option<At<String>>,
    pub used: Option<At<String>>,
}
