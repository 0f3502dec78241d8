//! Population charts: labels into addresses, counts against slots.

use super::board::{Labels, in_every_socket, offered};
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::reading::{Breaking, Citing, Reading};
use crate::shape::chart::{ChartTable, Fill};
use crate::shape::words::VerdictWord;
use crate::text::Span;
use domain::Mode;
use domain::board::{Board, Chart, ChartRow, CountVerdict, LocalSlot};

/// The charts of a board whose sockets, slots and modes are known.
pub(crate) fn charts(
    reading: &mut Reading,
    citing: &Citing<'_>,
    tables: &[ChartTable],
    board: &Board,
    labels: &Labels,
) -> Vec<Chart> {
    tables
        .iter()
        .filter_map(|table| chart(reading, citing, table, board, labels))
        .collect()
}

/// The socket whose labels a chart uses, and whether it is for that socket alone.
fn socket(reading: &mut Reading, table: &ChartTable, board: &Board) -> Option<(u8, bool)> {
    let Some(name) = &table.socket else {
        return Some((0, false));
    };
    match board
        .sockets
        .iter()
        .position(|s| s.name.eq_ignore_ascii_case(name.trim()))
    {
        Some(number) => Some((number as u8, true)),
        None => {
            reading.unknown(
                name,
                "socket",
                board.sockets.iter().map(|s| s.name.as_str()),
            );
            None
        }
    }
}

fn chart(
    reading: &mut Reading,
    citing: &Citing<'_>,
    table: &ChartTable,
    board: &Board,
    labels: &Labels,
) -> Option<Chart> {
    let mode = table
        .mode
        .as_ref()
        .map_or(Some(Mode::independent()), |m| offered(reading, board, m))?;
    let (number, alone) = socket(reading, table, board)?;
    let ranks = table
        .ranks
        .as_ref()
        .and_then(|r| reading.ranged(r, "the number of package ranks", 1, 8));
    let mut slot = |reading: &mut Reading, label: &At<String>| -> Option<LocalSlot> {
        let address = board.slot(labels.find(reading, label)?).address;
        if address.socket != number {
            let (own, other) = (
                &board.sockets[usize::from(number)].name,
                &board.sockets[usize::from(address.socket)].name,
            );
            let text = format!(
                "slot `{}` is of socket `{other}`, but the chart names the slots of `{own}`",
                label.trim()
            );
            let hint = "name the first socket's slots, which stand for those of the others, or write socket = \"name\"";
            reading.report(Fault::contradiction(label.span, text).hint(hint));
            return None;
        }
        let local = address.local();
        (alone || in_every_socket(reading, board, label, local)).then_some(local)
    };
    let order = slots(reading, &table.order, &mut slot);
    let mut rows: Vec<ChartRow> = Vec::new();
    for fill in &table.fill {
        if let Some(first) = rows.iter().position(|r| r.count == fill.count.value) {
            reading.twice(
                "count",
                &fill.count.to_string(),
                table.fill[first].count.span,
                fill.count.span,
            );
        }
        let filled = slots(reading, &fill.slots, &mut slot);
        rows.push(row(
            reading,
            fill,
            filled,
            board.sockets[usize::from(number)].slots().count(),
        ));
    }
    let span = place(table);
    if let (true, Some(span)) = (table.order.is_empty() && table.fill.is_empty(), span) {
        let fault = Fault::contradiction(span, "a chart without an order and without a row");
        reading.report(fault.hint("add `order = [ … ]`, or a [[chart.fill]] for each count"));
    }
    let breaking = Breaking {
        severity: table.severity,
        outcome: table.outcome,
        ..Breaking::default()
    };
    let (severity, outcome) = breaking.values();
    // A chart with nothing in it has no place of its own; the file's own source then stands for it.
    let (source, mark) = citing.cite(
        reading,
        span.unwrap_or_default(),
        table.source.as_ref(),
        table.mark,
    );
    Some(Chart {
        mode,
        socket: alone.then_some(number),
        ranks,
        order,
        rows,
        closed: table.closed,
        severity,
        outcome,
        source,
        mark,
    })
}

fn place(table: &ChartTable) -> Option<Span> {
    let order = table.order.first().map(|l| l.span);
    let row = table.fill.first().map(|f| f.count.span);
    order
        .or(row)
        .or(table.mode.as_ref().map(|m| m.span))
        .or(table.socket.as_ref().map(|s| s.span))
}

/// Labels into addresses, each once.
fn slots(
    reading: &mut Reading,
    labels: &[At<String>],
    slot: &mut impl FnMut(&mut Reading, &At<String>) -> Option<LocalSlot>,
) -> Vec<LocalSlot> {
    let mut out: Vec<(LocalSlot, Span)> = Vec::new();
    for label in labels {
        let Some(local) = slot(reading, label) else {
            continue;
        };
        match out.iter().find(|(l, _)| *l == local) {
            Some((_, first)) => reading.twice("slot", label, *first, label.span),
            None => out.push((local, label.span)),
        }
    }
    out.into_iter().map(|(local, _)| local).collect()
}

fn row(reading: &mut Reading, fill: &Fill, slots: Vec<LocalSlot>, most: usize) -> ChartRow {
    let verdict = fill
        .verdict
        .map_or(CountVerdict::Supported, VerdictWord::value);
    let count = usize::from(fill.count.value);
    if count == 0 || count > most {
        let (least, most) = ("1".to_string(), most.to_string());
        let hint = format!("count the modules of one processor, {least} to {most}");
        let what = "the count of a row".to_string();
        let problem = Problem::Range {
            what,
            least,
            most,
            found: count.to_string(),
        };
        reading.report(Fault::new(fill.count.span, problem).hint(hint));
    } else if fill.slots.len() != count
        && !(fill.slots.is_empty() && verdict == CountVerdict::NotSupported)
    {
        let text = format!(
            "the row is for {count} modules, but names {} slots",
            fill.slots.len()
        );
        let hint = "name as many slots as the count; only a count that is not-supported may leave them out";
        reading.report(Fault::contradiction(fill.count.span, text).hint(hint));
    }
    ChartRow {
        count: fill.count.value,
        slots,
        verdict,
        why: fill.why.clone(),
    }
}
