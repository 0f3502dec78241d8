//! The drawing of a board: every slot once, sockets by name.

use super::board::Labels;
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::nearest::suggest;
use crate::reading::Reading;
use crate::shape::chart::LayoutTable;
use crate::shape::words::AirWord;
use crate::text::{Span, shown};
use domain::board::{Board, Layout, RowItem};

/// The drawing of a board whose slots are known.
pub(crate) fn layout(reading: &mut Reading, table: &LayoutTable, board: &Board, labels: &Labels) -> Layout {
    let mut rows = Vec::new();
    let mut drawn: Vec<(RowItem, Span)> = Vec::new();
    for row in &table.rows {
        let mut items = Vec::new();
        for label in row {
            let Some(item) = item(reading, label, board, labels) else {
                continue;
            };
            let first = drawn.iter().find(|(i, _)| *i == item && item != RowItem::Gap).map(|(_, s)| *s);
            match first {
                Some(first) => reading.twice("place on the drawing of", label, first, label.span),
                None => drawn.push((item.clone(), label.span)),
            }
            items.push(item);
        }
        rows.push(items);
    }
    let here = table.rows.first().and_then(|row| row.first()).map(|l| l.span);
    if let Some(span) = here {
        let missing: Vec<&str> = board
            .indexed()
            .filter(|(i, _)| !drawn.iter().any(|(item, _)| *item == RowItem::Slot(*i)))
            .map(|(_, s)| s.label.as_str())
            .collect();
        if !missing.is_empty() && reading.is_clean() {
            let text = format!("the drawing lacks slot `{}`{}", shown(missing[0]), more(missing.len() - 1));
            reading.report(
                Fault::contradiction(span, text).hint("put every slot into one of the rows, or leave [layout] out"),
            );
        }
    }
    Layout { rows, air_front_to_back: table.air.is_none_or(AirWord::value) }
}

fn more(n: usize) -> String {
    if n == 0 { String::new() } else { format!(" and {n} more") }
}

fn item(reading: &mut Reading, label: &At<String>, board: &Board, labels: &Labels) -> Option<RowItem> {
    let text = label.trim();
    if text.is_empty() {
        return Some(RowItem::Gap);
    }
    let Some(name) = text.strip_prefix('#') else {
        return labels.find(reading, label).map(RowItem::Slot);
    };
    let found = board.sockets.iter().position(|s| s.name.eq_ignore_ascii_case(name));
    if found.is_none() {
        let problem = Problem::UnknownName { what: "socket", name: shown(name) };
        let hint = suggest(name, board.sockets.iter().map(|s| s.name.as_str()));
        reading.report(Fault::new(label.span, problem).hint(hint));
    }
    found.map(|n| RowItem::Socket(n as u8))
}
