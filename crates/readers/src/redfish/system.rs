//! One computer system → one snapshot.

use super::memory::{self, Context};
use super::parse;
use super::quirks::{Quirk, Tally};
use super::resources::{Memory, MemoryMetrics, Processor, System};
use super::walk::{Memories, Met, Processors, Walk, path_of};
use super::words::Owner;
use super::{Fetch, Unfetched, whole};
use domain::Capacity;
use domain::reading::Origin;
use domain::snapshot::{
    ArrayRole, ErrorController, ErrorCounts, ErrorModule, SeenArray, SeenProcessor, SeenSlot, SlotState, Snapshot,
};
use std::collections::BTreeMap;

/// What is gathered of a system's memory.
#[derive(Default)]
pub struct Gathered {
    pub slots: Vec<SeenSlot>,
    /// Beside each slot: its id where the name is no more than the resource's `Name`.
    ids: Vec<Option<String>>,
    /// Beside each slot: where its counters are.
    metrics: Vec<Option<String>>,
    /// Words of `ErrorCorrection`, each once.
    corrections: Vec<String>,
}

/// Processors by path.
#[derive(Default)]
struct Known {
    cpus: Vec<SeenProcessor>,
    sorts: BTreeMap<String, Owner>,
    /// Memory → the processor that lists it.
    lists: BTreeMap<String, String>,
}

/// Reads one system with its processors, memory and counters.
pub fn read<F: Fetch + ?Sized>(walk: &mut Walk<'_, F>, system: &System<'_>, path: &str) -> Snapshot {
    let mut tally = Tally::default();
    let known = processors(walk, system, &mut tally);
    let mut gathered = Gathered::default();
    let array = system.memory.0.id.said().and_then(path_of);
    if array.is_none() && system.memory.0.members.0.is_empty() {
        tally.note(path, "the system links no Memory collection");
    }
    walk.each::<Memories>(&system.memory.0, &mut tally, &mut |_, tally, met, path| match met {
        Met::Whole(memory) => gathered.take(memory, path, context(memory, path, &known, array.as_deref()), tally),
        Met::Not(why) => {
            tally.unread(path, why);
            gathered.push(memory::unread(path, Context { array: array.as_deref(), ..Context::default() }), None, None);
        }
    });
    let errors = counters(walk, &mut gathered, &mut tally);
    let words = [system.manufacturer.meant(), system.model.meant()];
    let name = words.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let total = system.memory_summary.0.total.value().filter(|gib| (0.0..=1e6).contains(gib));
    let mut snapshot = Snapshot {
        origins: vec![Origin::Redfish],
        system: (!name.is_empty()).then_some(name),
        firmware: system.bios_version.meant().map(str::to_string),
        processors: known.cpus,
        total: total.map(|gib| Capacity::from_mib((gib * 1024.0).round() as u64)),
        errors,
        ..Snapshot::default()
    };
    gathered.finish(&mut snapshot, array, path, tally);
    snapshot
}

/// A snapshot of memory resources alone, without a system around them.
pub fn loose(mut gathered: Gathered, place: &str, mut tally: Tally, array: Option<String>) -> Snapshot {
    gathered.metrics.clear();
    tally.note(place, "memory alone was given: nothing is known of the system and its processors");
    let mut snapshot = Snapshot { origins: vec![Origin::Redfish], ..Snapshot::default() };
    gathered.finish(&mut snapshot, array, place, tally);
    snapshot
}

impl Gathered {
    /// Takes one memory resource.
    pub fn take(&mut self, memory: &Memory<'_>, path: &str, context: Context<'_>, tally: &mut Tally) {
        let (slot, only_named) = memory::slot(memory, path, context, tally);
        if slot.state != SlotState::NotMemory
            && let Some(word) = memory.error_correction.said()
            && !self.corrections.iter().any(|c| c == word)
        {
            self.corrections.push(word.to_string());
        }
        let counted = matches!(slot.state, SlotState::Filled | SlotState::Disabled);
        let metrics = memory.metrics.0.id.said().filter(|_| counted).and_then(path_of);
        self.push(slot, memory.id.said().filter(|_| only_named).map(str::to_string), metrics);
    }

