//! The shape of a board file.

use super::chart::{ChartTable, LayoutTable, ModeRow};
use super::processor::RateRow;
use super::words::{EccWord, GenerationWord, KindWord, MarkWord, OrderWord, OutcomeWord, SeverityWord};
use super::{Either, Named};
use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// A board, in a file named after its id.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "board", rename = "Board")]
#[allow(dead_code, reason = "format, inherit and mark of the file are read before the shape")]
pub(crate) struct BoardFile {
    /// The version of this file format: 1.
    pub format: At<u32>,
    /// The board that this one takes everything from that it does not say itself, by name or path.
    pub inherit: Option<At<String>>,
    /// Its name for people.
    pub title: At<String>,
    /// One or two sentences on what it is.
    pub about: At<String>,
    pub generation: At<GenerationWord>,
    /// The processor families that it takes.
    pub processors: At<Vec<At<String>>>,
    /// The kinds of module that it takes.
    pub kinds: At<Vec<KindWord>>,
    /// Must every module have ECC bits? `required` if absent.
    pub ecc: Option<EccWord>,
    /// Minutes of memory training at first start.
    pub training_minutes: Option<At<u32>>,
    /// Where the figures of this file are written, unless one says otherwise.
    pub source: At<String>,
    /// How they were come by; if absent, as the register of sources says.
    pub mark: Option<MarkWord>,
    pub socket: At<Vec<SocketTable>>,
    /// What is special about a slot, by label.
    #[serde(default)]
    pub slot: Named<SlotTable>,
    /// Data rates, only where the board lowers the processor's.
    #[serde(default)]
    pub rate: Vec<RateRow>,
    #[serde(default)]
    pub limits: Limits,
    /// The most ranks and loads that a channel takes.
    #[serde(default)]
    pub channel_ranks: Vec<ChannelRanks>,
    #[serde(default)]
    pub firmware: Firmware,
    #[serde(default)]
    pub mixing: MixingTable,
    /// RAS modes beside `independent`.
    #[serde(default)]
    pub mode: Vec<ModeRow>,
    /// Population charts.
    #[serde(default)]
    pub chart: Vec<At<ChartTable>>,
    #[serde(default)]
    pub rulings: Rulings,
    #[serde(default)]
    pub layout: LayoutTable,
}

/// The slot labels of a channel, the farthest from the processor first.
pub(crate) type Channel = At<Vec<At<String>>>;

/// A processor socket.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SocketTable {
    /// Its name, as builds and charts call it.
    pub name: At<String>,
    /// Controllers, each a list of channels, each a list of slot labels, the farthest from the processor first.
    pub controllers: At<Vec<At<Vec<Channel>>>>,
}

/// What is special about a slot.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SlotTable {
    /// The colour of its tabs in words.
    pub tab: Option<String>,
    /// The tallest module that fits.
    pub height_mm: Option<At<f64>>,
    /// Does a heat sink reach over it?
    #[serde(default)]
    pub under_heat_sink: bool,
}

/// A limit: the bare figure, or a table with what passing it does.
pub(crate) type Limit<T> = Option<At<Either<T, LimitTable<T>>>>;

/// A limit with what passing it does.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LimitTable<T> {
    /// The figure.
    pub most: At<T>,
    /// `unsupported` if absent.
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// Limits of capacity, power and height.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Limits {
    /// The largest module, such as "128 GiB".
    pub module: Limit<String>,
    /// The most memory of one processor.
    pub processor: Limit<String>,
    /// The most memory of the machine.
    pub system: Limit<String>,
    /// The most power of one slot, such as "15 W".
    pub slot_watts: Limit<String>,
    /// The most power of all memory.
    pub memory_watts: Limit<String>,
    /// The tallest module in mm.
    pub height_mm: Limit<f64>,
    /// The tallest module under a heat sink in mm.
    pub height_under_heat_sink_mm: Limit<f64>,
}

/// The most that a channel takes of some kinds.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChannelRanks {
    pub kinds: At<Vec<KindWord>>,
    /// Package ranks (chip selects).
    pub package_ranks: Option<u8>,
    /// Logical ranks: package ranks times the height of the 3DS stack.
    pub logical_ranks: Option<u8>,
    /// Electrical loads.
    pub loads: Option<u8>,
    /// `unsupported` if absent.
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// Firmware levels.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Firmware {
    /// `dotted` if absent.
    pub order: Option<OrderWord>,
    #[serde(default)]
    pub need: Vec<FirmwareRow>,
}

/// What needs which firmware level: one of `processor`, `die_gbit` and `kind`.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct FirmwareRow {
    /// A processor family.
    pub processor: Option<At<String>>,
    /// Dies of so many Gbit or more.
    pub die_gbit: Option<u32>,
    /// A kind of module.
    pub kind: Option<KindWord>,
    /// The least level.
    pub least: At<String>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// Whether something may be, with what doing it all the same does.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AllowedTable {
    pub allowed: bool,
    /// `unsupported` if absent.
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}
pub(crate) type Allowed = Option<At<Either<bool, AllowedTable>>>;

/// Whether something must be, with what leaving it does.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RequiredTable {
    pub required: bool,
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}
pub(crate) type Required = Option<At<Either<bool, RequiredTable>>>;

/// A capacity that tolerates no other beside it.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Alone {
    pub capacity: At<String>,
    /// `unsupported` if absent.
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// What may be mixed.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct MixingTable {
    /// x4 and x8 devices in the machine?
    pub widths: Allowed,
    /// Different capacities in the machine, at most.
    pub capacities: Limit<u8>,
    /// Different capacities in a channel, at most.
    pub capacities_in_channel: Limit<u8>,
    /// Different rank counts in a channel, at most.
    pub rank_counts_in_channel: Limit<u8>,
    /// Different rank counts in the machine?
    pub rank_counts: Allowed,
    /// Package rank counts that may share the machine all the same once every slot of its processors is filled.
    #[serde(default)]
    pub rank_counts_once_full: Vec<At<u8>>,
    /// Quad-rank modules with others in a channel?
    pub quad_rank: Allowed,
    /// Different die densities?
    pub densities: Allowed,
    /// Different heights of 3DS stacks?
    pub stacks: Allowed,
    /// Different rate bins?
    pub rates: Allowed,
    /// Different ECC bits?
    pub ecc_bits: Allowed,
    /// Capacities that tolerate no other beside them.
    #[serde(default)]
    pub alone: Vec<Alone>,
    /// Groups of kinds that may share the machine.
    #[serde(default)]
    pub kinds_together: Vec<Vec<KindWord>>,
}

/// What else the maker rules.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Rulings {
    /// Blanks in empty slots? Severity `note` if absent.
    pub blanks: Required,
    /// Must a later slot of a channel stay empty while an earlier one is? Severity `wrong` if absent.
    pub first_slot_first: Required,
}
