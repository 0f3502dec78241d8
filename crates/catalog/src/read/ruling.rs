//! What a board's maker rules: limits, ranks of a channel, firmware, mixing, blanks.

use super::amounts;
use crate::decode::At;
use crate::error::Fault;
use crate::reading::{Breaking, Citing, Reading};
use crate::shape::Either;
use crate::shape::board::{Allowed, ChannelRanks, FirmwareRow, Limit, Limits, MixingTable, Required};
use domain::board::{BoardLimits, ChannelRankLimit, FirmwareNeed, FirmwareReason, Mixing, Ruling};
use domain::quantity::DieDensity;
use domain::{Processor, Severity};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A limit whose figure `read` turns into a quantity.
fn limit<T: Clone, Q>(
    reading: &mut Reading,
    citing: &Citing<'_>,
    limit: &Limit<T>,
    read: impl Fn(&mut Reading, &At<T>) -> Option<Q>,
) -> Option<Ruling<Q>> {
    let at = limit.as_ref()?;
    let (most, by) = match &at.value {
        Either::Bare(most) => (At { value: most.clone(), span: at.span }, Breaking::default()),
        Either::Table(t) => {
            let (severity, outcome, source, mark) = (t.severity, t.outcome, t.source.as_ref(), t.mark);
            (t.most.clone(), Breaking { severity, outcome, source, mark, otherwise: None })
        }
    };
    let value = read(reading, &most)?;
    Some(citing.ruling(reading, value, most.span, &by))
}

/// Limits of capacity, power and height.
pub(crate) fn limits(reading: &mut Reading, citing: &Citing<'_>, table: &Limits) -> BoardLimits {
    BoardLimits {
        module: limit(reading, citing, &table.module, amounts::capacity),
        processor: limit(reading, citing, &table.processor, amounts::capacity),
        system: limit(reading, citing, &table.system, amounts::capacity),
        slot_watts: limit(reading, citing, &table.slot_watts, amounts::watts),
        memory_watts: limit(reading, citing, &table.memory_watts, amounts::watts),
        height: limit(reading, citing, &table.height_mm, amounts::height),
        height_under_heat_sink: limit(reading, citing, &table.height_under_heat_sink_mm, amounts::height),
    }
}

/// Ranks and loads of a channel, one limit a kind.
pub(crate) fn channel_ranks(
    reading: &mut Reading,
    citing: &Citing<'_>,
    rows: &[ChannelRanks],
) -> Vec<ChannelRankLimit> {
    let mut limits = Vec::new();
    for row in rows {
        if row.package_ranks.is_none() && row.logical_ranks.is_none() && row.loads.is_none() {
            let fault = Fault::contradiction(row.kinds.span, "a limit of ranks without a figure");
            reading.report(fault.hint("give `package_ranks`, `logical_ranks` or `loads`"));
        }
        let by = Breaking { severity: row.severity, outcome: row.outcome, ..Breaking::default() };
        let (severity, outcome) = by.values();
        let (source, mark) = citing.cite(reading, row.kinds.span, row.source.as_ref(), row.mark);
        limits.extend(row.kinds.iter().map(|kind| ChannelRankLimit {
            kind: kind.value(),
            package_ranks: row.package_ranks,
            logical_ranks: row.logical_ranks,
            loads: row.loads,
            severity,
            outcome,
            source: source.clone(),
            mark,
        }));
    }
    limits
}

/// Firmware levels that processors and modules need.
pub(crate) fn firmware(
    reading: &mut Reading,
    citing: &Citing<'_>,
    rows: &[FirmwareRow],
    known: &BTreeMap<String, Arc<Processor>>,
) -> Vec<FirmwareNeed> {
    let mut needs = Vec::new();
    for row in rows {
        let Some(least) = reading.name(&row.least, "the firmware level") else {
            continue;
        };
        let reason = match (&row.processor, row.die_gbit, row.kind) {
            (Some(name), None, None) => match known.get(name.trim()) {
                Some(processor) => FirmwareReason::Processor(processor.id.clone()),
                None => {
                    reading.unknown(name, "processor", known.keys().map(String::as_str));
                    continue;
                }
            },
            (None, Some(gbit), None) => FirmwareReason::Density(DieDensity::from_gbit(gbit)),
            (None, None, Some(kind)) => FirmwareReason::Kind(kind.value()),
            _ => {
                let text = "a firmware level needs one of `processor`, `die_gbit` and `kind`";
                let fault = Fault::contradiction(row.least.span, text);
                reading.report(fault.hint("write a [[firmware.need]] for each thing that needs a level"));
                continue;
            }
        };
        let (source, mark) = citing.cite(reading, row.least.span, row.source.as_ref(), row.mark);
        needs.push(FirmwareNeed { reason, least, source, mark });
    }
    needs
}

