//! Errors gathered by the module that they point to, the worst first.

use super::bucket::{Setting, Threshold, overflow};
use domain::snapshot::{ErrorCounts, ErrorModule, SeenSlot};
use domain::{Capacity, ErrorEvent, Gravity, Snapshot};
use std::collections::BTreeMap;

/// How surely the errors point to this module.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sureness {
    /// The record names the handle of its slot, and the machine's report has that slot.
    Handle,
    /// The record, or the kernel's counter, bears a name.
    Named,
    /// The address lies in the range of this slot alone.
    Range,
    /// Only numbers, as the record counts them.
    Numbers,
    /// Nothing places it.
    Nowhere,
}

impl Sureness {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Handle => "by the handle of its slot",
            Self::Named => "by a name that the record bears",
            Self::Range => "by the address ranges that the firmware tells",
            Self::Numbers => "by numbers as the record counts them: look into the board's manual",
            Self::Nowhere => "nothing in the record says where",
        }
    }
}

/// A module that errors point to.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The slot's locator, or what the record has in its place.
    pub module: String,
    pub sureness: Sureness,
    pub corrected: u64,
    pub uncorrected: u64,
    /// The threshold was reached, or data was lost.
    pub replace: bool,
    /// Cells that erred more than once: a permanent fault.
    pub repeated: Vec<String>,
    /// What was seen, in sentences.
    pub evidence: Vec<String>,
    pub advice: String,
}

#[derive(Default)]
struct Heap<'a> {
    events: Vec<&'a ErrorEvent>,
    counted: Option<&'a ErrorModule>,
    capacity: Option<Capacity>,
    shared: bool,
}

/// Gathers events and the kernel's counters by module. `machine` gives handles and ranges their names.
pub fn suspects(events: &[ErrorEvent], machine: Option<&Snapshot>, setting: Setting) -> Vec<Suspect> {
    let mut heaps: BTreeMap<(String, Sureness), Heap<'_>> = BTreeMap::new();
    for event in events.iter().filter(|e| e.gravity != Gravity::Notice) {
        let (name, sureness, capacity) = place(event, machine);
        let heap = heaps.entry((name, sureness)).or_default();
        heap.capacity = capacity;
        heap.events.push(event);
    }
    counters(machine, &mut heaps);
    let erring = heaps.len();
    let mut all: Vec<Suspect> =
        heaps.into_iter().map(|((name, sureness), heap)| suspect(name, sureness, &heap, setting, erring)).collect();
    all.sort_by_key(|s| (!s.replace, std::cmp::Reverse((s.uncorrected, s.corrected))));
    all
}

/// The kernel's counters that are not zero.
fn counters<'a>(machine: Option<&'a Snapshot>, heaps: &mut BTreeMap<(String, Sureness), Heap<'a>>) {
    let Some(ErrorCounts::Read(controllers)) = machine.map(|m| &m.errors) else { return };
    for controller in controllers {
        for module in &controller.modules {
            if module.corrected.unwrap_or(0) + module.uncorrected.unwrap_or(0) == 0 {
                continue;
            }
            let layers: Vec<String> = module.location.iter().map(|(l, n)| format!("{l} {n}")).collect();
            let numbers = format!("controller {} {}", controller.index, layers.join(" "));
            let (name, sureness) = match module.label.as_deref().filter(|l| !l.trim().is_empty()) {
                Some(label) => (label.trim().to_string(), Sureness::Named),
                None => (numbers.trim().to_string(), Sureness::Numbers),
            };
            let known = [Sureness::Handle, Sureness::Named, Sureness::Range].map(|s| (name.clone(), s));
            let key = known.into_iter().find(|k| heaps.contains_key(k)).unwrap_or((name, sureness));
            let heap = heaps.entry(key).or_default();
            heap.counted = Some(module);
            heap.capacity = heap.capacity.or(module.size);
            heap.shared = controller.corrected_unplaced.unwrap_or(0) > 0;
        }
    }
}

fn place(event: &ErrorEvent, machine: Option<&Snapshot>) -> (String, Sureness, Option<Capacity>) {
    let at = &event.place;
    let size = |slot: &SeenSlot| slot.module.as_ref().and_then(|m| m.reading.capacity);
    let name = |slot: &SeenSlot| slot.name.trim().to_string();
    if let (Some(handle), Some(machine)) = (at.handle, machine) {
        let written = format!("0x{handle:04X}");
        if let Some(slot) = machine.slots.iter().find(|s| s.handle.eq_ignore_ascii_case(&written)) {
            return (name(slot), Sureness::Handle, size(slot));
        }
    }
    if let Some(name) = &at.name {
        return (name.clone(), Sureness::Named, None);
    }
    if let (Some(address), Some(machine)) = (at.address, machine)
        && let Some(slot) = by_address(machine, address)
    {
        return (name(slot), Sureness::Range, size(slot));
    }
    let numbers = [
        ("handle", at.handle.map(u32::from)),
        ("node", at.node.map(u32::from)),
        ("card", at.card.map(u32::from)),
        ("sensor", at.sensor.map(u32::from)),
        ("module", at.module.map(u32::from)),
    ];
    let told: Vec<String> = numbers.into_iter().filter_map(|(word, n)| Some(format!("{word} {}", n?))).collect();
    if told.is_empty() {
        return ("unknown".to_string(), Sureness::Nowhere, None);
    }
    (told.join(", "), Sureness::Numbers, None)
}

