//! A price list as a table: every row that is wrong is told at once.

use super::offer::Modules;
use crate::failure::Failure;
use crate::verbs::read;
use crate::world::Data;
use csv::{Position, StringRecord};
use domain::quote::Price;
use domain::{Condition, Money};
use std::collections::BTreeMap;

/// The columns; the last may be left out.
pub const COLUMNS: [&str; 4] = ["label", "condition", "price", "supplier"];

/// Reads a table.
///
/// # Errors
/// A column is missing, or rows are wrong: each with its line.
pub fn read(data: &Data, name: &str, text: &str) -> Result<Vec<Price>, Failure> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(read::delimiter(text.lines().next().unwrap_or_default()))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let unread = |e: csv::Error| Failure::Shop {
        why: format!("`{name}`: {e}"),
        hint: "save it as a table of text in UTF-8".to_string(),
    };
    let header = reader.headers().map_err(unread)?.clone();
    if let Some(column) = COLUMNS[..3].iter().find(|c| !header.iter().any(|h| h.eq_ignore_ascii_case(c))) {
        let hint = format!("use {}", COLUMNS.join(", "));
        return Err(Failure::Shop { why: format!("`{name}`, line 1: there is no column `{column}`"), hint });
    }
    let mut rows = Rows { header, known: Modules::new(data.library.catalog()), first: None, seen: BTreeMap::new() };
    let (mut prices, mut faults) = (Vec::new(), Vec::new());
    for record in reader.records() {
        let record = record.map_err(unread)?;
        let line = record.position().map_or(0, Position::line);
        match rows.price(&record, line) {
            Ok(price) => prices.push(price),
            Err(why) => faults.push(format!("line {line}: {why}")),
        }
    }
    if faults.is_empty() {
        return Ok(prices);
    }
    let why = format!("`{name}`: no price was taken in\n  {}", faults.join("\n  "));
    Err(Failure::Shop { why, hint: "mend these rows and give the whole table again".to_string() })
}

/// What was read so far.
struct Rows<'a> {
    header: StringRecord,
    known: Modules<'a>,
    /// The first price and its line: the others are in its currency.
    first: Option<(Money, u64)>,
    /// The line of each module that is priced.
    seen: BTreeMap<(String, Condition, String), u64>,
}

impl Rows<'_> {
    fn price(&mut self, record: &StringRecord, line: u64) -> Result<Price, String> {
        if record.len() != self.header.len() {
            return Err(format!("it has {} cells, and line 1 has {}", record.len(), self.header.len()));
        }
        let cell = |name: &str| {
            let at = self.header.iter().position(|c| c.eq_ignore_ascii_case(name));
            at.and_then(|i| record.get(i)).unwrap_or_default()
        };
        let [label, condition, each, supplier] = COLUMNS.map(cell);
        let module =
            self.known.get(label).ok_or_else(|| format!("`{label}` is no module of the catalogue, and no label"))?;
        let condition = Condition::parse(condition).ok_or_else(|| format!("`{condition}` is neither new nor used"))?;
        let each = Money::parse(each).map_err(|e| format!("{e} ({})", e.hint()))?;
        if each.minor() < 0 {
            return Err(format!("`{each}` is less than nothing"));
        }
        let (first, at) = *self.first.get_or_insert((each, line));
        if first.currency() != each.currency() {
            return Err(format!("it is priced in {}, and line {at} in {}", each.currency(), first.currency()));
        }
        let key = (module.label.clone(), condition, supplier.to_string());
        if let Some(before) = self.seen.insert(key, line) {
            return Err(format!("`{}`, {condition}, is priced twice: line {before} has it too", module.label));
        }
        let supplier = Some(supplier.to_string()).filter(|s| !s.is_empty());
        Ok(Price { label: module.label.clone(), condition, each, supplier })
    }
}