    /// Takes a slot that is made already.
    pub fn push(&mut self, slot: SeenSlot, id: Option<String>, metrics: Option<String>) {
        self.slots.push(slot);
        self.ids.push(id);
        self.metrics.push(metrics);
    }

    fn finish(mut self, snapshot: &mut Snapshot, array: Option<String>, place: &str, mut tally: Tally) {
        self.rename(&mut tally, place);
        let ours = self.slots.iter().filter(|s| s.state != SlotState::NotMemory).count();
        if ours > 0 {
            snapshot.arrays.push(SeenArray {
                handle: array.unwrap_or_else(|| place.to_string()).into(),
                role: ArrayRole::System,
                ecc: (!self.corrections.is_empty()).then(|| self.corrections.join(", ")),
                maximum: None,
                devices: u16::try_from(ours).ok(),
            });
        }
        snapshot.slots = self.slots;
        whole::check(snapshot, place, &mut tally);
        snapshot.notes = tally.into_notes();
    }

    /// A `Name` that several resources share names none of them: their ids do.
    fn rename(&mut self, tally: &mut Tally, place: &str) {
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for (slot, id) in self.slots.iter().zip(&self.ids) {
            if id.is_some() {
                *counts.entry(slot.name.as_str()).or_default() += 1;
            }
        }
        let shared: Vec<String> =
            counts.into_iter().filter(|(_, n)| *n > 1).map(|(name, _)| name.to_string()).collect();
        if shared.is_empty() {
            return;
        }
        for (slot, id) in self.slots.iter_mut().zip(&self.ids) {
            if let Some(id) = id.as_ref().filter(|_| shared.iter().any(|s| slot.name == *s)) {
                slot.name = id.into();
            }
        }
        tally.note(
            place,
            format!("several memory resources are named `{}`, so they go by their ids", shared.join("`, `")),
        );
    }
}

fn context<'a>(memory: &Memory<'_>, path: &str, known: &'a Known, array: Option<&'a str>) -> Context<'a> {
    let links = memory.links.0.processors.0.iter().filter_map(|l| l.id.said().and_then(path_of));
    let listed = known.lists.get(path).into_iter().cloned();
    let mut processor = None;
    let mut owner = None;
    for link in links.chain(listed) {
        match known.sorts.get_key_value(&link) {
            Some((path, Owner::Cpu)) => {
                processor = processor.or(Some(path.as_str()));
                owner = Some(Owner::Cpu);
            }
            Some((_, Owner::Other)) => owner = owner.or(Some(Owner::Other)),
            None => {}
        }
    }
    Context { array, processor, owner }
}

fn processors<F: Fetch + ?Sized>(walk: &mut Walk<'_, F>, system: &System<'_>, tally: &mut Tally) -> Known {
    let mut known = Known::default();
    walk.each::<Processors>(&system.processors.0, tally, &mut |_, tally, met, path| match met {
        Met::Whole(processor) => {
            let sort = Owner::of(processor.processor_type.said());
            known.sorts.insert(path.to_string(), sort);
            for link in &processor.links.0.memory.0 {
                if let Some(memory) = link.id.said().and_then(path_of) {
                    known.lists.entry(memory).or_insert_with(|| path.to_string());
                }
            }
            if sort == Owner::Cpu {
                known.cpus.push(cpu(processor, path, tally));
            }
        }
        Met::Not(why) => tally.unread(path, why),
    });
    known
}

