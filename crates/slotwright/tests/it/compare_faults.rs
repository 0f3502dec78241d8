//! Faults planted in the reports of real machines: each is named, none is invented.

use domain::snapshot::{ReportedField, SeenModule, SeenSlot, SlotState, Snapshot};
use domain::{Capacity, DataRate, Generation};
use engine::compare::{self, Comparison, Expected, Places, What, Where};
use engine::draft::{self, Confidence};
use readers::smbios;
use std::collections::{BTreeMap, BTreeSet};

#[path = "../../../readers/tests/it/smbios_kept.rs"]
#[allow(dead_code, reason = "the raw tables are for the reader's own tests")]
mod kept;

/// A plain generator with a stated seed (Knuth's MMIX constants), so that each run plants the same faults.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

struct Machine {
    id: String,
    snapshot: Snapshot,
    places: Places,
}

/// What a fault should be told as: the word, and the slots by name.
type Told = (What, BTreeSet<String>);

fn places(snapshot: &Snapshot) -> Places {
    let draft = draft::draft(snapshot, &[]);
    let known = draft.slots.iter().filter(|s| s.confidence != Confidence::Unsure);
    let place = |s: &draft::DraftSlot| {
        Some(Where {
            socket: s.socket?.try_into().ok()?,
            controller: None,
            channel: s.channel?.try_into().ok()?,
            position: s.position.and_then(|p| p.try_into().ok()),
        })
    };
    known.filter_map(|s| Some((s.handle.as_str().into(), place(s)?))).collect()
}

fn machines() -> Vec<Machine> {
    let read = kept::machines().into_iter().map(|m| {
        let snapshot = smbios::read(&m.table.bytes()).expect("a table");
        let places = places(&snapshot);
        Machine { id: m.id, snapshot, places }
    });
    read.collect()
}

/// As the machine would report it: written as a table and read again.
fn reported(snapshot: &Snapshot) -> Snapshot {
    smbios::read(&smbios::write::write(snapshot)).expect("a written table")
}

fn compared(machine: &Machine, now: &Snapshot) -> Comparison {
    let before = Expected::snapshot(&reported(&machine.snapshot), &machine.places);
    compare::compare(&before, &reported(now), &machine.places)
}

fn filled(snapshot: &Snapshot) -> Vec<usize> {
    let slots = snapshot.slots.iter().enumerate();
    slots.filter(|(_, s)| s.state == SlotState::Filled && dram(s)).map(|(i, _)| i).collect()
}

fn dram(slot: &SeenSlot) -> bool {
    slot.module.as_ref().is_some_and(|m| !m.nonvolatile && m.reading.capacity.is_some_and(|c| c.mib() >= 1024))
}

fn name(slot: &SeenSlot) -> String {
    match (slot.name.trim(), &slot.bank) {
        ("", Some(bank)) => bank.trim().to_string(),
        (name, _) => name.to_string(),
    }
}

fn told(what: What, snapshot: &Snapshot, slots: &[usize]) -> Told {
    (what, slots.iter().map(|s| name(&snapshot.slots[*s])).collect())
}

fn empty(slot: &mut SeenSlot) {
    slot.module = None;
    slot.state = SlotState::Empty;
}

fn same(a: &SeenModule, b: &SeenModule) -> bool {
    let key = |m: &SeenModule| {
        let r = &m.reading;
        (r.capacity, r.part_number.clone().map(|p| p.trim().to_uppercase()), r.package_ranks)
    };
    let unlike_rate = a.reading.rate.zip(b.reading.rate).is_some_and(|(x, y)| x != y);
    key(a) == key(b) && !unlike_rate
}

/// Can these two be told apart by what both tell?
fn apart(a: &SeenModule, b: &SeenModule) -> bool {
    let part = |m: &SeenModule| m.reading.part_number.clone().map(|p| p.trim().to_uppercase()).filter(|p| p.len() > 3);
    let parts = part(a).zip(part(b)).is_some_and(|(x, y)| x != y && !x.starts_with(&y) && !y.starts_with(&x));
    let sizes = a.reading.capacity.zip(b.reading.capacity).is_some_and(|(x, y)| x != y);
    (parts || sizes) && !same(a, b)
}

