//! Need files into needs.

use super::amounts;
use super::build::Task;
use super::lots::{lots, one_budget};
use crate::decode::At;
use crate::error::Fault;
use crate::reading::Reading;
use crate::shape::Either;
use crate::shape::task::NeedFile;
use crate::text::Span;
use domain::need::{CapacityWish, Keep};
use domain::{Bandwidth, Capacity, DataRate, Lot, Money, Need};

/// The need that a file describes.
pub(crate) fn need(reading: &mut Reading, task: &mut Task<'_>) -> Option<Need> {
    let root = reading.parse(&task.input.name, &task.input.bytes)?;
    reading.check_format(&root, false);
    let file: NeedFile = reading.decode(&root)?;
    let board = task.board(reading, &file.board)?;
    let processors = task.processors(reading, &file.processors, &board);
    let mode = task.mode(reading, file.mode.as_ref(), &board);
    let numa = task.numa(reading, file.numa.as_ref(), processors.as_deref().unwrap_or_default());
    let installed = task.slots(reading, &file.installed, &board);
    let loose = file.loose.iter().filter_map(|name| task.module(reading, name)).collect();
    let lots = priced(reading, task, &file);
    let most = u16::try_from(board.slots.len()).unwrap_or(u16::MAX);
    let free_slots = file.free_slots.as_ref();
    let free_slots = free_slots.and_then(|f| reading.ranged(f, "the slots to leave empty", 0, most));
    let machines = file.machines.as_ref();
    let machines = machines.and_then(|m| reading.ranged(m, "the number of machines", 1, 10_000));
    let firmware = file.firmware.as_ref();
    let firmware = firmware.and_then(|f| reading.name(f, "the firmware level"));
    let need = Need {
        processors: processors?,
        mode: mode?,
        numa,
        firmware,
        capacity: capacity(reading, &file),
        budget: lots.1,
        bandwidth_least: bandwidth(reading, &file),
        rate_least: rate(reading, &file),
        free_slots: free_slots.unwrap_or(0),
        machines: machines.unwrap_or(1),
        installed,
        loose,
        keep: if file.keep.unwrap_or(true) { Keep::All } else { Keep::Any },
        lots: lots.0,
        board,
    };
    asks(reading, &file, &need);
    Some(need)
}

/// Reports a need without a wish.
fn asks(reading: &mut Reading, file: &NeedFile, need: &Need) {
    let wished = need.capacity != CapacityWish::default() || need.bandwidth_least.is_some();
    if !wished && need.budget.is_none() && reading.is_clean() {
        let fault = Fault::contradiction(file.board.span, "the need asks for nothing");
        reading.report(fault.hint("add `capacity`, `about`, `bandwidth` or `budget`"));
    }
}

/// What can be had, and the budget, in one currency.
fn priced(reading: &mut Reading, task: &mut Task<'_>, file: &NeedFile) -> (Vec<Lot>, Option<Money>) {
    let budget = file.budget.as_ref();
    let budget = budget.and_then(|b| Some((amounts::money(reading, b)?, b.span)));
    let (lots, price) = lots(reading, task, file.modules.as_ref());
    if let (Some(price), Some(budget)) = (price, budget) {
        one_budget(reading, price, budget);
    }
    (lots, budget.map(|(money, _)| money))
}

fn capacity(reading: &mut Reading, file: &NeedFile) -> CapacityWish {
    let amount = |reading: &mut Reading, at: &Option<At<String>>| -> Option<(Capacity, Span)> {
        at.as_ref().and_then(|text| Some((amounts::capacity(reading, text)?, text.span)))
    };
    let mut about = amount(reading, &file.about);
    let (mut least, mut most) = (None, None);
    match file.capacity.as_ref().map(|c| (&c.value, c.span)) {
        None => {}
        Some((Either::Bare(text), span)) => least = amount(reading, &Some(At { value: text.clone(), span })),
        Some((Either::Table(table), _)) => {
            least = amount(reading, &table.least);
            most = amount(reading, &table.most);
            let second = amount(reading, &table.about);
            if let (Some(first), Some(second)) = (about, second) {
                reading.twice("wish", "about", first.1, second.1);
            }
            about = about.or(second);
        }
    }
    if let (Some(least), Some(most)) = (least, most)
        && least.0 > most.0
    {
        let text = format!("at least {} and at most {}", least.0, most.0);
        let fault = Fault::contradiction(least.1, text).see(most.1, "the most");
        reading.report(fault.hint("swap the two, or widen the range"));
    }
    if let (Some(about), Some(bound)) = (about, least.or(most)) {
        let fault = Fault::contradiction(about.1, "`about` beside a least or a most").see(bound.1, "the bound");
        reading.report(fault.hint("give `about` alone, or a least and a most"));
    }
    CapacityWish { least: least.map(|l| l.0), most: most.map(|m| m.0), about: about.map(|a| a.0) }
}

fn bandwidth(reading: &mut Reading, file: &NeedFile) -> Option<Bandwidth> {
    let at = file.bandwidth.as_ref()?;
    let (text, span) = match &at.value {
        Either::Bare(text) => (text, at.span),
        Either::Table(table) => (&table.least.value, table.least.span),
    };
    reading.keep(Bandwidth::parse(text).map_err(|e| Fault::quantity(span, e)))
}

fn rate(reading: &mut Reading, file: &NeedFile) -> Option<DataRate> {
    let at = file.rate.as_ref()?;
    match &at.value {
        Either::Bare(rate) => amounts::rate(reading, &At { value: rate.clone(), span: at.span }),
        Either::Table(table) => amounts::rate(reading, &table.least),
    }
}