fn cpu(processor: &Processor<'_>, path: &str, tally: &mut Tally) -> SeenProcessor {
    let label = processor.location.0.part_location.0.service_label.said();
    let name = processor.socket.said().or(label).or(processor.name.said()).or(processor.id.said());
    let absent = processor.status.0.state.said() == Some("Absent");
    let model = processor.model.meant().or_else(|| {
        let family = &processor.processor_id.0.effective_family;
        let places = [("Version", processor.version.meant()), ("EffectiveFamily", family.meant())];
        // A stepping or a number is short; a processor's name has words.
        let named = |text: &&str| text.len() > 12 && text.contains(' ');
        let (place, model) = places.into_iter().find_map(|(p, text)| text.filter(named).map(|t| (p, t)))?;
        tally.tell(Quirk::ModelElsewhere(place), path);
        Some(model)
    });
    let model = model.filter(|_| !absent).map(str::to_string);
    let running = processor.status.0.state.said().map(|_| true);
    SeenProcessor {
        origin: Origin::Redfish,
        handle: path.into(),
        name: name.unwrap_or("").into(),
        present: if absent { Some(false) } else { model.as_ref().map(|_| true).or(running) },
        model,
        cores: processor.total_cores.small().filter(|n| *n > 0),
    }
}

/// Counts of errors, alarms, and speeds that the resource itself does not tell.
fn counters<F: Fetch + ?Sized>(walk: &mut Walk<'_, F>, gathered: &mut Gathered, tally: &mut Tally) -> ErrorCounts {
    let mut modules = Vec::new();
    let mut failed: Option<(String, String, usize)> = None;
    for (index, (slot, path)) in gathered.slots.iter_mut().zip(&gathered.metrics).enumerate() {
        let Some(path) = path else { continue };
        let read = match walk.get(path) {
            Ok(text) => parse::owned::<MemoryMetrics>(&text).map_err(|u| super::walk::not_json(&u)),
            Err(Unfetched::Missing) => continue,
            Err(why) => Err(why.to_string()),
        };
        match read {
            Ok(metrics) => modules.extend(module(&metrics, slot, index, path, tally)),
            Err(why) => match &mut failed {
                Some((_, _, more)) => *more += 1,
                None => failed = Some((path.clone(), why, 0)),
            },
        }
    }
    if let Some((path, why, more)) = failed {
        let others = if more == 0 { String::new() } else { format!(" (and {more} more)") };
        tally.note(&path, format!("its counters could not be read: {why}{others}"));
    }
    if modules.is_empty() {
        return ErrorCounts::NotRead;
    }
    let driver = Some("Redfish MemoryMetrics".to_string());
    ErrorCounts::Read(vec![ErrorController { driver, modules, ..ErrorController::default() }])
}

fn module(
    metrics: &MemoryMetrics,
    slot: &mut SeenSlot,
    index: usize,
    path: &str,
    tally: &mut Tally,
) -> Option<ErrorModule> {
    let trips = &metrics.health_data.0.alarm_trips.0;
    let alarms = [
        (trips.address_parity_error, "address parity error"),
        (trips.corrected, "too many corrected errors"),
        (trips.uncorrected, "uncorrected errors"),
        (trips.temperature, "temperature"),
        (metrics.health_data.0.data_loss_detected, "data loss"),
    ];
    for (_, what) in alarms.into_iter().filter(|(flag, _)| flag.0 == Some(true)) {
        tally.tell(Quirk::Alarm(what), path);
    }
    if let Some(seen) = slot.module.as_mut().filter(|m| m.running.is_none())
        && let Some(raw) = metrics.speed.small()
    {
        seen.running = memory::speed(raw, seen.reading.generation, seen.reading.rate, path, tally);
    }
    let counts = [&metrics.life_time.0, &metrics.current_period.0];
    let corrected = counts.iter().find_map(|c| c.corrected.whole());
    let uncorrected = counts.iter().find_map(|c| c.uncorrected.whole());
    (corrected.is_some() || uncorrected.is_some()).then(|| ErrorModule {
        index: u32::try_from(index).unwrap_or(u32::MAX),
        label: (!slot.name.trim().is_empty()).then(|| slot.name.clone()).map(Into::into),
        corrected,
        uncorrected,
        ..ErrorModule::default()
    })
}