/// Channels with more than one module, and sockets with more than one, by what the draft knows.
fn units(machine: &Machine, socket: bool) -> Vec<Vec<usize>> {
    let mut units: BTreeMap<(u8, u8), Vec<usize>> = BTreeMap::new();
    let slots = &machine.snapshot.slots;
    for i in filled(&machine.snapshot) {
        if let Some(at) = machine.places.get(&slots[i].handle) {
            units.entry((at.socket, if socket { 0 } else { at.channel })).or_default().push(i);
        }
    }
    // A socket may have slots without a known place: then what belongs to it is not known either.
    let all = filled(&machine.snapshot).len() == units.values().map(Vec::len).sum::<usize>();
    units.into_values().filter(|u| u.len() > 1 && all).collect()
}

/// Whole units of which a gone one is a part: a socket of one channel is told as the socket.
fn is_whole_socket(machine: &Machine, slots: &[usize]) -> bool {
    let socket = |i: usize| machine.places.get(&machine.snapshot.slots[i].handle).map(|a| a.socket);
    let own = slots.first().and_then(|s| socket(*s));
    filled(&machine.snapshot).into_iter().filter(|i| socket(*i) == own).count() == slots.len()
}

/// Plants one fault; `None` where this machine offers no place for it.
fn plant(machine: &Machine, now: &mut Snapshot, kind: usize, used: &mut Vec<usize>, dice: &mut Dice) -> Option<Told> {
    let before = &machine.snapshot;
    let free: Vec<usize> = filled(before).into_iter().filter(|i| !used.contains(i)).collect();
    let pick = *free.get(dice.below(free.len()))?;
    let module = |s: &mut Snapshot, i: usize| s.slots[i].module.clone();
    let told_as = match kind {
        0 => {
            empty(&mut now.slots[pick]);
            used.push(pick);
            told(What::Missing, before, &[pick])
        }
        1 => {
            let held = before.slots[pick].module.as_ref()?;
            let other =
                free.iter().copied().find(|o| before.slots[*o].module.as_ref().is_some_and(|m| apart(held, m)))?;
            (now.slots[pick].module, now.slots[other].module) = (module(now, other), module(now, pick));
            used.extend([pick, other]);
            told(What::Swapped, before, &[pick, other])
        }
        2 => {
            let to = gap(before, used, dice)?;
            (now.slots[to].module, now.slots[to].state) = (module(now, pick), SlotState::Filled);
            empty(&mut now.slots[pick]);
            used.extend([pick, to]);
            told(What::WrongSlot, before, &[pick, to])
        }
        3 => {
            let reading = &mut now.slots[pick].module.as_mut()?.reading;
            reading.capacity = reading.capacity.map(|c| Capacity::from_mib(c.mib() / 2));
            used.push(pick);
            told(What::Smaller, before, &[pick])
        }
        4 => {
            slow(now.slots[pick].module.as_mut()?)?;
            used.push(pick);
            told(What::Slower, before, &[pick])
        }
        5 => {
            let module = now.slots[pick].module.as_mut()?;
            compare_known(module.reading.part_number.as_deref())?;
            other_part(module);
            used.push(pick);
            told(What::DifferentPart, before, &[pick])
        }
        6 | 7 => {
            let units = units(machine, kind == 7);
            let unit = units.get(dice.below(units.len()))?.clone();
            if unit.iter().any(|i| used.contains(i)) {
                return None;
            }
            let whole = kind == 7 || is_whole_socket(machine, &unit);
            unit.iter().for_each(|i| empty(&mut now.slots[*i]));
            used.extend(&unit);
            told(if whole { What::SocketGone } else { What::ChannelGone }, before, &unit)
        }
        _ => {
            let to = gap(before, used, dice)?;
            let mut extra = before.slots[pick].module.clone()?;
            other_part(&mut extra);
            (now.slots[to].module, now.slots[to].state) = (Some(extra), SlotState::Filled);
            used.push(to);
            told(What::Unexpected, before, &[to])
        }
    };
    Some(told_as)
}

/// An empty slot.
fn gap(before: &Snapshot, used: &[usize], dice: &mut Dice) -> Option<usize> {
    let empty = |i: &usize| before.slots[*i].state == SlotState::Empty && !used.contains(i);
    let gaps: Vec<usize> = (0..before.slots.len()).filter(empty).collect();
    gaps.get(dice.below(gaps.len())).copied()
}

