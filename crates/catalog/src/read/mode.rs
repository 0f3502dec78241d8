//! RAS modes of a board.

use super::module::one_of;
use super::processor::channel_numbers;
use crate::error::Fault;
use crate::reading::{Citing, Reading};
use crate::shape::Either;
use crate::shape::chart::{ModeRow, UsableTable};
use crate::text::Span;
use domain::board::{Board, ModeRule, Usable};
use domain::{Mode, Processor};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The RAS modes of a board whose sockets are known.
pub(crate) fn modes(
    reading: &mut Reading,
    citing: &Citing<'_>,
    rows: &[ModeRow],
    board: &Board,
    known: &BTreeMap<String, Arc<Processor>>,
) -> Vec<ModeRule> {
    let mut rules: Vec<ModeRule> = Vec::new();
    for row in rows {
        let Some(rule) = mode(reading, citing, row, board, known) else {
            continue;
        };
        if rules.iter().any(|r| r.mode == rule.mode) {
            let first = rows.iter().find(|r| r.name.trim() == rule.mode.0).map_or(row.name.span, |r| r.name.span);
            reading.twice("RAS mode", &rule.mode.0, first, row.name.span);
            continue;
        }
        rules.push(rule);
    }
    rules
}

fn mode(
    reading: &mut Reading,
    citing: &Citing<'_>,
    row: &ModeRow,
    board: &Board,
    known: &BTreeMap<String, Arc<Processor>>,
) -> Option<ModeRule> {
    let name = reading.name(&row.name, "the name of a RAS mode")?;
    let counts = counts(reading, row, board);
    let least = row.ranks_least.as_ref();
    let ranks_least = least.and_then(|r| reading.ranged(r, "the least logical ranks", 1, 64));
    if let Some(width) = &row.width {
        one_of(reading, width, "the width of a device", &[4, 8, 16]);
    }
    if let Some(bits) = &row.ecc_bits {
        one_of(reading, bits, "the number of ECC bits", &[0, 4, 8]);
    }
    not_with(reading, row, board, known);
    let usable = match &row.usable.value {
        Either::Bare(word) => word.value(),
        Either::Table(table) => less(reading, row.usable.span, table)?,
    };
    let (source, mark) = citing.cite(reading, row.name.span, row.source.as_ref(), row.mark);
    Some(ModeRule {
        mode: Mode(name),
        usable,
        counts,
        alike: row.alike.iter().map(|g| g.value.clone()).collect(),
        ranks_least,
        width: row.width.as_ref().map(|w| w.value),
        ecc_bits: row.ecc_bits.as_ref().map(|b| b.value),
        identical: row.identical,
        not_with_numa: row.not_with_numa.iter().map(|n| n.trim().to_string()).collect(),
        source,
        mark,
    })
}

/// The counts that a mode works with; its groups of channels are checked beside.
fn counts(reading: &mut Reading, row: &ModeRow, board: &Board) -> Vec<u16> {
    let channels = board.sockets.iter().map(|s| s.channels().count()).min().unwrap_or(0);
    for group in &row.alike {
        channel_numbers(reading, group, u8::try_from(channels).unwrap_or(u8::MAX));
    }
    let slots = board.sockets.iter().map(|s| s.slots().count()).max().unwrap_or(0);
    let slots = u16::try_from(slots).unwrap_or(u16::MAX);
    let mut counts = Vec::new();
    for count in &row.counts {
        counts.extend(reading.ranged(count, "the modules of one processor", 1, slots));
    }
    counts
}

/// The NUMA modes that a mode can't be used with: one of the board's processors must know each.
fn not_with(reading: &mut Reading, row: &ModeRow, board: &Board, known: &BTreeMap<String, Arc<Processor>>) {
    let taken = || board.processors.iter().filter_map(|id| known.get(&id.0));
    for numa in &row.not_with_numa {
        let names = taken().flat_map(|p| &p.numa).map(|n| n.name.as_str());
        if !names.clone().any(|n| n == numa.trim()) {
            reading.unknown(numa, "NUMA mode of its processors", names);
        }
    }
}

fn less(reading: &mut Reading, span: Span, table: &UsableTable) -> Option<Usable> {
    match (&table.less_ranks, &table.less_percent) {
        (Some(ranks), None) => reading.ranged(ranks, "the number of spare ranks", 1, 32).map(Usable::LessRanks),
        (None, Some(part)) => reading.ranged(part, "the share that is lost in percent", 1, 99).map(Usable::LessShare),
        _ => {
            let fault = Fault::contradiction(span, "`usable` needs one of `less_ranks` and `less_percent`");
            reading.report(fault.hint("write \"all\", \"half\", { less_ranks = 1 } or { less_percent = 25 }"));
            None
        }
    }
}
