//! Population charts: labels into addresses, counts against slots.

use super::board::{Labels, in_every_socket, offered};
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::reading::{Breaking, Citing, Reading};
use crate::shape::chart::{ChartTable, Fill};
use crate::shape::words::VerdictWord;
use crate::text::{self, Span};
use domain::Mode;
use domain::board::{Board, Chart, ChartRow, CountVerdict, LocalSlot};

/// The charts of a board whose sockets, slots and modes are known.
pub(crate) fn charts(
    reading: &mut Reading,
    citing: &Citing<'_>,
    tables: &[At<ChartTable>],
    board: &Board,
    labels: &Labels,
) -> Vec<Chart> {
    tables.iter().filter_map(|table| chart(reading, citing, table, board, labels)).collect()
}

/// Whose labels a chart uses.
struct Names<'a> {
    board: &'a Board,
    labels: &'a Labels,
    socket: u8,
    /// Is the chart for that socket alone?
    alone: bool,
}

impl<'a> Names<'a> {
    fn of(reading: &mut Reading, table: &ChartTable, board: &'a Board, labels: &'a Labels) -> Option<Self> {
        let Some(name) = &table.socket else {
            return Some(Self { board, labels, socket: 0, alone: false });
        };
        let found = board.sockets.iter().position(|s| s.name.eq_ignore_ascii_case(name.trim()));
        if found.is_none() {
            reading.unknown(name, "socket", board.sockets.iter().map(|s| s.name.as_str()));
        }
        found.map(|number| Self { board, labels, socket: number as u8, alone: true })
    }
    fn socket_name(&self, socket: u8) -> &str {
        self.board.sockets.get(usize::from(socket)).map_or("", |s| &s.name)
    }
    /// The address of a slot by its label.
    fn slot(&self, reading: &mut Reading, label: &At<String>) -> Option<LocalSlot> {
        let address = self.board.slot(self.labels.find(reading, label)?).address;
        if address.socket != self.socket {
            let (own, other) = (self.socket_name(self.socket), self.socket_name(address.socket));
            let label_text = label.trim();
            let text = format!("slot `{label_text}` is of socket `{other}`, but the chart names the slots of `{own}`");
            let hint = "name the first socket's slots, which stand for those of the others, or write socket = \"name\"";
            reading.report(Fault::contradiction(label.span, text).hint(hint));
            return None;
        }
        let local = address.local();
        (self.alone || in_every_socket(reading, self.board, label, local)).then_some(local)
    }
}

fn chart(
    reading: &mut Reading,
    citing: &Citing<'_>,
    table: &At<ChartTable>,
    board: &Board,
    labels: &Labels,
) -> Option<Chart> {
    let mode = table.mode.as_ref();
    let mode = mode.map_or(Some(Mode::independent()), |m| offered(reading, board, m))?;
    let names = Names::of(reading, table, board, labels)?;
    let ranks = table.ranks.as_ref();
    let ranks = ranks.and_then(|r| reading.ranged(r, "the number of package ranks", 1, 8));
    if table.order.is_empty() && table.fill.is_empty() {
        let fault = Fault::contradiction(table.span, "a chart without an order and without a row");
        reading.report(fault.hint("add `order = [ … ]`, or a [[chart.fill]] for each count"));
    }
    let breaking = Breaking { severity: table.severity, outcome: table.outcome, ..Breaking::default() };
    let (severity, outcome) = breaking.values();
    let (source, mark) = citing.cite(reading, table.span, table.source.as_ref(), table.mark);
    Some(Chart {
        mode,
        socket: names.alone.then_some(names.socket),
        ranks,
        order: slots(reading, &table.order, &names),
        rows: rows(reading, &table.fill, &names),
        closed: table.closed,
        severity,
        outcome,
        source,
        mark,
    })
}

fn rows(reading: &mut Reading, fills: &[Fill], names: &Names<'_>) -> Vec<ChartRow> {
    let most = names.board.sockets[usize::from(names.socket)].slots().count();
    let mut rows: Vec<ChartRow> = Vec::new();
    for fill in fills {
        if let Some(first) = rows.iter().position(|r| r.count == fill.count.value) {
            reading.twice("count", &fill.count.to_string(), fills[first].count.span, fill.count.span);
        }
        let filled = slots(reading, &fill.slots, names);
        rows.push(row(reading, fill, filled, most));
    }
    rows
}

/// Labels into addresses, each once.
fn slots(reading: &mut Reading, labels: &[At<String>], names: &Names<'_>) -> Vec<LocalSlot> {
    let mut out: Vec<(LocalSlot, Span)> = Vec::new();
    for label in labels {
        let Some(local) = names.slot(reading, label) else {
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
    let verdict = fill.verdict.map_or(CountVerdict::Supported, VerdictWord::value);
    let count = usize::from(fill.count.value);
    if count == 0 || count > most {
        let (least, most) = ("1".to_string(), most.to_string());
        let hint = format!("count the modules of one processor, {least} to {most}");
        let what = "the count of a row".to_string();
        let problem = Problem::Range { what, least, most, found: count.to_string() };
        reading.report(Fault::new(fill.count.span, problem).hint(hint));
    } else if fill.slots.len() != count && !(fill.slots.is_empty() && verdict == CountVerdict::NotSupported) {
        let (wanted, named) = (text::count(count, "module"), text::count(fill.slots.len(), "slot"));
        let text = format!("the row is for {wanted}, but names {named}");
        let hint = "name as many slots as the count; only a count that is not-supported may leave them out";
        reading.report(Fault::contradiction(fill.count.span, text).hint(hint));
    }
    ChartRow { count: fill.count.value, slots, verdict, why: fill.why.clone() }
}