/// Lets a module run slower. Below 1600, a DDR4 figure would be read as half a rate: some firmware reports the clock.
fn slow(module: &mut SeenModule) -> Option<()> {
    let rate = module.running.map(|r| r.rate)?;
    let slower = match (rate.mts(), module.reading.generation) {
        (1601.., _) => DataRate::from_mts(1600),
        (1067.., Some(Generation::Ddr3)) => DataRate::from_mts(1066),
        _ => return None,
    };
    module.running = Some(domain::snapshot::SeenRate { rate: slower, raw: slower.mts() });
    Some(())
}

/// Another part, as the machine would report it.
fn other_part(module: &mut SeenModule) {
    module.reported.retain(|r| r.field != ReportedField::PartNumber);
    module.reading.part_number = Some("QRX7-OTHER-PART".into());
}

/// A part number that says something.
fn compare_known(part: Option<&str>) -> Option<()> {
    let plain: String = part?.chars().filter(|c| !c.is_whitespace()).collect();
    let blank = plain.chars().all(|c| matches!(c, '0' | 'F' | '-' | '.' | '_'));
    let placeholder = ["UNKNOWN", "NOTSPECIFIED", "NONE", "NODIMM", "EMPTY"].contains(&plain.to_uppercase().as_str());
    (!blank && !placeholder).then_some(())
}

/// Which of several like modules went where leaves no trace: all moves and gaps of a machine are one set of slots, and so
/// are the modules that run slower.
fn plain(told: impl Iterator<Item = Told>) -> BTreeMap<What, Vec<String>> {
    let mut out: BTreeMap<What, Vec<String>> = BTreeMap::new();
    for (what, slots) in told {
        out.entry(what).or_default().extend(slots);
    }
    out.values_mut().for_each(|slots| slots.sort());
    if let Some(moved) = out.remove(&What::WrongSlot) {
        let gone = [What::SocketGone, What::ChannelGone].into_iter().flat_map(|w| out.remove(&w).unwrap_or_default());
        let moved: Vec<String> = moved.into_iter().chain(gone.collect::<Vec<_>>()).collect();
        let places = out.entry(What::Missing).or_default();
        places.extend(moved);
        places.sort();
    }
    out
}

fn found(comparison: &Comparison) -> Vec<Told> {
    comparison.differences.iter().map(|d| (d.what, d.slots.iter().cloned().collect())).collect()
}

#[test]
fn an_untouched_machine_shows_no_difference() {
    for machine in machines() {
        let compared = compared(&machine, &machine.snapshot);
        assert!(compared.differences.is_empty(), "{}: {:?}", machine.id, compared.differences);
    }
}

#[test]
fn a_thousand_planted_faults_are_named() {
    let machines = machines();
    let mut dice = Dice(20_261_125);
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut missed = Vec::new();
    let mut cases = 0;
    for round in 0.. {
        if cases == 1000 {
            break;
        }
        assert!(round < 100_000, "{cases} cases are all that these machines offer");
        let machine = &machines[dice.below(machines.len())];
        let faults = if round % 3 == 0 { 2 } else { 1 };
        let (mut now, mut used, mut expected) = (machine.snapshot.clone(), Vec::new(), BTreeSet::new());
        for _ in 0..faults {
            let kind = dice.below(9);
            expected.extend(plant(machine, &mut now, kind, &mut used, &mut dice));
        }
        if expected.len() != faults {
            continue;
        }
        cases += 1;
        let key = expected.iter().map(|(w, _)| w.word()).collect::<Vec<_>>().join(" + ");
        *counts.entry(key).or_default() += 1;
        let comparison = compared(machine, &now);
        if plain(found(&comparison).into_iter()) != plain(expected.iter().cloned()) {
            missed.push(format!("{}: planted {expected:?}, told {:?}", machine.id, found(&comparison)));
        }
    }
    assert!(counts.len() >= 25, "{counts:?}");
    assert!(missed.is_empty(), "{} of {cases} missed:\n{}", missed.len(), missed.join("\n"));
}