fn allowed(reading: &mut Reading, citing: &Citing<'_>, at: &Allowed) -> Option<Ruling<bool>> {
    let at = at.as_ref()?;
    let (value, by) = match &at.value {
        Either::Bare(value) => (*value, Breaking::default()),
        Either::Table(t) => {
            let (severity, outcome, source, mark) = (t.severity, t.outcome, t.source.as_ref(), t.mark);
            (t.allowed, Breaking { severity, outcome, source, mark, otherwise: None })
        }
    };
    Some(citing.ruling(reading, value, at.span, &by))
}

fn required(reading: &mut Reading, citing: &Citing<'_>, at: &Required, unsaid: Severity) -> Option<Ruling<bool>> {
    let at = at.as_ref()?;
    let otherwise = Some(unsaid);
    let (value, by) = match &at.value {
        Either::Bare(value) => (*value, Breaking { otherwise, ..Breaking::default() }),
        Either::Table(t) => {
            let (severity, outcome, source, mark) = (t.severity, t.outcome, t.source.as_ref(), t.mark);
            (t.required, Breaking { severity, outcome, source, mark, otherwise })
        }
    };
    Some(citing.ruling(reading, value, at.span, &by))
}

/// Blanks in empty slots.
pub(crate) fn blanks(reading: &mut Reading, citing: &Citing<'_>, at: &Required) -> Option<Ruling<bool>> {
    required(reading, citing, at, Severity::Note)
}

/// The first slot of a channel before the others.
pub(crate) fn first_slot_first(reading: &mut Reading, citing: &Citing<'_>, at: &Required) -> Option<Ruling<bool>> {
    required(reading, citing, at, Severity::Wrong)
}

/// Rank counts that a full machine may mix; they are an exception, so there must be a rule.
fn once_full(reading: &mut Reading, table: &MixingTable) -> Vec<u8> {
    let ranks = &table.rank_counts_once_full;
    if let (Some(first), None) = (ranks.first(), &table.rank_counts) {
        let fault = Fault::contradiction(first.span, "`rank_counts_once_full` without `rank_counts`");
        reading.report(fault.hint("add `rank_counts = { allowed = false }`, to which it is the exception"));
    }
    ranks.iter().filter_map(|r| reading.ranged(r, "package ranks", 1, 8)).collect()
}

/// What may be mixed.
pub(crate) fn mixing(reading: &mut Reading, citing: &Citing<'_>, table: &MixingTable) -> Mixing {
    let count = |reading: &mut Reading, at: &At<u8>| reading.ranged(at, "how many may be mixed", 1, 64);
    let mut alone = Vec::new();
    for row in &table.alone {
        let Some(capacity) = amounts::capacity(reading, &row.capacity) else {
            continue;
        };
        let (severity, outcome, source, mark) = (row.severity, row.outcome, row.source.as_ref(), row.mark);
        let by = Breaking { severity, outcome, source, mark, otherwise: None };
        alone.push(citing.ruling(reading, capacity, row.capacity.span, &by));
    }
    Mixing {
        widths: allowed(reading, citing, &table.widths),
        capacities: limit(reading, citing, &table.capacities, count),
        capacities_in_channel: limit(reading, citing, &table.capacities_in_channel, count),
        rank_counts_in_channel: limit(reading, citing, &table.rank_counts_in_channel, count),
        rank_counts: allowed(reading, citing, &table.rank_counts),
        rank_counts_once_full: once_full(reading, table),
        quad_rank: allowed(reading, citing, &table.quad_rank),
        densities: allowed(reading, citing, &table.densities),
        stacks: allowed(reading, citing, &table.stacks),
        rates: allowed(reading, citing, &table.rates),
        ecc_bits: allowed(reading, citing, &table.ecc_bits),
        alone,
        kinds_together: table.kinds_together.iter().map(|g| g.iter().map(|k| k.value()).collect()).collect(),
    }
}