/// The one slot whose ranges (SMBIOS type 20) hold an address; `None` where several share it, as with interleaving.
pub fn by_address(machine: &Snapshot, address: u64) -> Option<&SeenSlot> {
    let mut holders = machine.ranges.iter().filter(|r| (r.first..=r.last).contains(&address) && r.slot.is_some());
    let slot = holders.next()?.slot.as_ref()?;
    if holders.any(|r| r.slot.as_ref() != Some(slot)) {
        return None;
    }
    machine.slots.iter().find(|s| s.handle == *slot)
}

fn suspect(name: String, sureness: Sureness, heap: &Heap<'_>, setting: Setting, erring: usize) -> Suspect {
    let logged = |lost: bool| heap.events.iter().filter(|e| e.gravity.is_lost() == lost).count() as u64;
    let counted = |of: fn(&ErrorModule) -> Option<u64>| heap.counted.and_then(of).unwrap_or(0);
    // The same errors may stand in a log and in the kernel's counters: the larger figure, not the sum.
    let corrected = logged(false).max(counted(|m| m.corrected));
    let uncorrected = logged(true).max(counted(|m| m.uncorrected));
    let (full, mut evidence) = filled(heap, setting, corrected, erring);
    if uncorrected > 0 {
        evidence.insert(0, format!("uncorrected errors: {uncorrected}; data was lost or could not be trusted"));
    }
    let repeated = repeated(heap);
    if !repeated.is_empty() {
        evidence.push(format!("the same cell erred again: {}; that is a permanent fault", repeated.join("; ")));
    }
    if heap.shared {
        evidence.push("its controller counts errors that it could not place, which may be this module's".to_string());
    }
    let replace = full || uncorrected > 0 || !repeated.is_empty();
    let advice = advice(replace, sureness, erring);
    Suspect { module: name, sureness, corrected, uncorrected, replace, repeated, evidence, advice }
}

fn filled(heap: &Heap<'_>, setting: Setting, corrected: u64, erring: usize) -> (bool, Vec<String>) {
    let mut evidence = Vec::new();
    let times: Vec<u64> = heap.events.iter().filter(|e| e.gravity == Gravity::Corrected).filter_map(|e| e.at).collect();
    let most = u64::from(setting.threshold.most());
    let by_size = matches!(setting.threshold, Threshold::Leaks { per_gib: true, .. });
    let gib = heap.capacity.map_or(if by_size { 0.0 } else { 1.0 }, Capacity::gib);
    let alone = matches!(setting.threshold, Threshold::Window { alone: true, .. });
    let endless = setting.threshold.hours(gib.max(1.0)).is_infinite();
    let mut full = false;
    if corrected > 0 {
        evidence.push(format!("corrected errors: {corrected}"));
    }
    if !times.is_empty() && (!by_size || gib > 0.0) {
        let level = overflow(setting.threshold, gib, &times);
        full = level.at.is_some();
        evidence.push(format!("`{}`: {:.1} at the highest, where {most} are too many", setting.name, level.highest));
    } else if endless {
        full = corrected >= most;
    } else if corrected > 0 {
        evidence.push(format!("`{}` can't be played: the times or the size are not known", setting.name));
    }
    if full && alone && erring > 1 {
        evidence.push(format!("{} modules err, so this threshold does not hold for one of them", erring));
        full = false;
    }
    (full, evidence)
}

fn repeated(heap: &Heap<'_>) -> Vec<String> {
    let mut seen: BTreeMap<(Option<u16>, u16, u32, u16), usize> = BTreeMap::new();
    for cell in heap.events.iter().filter_map(|e| e.place.cell()) {
        *seen.entry(cell).or_default() += 1;
    }
    let words = |((rank, bank, row, column), n): ((Option<u16>, u16, u32, u16), usize)| {
        let rank = rank.map_or_else(String::new, |r| format!("rank {r} "));
        format!("{rank}bank {bank} row {row} column {column}, {n} times")
    };
    seen.into_iter().filter(|(_, n)| *n > 1).map(words).collect()
}

fn advice(replace: bool, sureness: Sureness, erring: usize) -> String {
    let found = match sureness {
        Sureness::Handle | Sureness::Named => "",
        Sureness::Range => " (in mirrored or lockstep pairs either of the two may be it)",
        _ => " once you know which slot that is",
    };
    match (replace, erring) {
        (_, 3..) => "several modules err: look at what they share first (processor seating, power, heat)".to_string(),
        (true, _) => format!("swap it with one of another channel; where the errors go with it, replace it{found}"),
        (false, _) => format!("watch it; run the exerciser and read the counters again{found}"),
    }
}
