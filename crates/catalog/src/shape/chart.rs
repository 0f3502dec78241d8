//! The shapes of a board's charts, RAS modes and drawing.

use super::Either;
use super::words::{AirWord, MarkWord, OutcomeWord, SeverityWord, UsableWord, VerdictWord};
use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// A RAS mode that the board offers beside `independent`.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ModeRow {
    /// The word that builds and needs name it by.
    pub name: At<String>,
    /// What it leaves of the capacity.
    pub usable: At<Either<UsableWord, UsableTable>>,
    /// Modules per processor that it works with; any if absent.
    #[serde(default)]
    pub counts: Vec<At<u16>>,
    /// Groups of channel numbers that must be filled alike.
    #[serde(default)]
    pub alike: Vec<At<Vec<u8>>>,
    /// Fewest logical ranks in each filled channel.
    pub ranks_least: Option<At<u8>>,
    /// Only modules with devices of this width.
    pub width: Option<At<u8>>,
    /// Only modules with so many ECC bits per channel or sub-channel.
    pub ecc_bits: Option<At<u8>>,
    /// Must all modules of a processor be alike?
    #[serde(default)]
    pub identical: bool,
    /// NUMA modes that it can't be used with.
    #[serde(default)]
    pub not_with_numa: Vec<At<String>>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// A part of the capacity that is lost: one of the two keys.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct UsableTable {
    /// So many ranks of each channel are spare.
    pub less_ranks: Option<At<u8>>,
    /// This share of the whole is lost, in percent.
    pub less_percent: Option<At<u8>>,
}

/// A population chart.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChartTable {
    /// The RAS mode that it is for; `independent` if absent.
    pub mode: Option<At<String>>,
    /// The socket that it is for; all if absent, with the slots named by the first socket's labels.
    pub socket: Option<At<String>>,
    /// Only for modules with so many package ranks.
    pub ranks: Option<At<u8>>,
    /// Slots in filling order.
    #[serde(default)]
    pub order: Vec<At<String>>,
    /// Are counts without a row unsupported?
    #[serde(default)]
    pub closed: bool,
    /// What a fill beside the chart is; `unsupported` if absent.
    pub severity: Option<SeverityWord>,
    pub outcome: Option<OutcomeWord>,
    /// One row a count of modules per processor.
    #[serde(default)]
    pub fill: Vec<Fill>,
    pub source: Option<At<String>>,
    pub mark: Option<MarkWord>,
}

/// One row of a chart.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Fill {
    /// Modules per processor.
    pub count: At<u16>,
    /// The slots that they go into; may be left out where the count is not supported.
    #[serde(default)]
    pub slots: Vec<At<String>>,
    /// `supported` if absent.
    pub verdict: Option<VerdictWord>,
    /// The maker's reason.
    pub why: Option<String>,
}

/// The drawing of the board.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LayoutTable {
    /// `front-to-back` if absent.
    pub air: Option<AirWord>,
    /// Rows from the back of the chassis to its front: slot labels, "#socket", or "" for a gap.
    #[serde(default)]
    pub rows: Vec<Vec<At<String>>>,
}
