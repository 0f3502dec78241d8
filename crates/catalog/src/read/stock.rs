//! Stock files into lots.

use super::amounts;
use super::build::Task;
use crate::error::Fault;
use crate::reading::Reading;
use crate::shape::task::{LotEntry, StockFile};
use crate::shape::words::ConditionWord;
use crate::text::Span;
use domain::money::MoneyError;
use domain::{Condition, Lot, Money};

/// An amount with its place, for telling where two currencies meet.
pub(crate) type Priced = (Money, Span);

/// The lots of a stock file, with the place of the first price.
pub(crate) fn stock(
    reading: &mut Reading,
    task: &mut Task<'_>,
    name: &str,
    bytes: &[u8],
) -> Option<(Vec<Lot>, Option<Priced>)> {
    let root = reading.parse(name, bytes)?;
    reading.check_format(&root, true);
    let file: StockFile = reading.decode(&root)?;
    let mut lots = Vec::new();
    let mut first: Option<Priced> = None;
    for entry in &file.lot {
        let Some((lot, price)) = lot(reading, task, entry) else {
            continue;
        };
        match first {
            Some(first) => one_currency(reading, first, price),
            None => first = Some(price),
        }
        lots.push(lot);
    }
    Some((lots, first))
}

fn lot(reading: &mut Reading, task: &mut Task<'_>, entry: &LotEntry) -> Option<(Lot, Priced)> {
    let module = task.module(reading, &entry.module);
    let each = amounts::money(reading, &entry.each);
    let count = match &entry.count {
        Some(count) => Some(reading.ranged(count, "the count of a lot", 0, 1_000_000)?),
        None => None,
    };
    let (module, each) = (module?, each?);
    let condition = entry.condition.map_or(Condition::Used, ConditionWord::value);
    Some((Lot { module, condition, each, count, bin: entry.bin.clone() }, (each, entry.each.span)))
}

/// Reports two amounts that can't be added.
pub(crate) fn one_currency(reading: &mut Reading, first: Priced, second: Priced) {
    let (left, right) = (first.0.currency(), second.0.currency());
    if left != right {
        let fault = Fault::money(second.1, MoneyError::Mixed { left: right, right: left });
        reading.report(fault.see(first.1, format!("an amount in {left}")));
    }
}
