//! What a machine reports: a table by slot, the sums, and notes.

use super::module::read_as;
use super::{findings, notes};
use crate::cli::judged::section;
use crate::cli::paint::Paint;
use crate::cli::table::{facts, table};
use crate::verbs::read::ItemView;
use domain::snapshot::{ErrorController, ErrorCounts, SeenModule, SeenProcessor, SeenSlot, SlotState};
use domain::{Capacity, Kind, Snapshot};

/// Everything that is said of a machine.
pub fn whole(item: &ItemView, paint: Paint) -> String {
    let Some(snapshot) = &item.machine else { return String::new() };
    let mut text = format!("{}: {}\n{}", paint.strong(&read_as(&item.input)), item.from, head(snapshot));
    if !snapshot.slots.is_empty() {
        text.push_str(&section("slots", &slots(snapshot), paint));
    }
    text.push_str(&section("error counters", &counters(&snapshot.errors), paint));
    text.push_str(&section("findings", &findings(&item.findings, paint), paint));
    text.push_str(&section("notes", &notes(&item.notes), paint));
    text
}

fn head(snapshot: &Snapshot) -> String {
    let mut rows = Vec::new();
    rows.extend(snapshot.system.clone().map(|s| ("machine", s)));
    rows.extend(snapshot.firmware.clone().map(|f| ("firmware", f)));
    rows.extend(snapshot.taken.clone().map(|t| ("taken", t)));
    let processors: Vec<String> = snapshot.processors.iter().map(processor).collect();
    if !processors.is_empty() {
        rows.push(("processors", processors.join("; ")));
    }
    if !snapshot.slots.is_empty() {
        rows.push(("memory", memory(snapshot)));
    }
    facts(&rows)
}

fn processor(processor: &SeenProcessor) -> String {
    match (&processor.model, processor.present) {
        (Some(model), _) => format!("{} {}", processor.name, model.trim()),
        (None, Some(false)) => format!("{} empty", processor.name),
        (None, _) => processor.name.clone(),
    }
}

fn memory(snapshot: &Snapshot) -> String {
    let filled = snapshot.memory_slots().filter(|s| s.module.is_some()).count();
    let all = snapshot.memory_slots().count();
    let mut words = format!("{} in {filled} of {all} slots", snapshot.installed());
    let apart: Vec<&SeenModule> =
        snapshot.memory_slots().filter_map(|s| s.module.as_ref()).filter(|m| m.nonvolatile).collect();
    if !apart.is_empty() {
        let capacity: Capacity = apart.iter().filter_map(|m| m.reading.capacity).sum();
        words.push_str(&format!("; {capacity} non-volatile, not counted: it may hold a customer's data"));
    }
    if let Some(total) = snapshot.total.filter(|t| *t != snapshot.installed()) {
        words.push_str(&format!("; the machine itself states {total}"));
    }
    words
}

fn slots(snapshot: &Snapshot) -> String {
    let bank = snapshot.slots.iter().any(|s| s.bank.as_ref().is_some_and(|b| !b.trim().is_empty()));
    let mut head = vec!["slot"];
    if bank {
        head.push("bank");
    }
    head.extend(["module", "rated", "runs at", "maker", "part number", "serial"]);
    let rows = snapshot.slots.iter().map(|slot| row(slot, bank)).collect();
    let rate = usize::from(bank) + 2;
    table(&head, &[rate, rate + 1], rows)
}

fn row(slot: &SeenSlot, bank: bool) -> Vec<String> {
    let name = if slot.name.trim().is_empty() { slot.handle.clone() } else { slot.name.trim().to_string() };
    let mut cells = vec![name];
    if bank {
        cells.push(slot.bank.clone().unwrap_or_default().trim().to_string());
    }
    let Some(module) = &slot.module else {
        cells.push(state(slot.state).to_string());
        cells.resize(cells.len() + 5, String::new());
        return cells;
    };
    let reading = &module.reading;
    let rate = |seen: Option<domain::snapshot::SeenRate>| seen.map_or_else(String::new, |r| r.rate.mts().to_string());
    let mut what = what(module);
    if slot.state == SlotState::Disabled {
        what.push_str(", put out of use");
    }
    cells.push(what);
    cells.push(rate(module.rated));
    cells.push(rate(module.running));
    cells.push(reading.maker.as_ref().and_then(|m| m.name.clone()).unwrap_or_default());
    cells.push(reading.part_number.clone().unwrap_or_default());
    cells.push(reading.serial.clone().unwrap_or_default());
    cells
}

fn what(module: &SeenModule) -> String {
    let reading = &module.reading;
    let mut words = Vec::new();
    words.extend(reading.capacity.map(|c| c.to_string()));
    if let (Some(ranks), Some(width)) = (reading.package_ranks, reading.device_width) {
        words.push(format!("{ranks}Rx{width}"));
    } else {
        words.extend(reading.package_ranks.map(|r| format!("{r} ranks")));
    }
    words.extend(reading.generation.map(|g| g.to_string()));
    words.extend(reading.kind.map(|k| k.to_string()));
    if module.nonvolatile && reading.kind != Some(Kind::Nonvolatile) {
        words.push("non-volatile".to_string());
    }
    if words.is_empty() { "a module".to_string() } else { words.join(" ") }
}

fn state(state: SlotState) -> &'static str {
    match state {
        SlotState::Empty => "empty",
        SlotState::Filled => "filled",
        SlotState::Disabled => "put out of use",
        SlotState::NotMemory => "no main memory",
        SlotState::Unknown => "not told",
    }
}

fn counters(errors: &ErrorCounts) -> String {
    match errors {
        ErrorCounts::NotRead => String::new(),
        ErrorCounts::NoDriver => "  no driver counts errors here, which is not the same as no errors\n".to_string(),
        ErrorCounts::Read(controllers) => {
            let rows = controllers.iter().flat_map(controller).collect();
            table(&["controller", "module", "corrected", "uncorrected"], &[2, 3], rows)
        }
    }
}

fn controller(controller: &ErrorController) -> Vec<Vec<String>> {
    let number = |n: Option<u64>| n.map_or_else(|| "not told".to_string(), |n| n.to_string());
    let name = format!("mc{}", controller.index);
    let mut rows =
        vec![vec![name.clone(), "all".to_string(), number(controller.corrected), number(controller.uncorrected)]];
    for module in &controller.modules {
        let place: Vec<String> = module.location.iter().map(|(layer, n)| format!("{layer} {n}")).collect();
        let label = module.label.clone().filter(|l| !l.trim().is_empty()).unwrap_or_else(|| place.join(" "));
        rows.push(vec![name.clone(), label, number(module.corrected), number(module.uncorrected)]);
    }
    if controller.corrected_unplaced.is_some() || controller.uncorrected_unplaced.is_some() {
        let cells = [number(controller.corrected_unplaced), number(controller.uncorrected_unplaced)];
        rows.push([vec![name, "no module named".to_string()], cells.to_vec()].concat());
    }
    rows
}
