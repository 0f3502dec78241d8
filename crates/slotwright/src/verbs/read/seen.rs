//! What a machine reported, in words for every face: its head, its slots, its error counters.

use domain::snapshot::{ErrorController, ErrorCounts, SeenModule, SeenProcessor, SeenRate, SeenSlot, SlotState};
use domain::{Capacity, Kind, Snapshot};

/// A slot in words; what was not told is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SlotWords {
    /// Its name, or its handle where it has none.
    pub name: String,
    pub bank: String,
    /// The module, or why there is none.
    pub module: String,
    /// Rated and running rate in MT/s.
    pub rated: String,
    pub running: String,
    pub maker: String,
    pub part_number: String,
    pub serial: String,
    pub is_filled: bool,
    /// Does the module keep its contents without power?
    pub is_nonvolatile: bool,
}

/// Name and value, row by row.
pub fn head(snapshot: &Snapshot) -> Vec<(&'static str, String)> {
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
    rows
}

fn processor(processor: &SeenProcessor) -> String {
    match (&processor.model, processor.present) {
        (Some(model), _) => format!("{} {}", processor.name, model.trim()),
        (None, Some(false)) => format!("{} empty", processor.name),
        (None, _) => processor.name.clone().into(),
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

/// A slot.
pub fn slot(slot: &SeenSlot) -> SlotWords {
    let name = if slot.name.trim().is_empty() { slot.handle.clone() } else { slot.name.trim().into() };
    let bank = slot.bank.clone().unwrap_or_default().trim().to_string();
    let Some(module) = &slot.module else {
        return SlotWords { name: name.into(), bank, module: state(slot.state).to_string(), ..SlotWords::default() };
    };
    let reading = &module.reading;
    let rate = |seen: Option<SeenRate>| seen.map_or_else(String::new, |r| r.rate.mts().to_string());
    let mut what = what(module);
    if slot.state == SlotState::Disabled {
        what.push_str(", put out of use");
    }
    SlotWords {
        name: name.into(),
        bank,
        module: what,
        rated: rate(module.rated),
        running: rate(module.running),
        maker: reading.maker.as_ref().and_then(|m| m.name.clone()).unwrap_or_default().into(),
        part_number: reading.part_number.clone().unwrap_or_default().into(),
        serial: reading.serial.clone().unwrap_or_default().into(),
        is_filled: true,
        is_nonvolatile: module.nonvolatile || reading.kind == Some(Kind::Nonvolatile),
    }
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

/// What is said where no driver counts errors.
pub const NO_DRIVER: &str = "no driver counts errors here, which is not the same as no errors";

/// The error counters: controller, module, corrected, uncorrected; none where none were read.
pub fn counters(errors: &ErrorCounts) -> Vec<[String; 4]> {
    match errors {
        ErrorCounts::NotRead | ErrorCounts::NoDriver => Vec::new(),
        ErrorCounts::Read(controllers) => controllers.iter().flat_map(controller).collect(),
    }
}

fn controller(controller: &ErrorController) -> Vec<[String; 4]> {
    let number = |n: Option<u64>| n.map_or_else(|| "not told".to_string(), |n| n.to_string());
    let name = format!("mc{}", controller.index);
    // A count says little without the time that it took.
    let all = controller.seconds.map_or_else(|| "all".to_string(), |s| format!("all, counted for {s} s"));
    let mut rows = vec![[name.clone(), all, number(controller.corrected), number(controller.uncorrected)]];
    for module in &controller.modules {
        let place: Vec<String> = module.location.iter().map(|(layer, n)| format!("{layer} {n}")).collect();
        let folder = format!("{}{}", if module.by_rank { "rank" } else { "dimm" }, module.index);
        let told = module.label.clone().filter(|l| !l.trim().is_empty());
        let label = told.unwrap_or_else(|| if place.is_empty() { folder } else { place.join(" ") });
        rows.push([name.clone(), label, number(module.corrected), number(module.uncorrected)]);
    }
    if controller.corrected_unplaced.is_some() || controller.uncorrected_unplaced.is_some() {
        let [corrected, uncorrected] = [controller.corrected_unplaced, controller.uncorrected_unplaced].map(number);
        rows.push([name, "no module named".to_string(), corrected, uncorrected]);
    }
    rows
}
