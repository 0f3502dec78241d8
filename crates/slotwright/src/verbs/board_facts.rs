//! What a board's data says besides its slots: modes, limits, rates, charts, firmware levels.

use domain::board::{Board, CountVerdict, FirmwareReason, Ruling, Usable};
use domain::processor::{Processor, RateLimit};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;

/// A mode that the board offers.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ModeView {
    pub name: String,
    /// What it leaves of the capacity, in words.
    pub usable: String,
    /// Modules per processor that it works with; empty for any.
    pub counts: Vec<u16>,
}

/// A limit of the board or its processor.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LimitView {
    pub what: String,
    pub most: String,
    pub severity: String,
    pub outcome: String,
    pub source: String,
    pub mark: String,
}

/// A data-rate limit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RateLimitView {
    /// `processor` or `board`.
    pub by: String,
    pub kind: String,
    pub modules_per_channel: u8,
    /// Least and most package ranks of a module; null for any.
    pub ranks: Option<[u8; 2]>,
    pub most_mts: u32,
    pub source: String,
    pub mark: String,
}

/// A population chart, summed up.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ChartView {
    pub mode: String,
    /// The socket that it is for; null for every socket.
    pub socket: Option<u8>,
    /// Only for modules of so many package ranks; null for any.
    pub ranks: Option<u8>,
    pub supported: Vec<u16>,
    pub not_advised: Vec<u16>,
    pub not_supported: Vec<u16>,
    pub source: String,
    pub mark: String,
}

/// A firmware level that something needs.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FirmwareView {
    pub what: String,
    pub least: String,
    pub source: String,
}

/// The modes that a board offers.
pub fn modes(board: &Board) -> Vec<ModeView> {
    board
        .mode_names()
        .iter()
        .map(|mode| {
            let rule = board.mode(mode);
            ModeView {
                name: mode.to_string(),
                usable: match rule.map_or(Usable::All, |r| r.usable) {
                    Usable::All => "all".to_string(),
                    Usable::Half => "half".to_string(),
                    Usable::LessShare(percent) => format!("all but {percent} %"),
                    Usable::LessRanks(1) => "all but one rank of each channel".to_string(),
                    Usable::LessRanks(ranks) => format!("all but {ranks} ranks of each channel"),
                },
                counts: rule.map(|r| r.counts.clone()).unwrap_or_default(),
            }
        })
        .collect()
}

fn limit<T: std::fmt::Display>(what: &str, ruling: Option<&Ruling<T>>) -> Option<LimitView> {
    ruling.map(|r| LimitView {
        what: what.to_string(),
        most: r.value.to_string(),
        severity: r.severity.to_string(),
        outcome: r.outcome.to_string(),
        source: r.source.to_string(),
        mark: r.mark.words().to_string(),
    })
}

/// The limits of a board and the capacity that a processor addresses.
pub fn limits(board: &Board, processor: Option<&Processor>) -> Vec<LimitView> {
    let l = &board.limits;
    let own = processor.and_then(|p| p.capacity_limit.as_ref().map(|c| (p, c)));
    let own = own.map(|(p, c)| LimitView {
        what: format!("capacity that {} addresses", p.id),
        most: c.value.to_string(),
        severity: domain::Severity::Wrong.to_string(),
        outcome: domain::Outcome::Stops.to_string(),
        source: c.source.to_string(),
        mark: c.mark.words().to_string(),
    });
    own.into_iter()
        .chain(limit("capacity of a module", l.module.as_ref()))
        .chain(limit("capacity of a processor", l.processor.as_ref()))
        .chain(limit("capacity of the system", l.system.as_ref()))
        .chain(limit("power of a slot", l.slot_watts.as_ref()))
        .chain(limit("power of all memory", l.memory_watts.as_ref()))
        .chain(limit("height of a module", l.height.as_ref()))
        .chain(limit("height under a heat sink", l.height_under_heat_sink.as_ref()))
        .collect()
}

/// Data-rate limits of a processor and a board, for the kinds that the board takes.
pub fn rate_limits(board: &Board, processor: Option<&Processor>) -> Vec<RateLimitView> {
    let row = |by: &str, r: &RateLimit| RateLimitView {
        by: by.to_string(),
        kind: r.kind.to_string(),
        modules_per_channel: r.dpc,
        ranks: r.ranks.map(|(least, most)| [least, most]),
        most_mts: r.most.mts(),
        source: r.source.to_string(),
        mark: r.mark.words().to_string(),
    };
    let mut rows: Vec<RateLimitView> =
        processor.map(|p| p.rates.iter().map(|r| row("processor", r)).collect()).unwrap_or_default();
    rows.extend(board.rates.iter().map(|r| row("board", r)));
    rows.retain(|r| board.kinds.iter().any(|k| k.name() == r.kind));
    rows
}

/// The population charts, summed up.
pub fn charts(board: &Board) -> Vec<ChartView> {
    board
        .charts
        .iter()
        .map(|chart| {
            let of = |verdict: CountVerdict| -> Vec<u16> {
                let rows = chart.rows.iter().filter(|r| r.verdict == verdict);
                rows.map(|r| r.count).collect::<BTreeSet<_>>().into_iter().collect()
            };
            ChartView {
                mode: chart.mode.to_string(),
                socket: chart.socket,
                ranks: chart.ranks,
                supported: of(CountVerdict::Supported),
                not_advised: of(CountVerdict::NotAdvised),
                not_supported: of(CountVerdict::NotSupported),
                source: chart.source.to_string(),
                mark: chart.mark.words().to_string(),
            }
        })
        .collect()
}

/// The firmware levels that parts need.
pub fn firmware(board: &Board) -> Vec<FirmwareView> {
    board
        .firmware
        .iter()
        .map(|need| FirmwareView {
            what: match &need.reason {
                FirmwareReason::Processor(id) => format!("processor {id}"),
                FirmwareReason::Density(density) => format!("dies of {density} or more"),
                FirmwareReason::Kind(kind) => format!("{kind} modules"),
            },
            least: need.least.clone(),
            source: need.source.to_string(),
        })
        .collect()
}
