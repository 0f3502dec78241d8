//! Type 17, the memory devices: slots and what sits in them.

use super::array::{Arrays, Facts};
use super::machine::note;
use super::rate::{self, Family};
use super::structure::{Strings, Structure, handle};
use super::{module_identity, widths};
use domain::module::{Generation, Kind};
use domain::quantity::{Capacity, Voltage};
use domain::reading::{Form, ModuleReading, Oddity, Text};
use domain::snapshot::{ArrayRole, Location, Note, SeenModule, SeenSlot, SlotState};
use domain::{Origin, Snapshot};

/// Reads the devices of one table.
pub(super) struct Devices<'a> {
    arrays: &'a Arrays,
    /// Error structures (types 18 and 33) with what they say.
    errors: Vec<(u16, u8)>,
    /// Devices of memory channels (type 37), with the channel's number in the table.
    channels: Vec<(u16, u32)>,
}

/// What a type 17 says it is.
#[derive(Debug, Clone, Copy)]
struct Nature {
    generation: Option<Generation>,
    family: Family,
    kind: Option<Kind>,
    nonvolatile: bool,
    memory: bool,
    /// Does its array correct errors?
    corrects: Option<bool>,
}

/// Memory types (DSP0134 3.7, 7.18.2; MRDIMM 3.8).
mod kinds {
    pub const READ_ONLY: std::ops::RangeInclusive<u8> = 0x08..=0x0C;
    pub const FLASH: u8 = 0x09;
    pub const DDR2: [u8; 2] = [0x13, 0x14];
    pub const DDR3: u8 = 0x18;
    pub const DDR4: u8 = 0x1A;
    pub const LOGICAL_NONVOLATILE: u8 = 0x1F;
    pub const HBM: [u8; 3] = [0x20, 0x21, 0x24];
    pub const DDR5: u8 = 0x22;
    pub const MRDIMM: u8 = 0x25;
}

impl<'a> Devices<'a> {
    pub fn new(arrays: &'a Arrays, structures: &[Structure<'_>]) -> Self {
        let mut devices = Self { arrays, errors: Vec::new(), channels: Vec::new() };
        let mut channel = 0;
        for s in structures {
            match s.kind {
                18 | 33 => devices.errors.extend(s.byte(0x04).map(|kind| (s.handle, kind))),
                37 => {
                    let count = usize::from(s.byte(0x06).unwrap_or_default());
                    let members = (0..count).filter_map(|i| s.word(0x08 + 3 * i));
                    devices.channels.extend(members.map(|device| (device, channel)));
                    channel += 1;
                }
                _ => {}
            }
        }
        devices
    }

    /// One slot.
    pub fn one(&self, s: &Structure<'_>, base: usize, slots: &mut Vec<SeenSlot>, notes: &mut Vec<Note>) {
        let strings = s.strings();
        let string = |at: usize| s.byte(at).and_then(|n| strings.get(n));
        let array = s.word(0x04).filter(|h| *h < 0xFFFE);
        let facts = array.and_then(|a| self.arrays.of(a));
        let nature = nature(s, facts);
        let size = s.word(0x0C).unwrap_or_default();
        let state = match (nature.memory, size) {
            (false, _) => SlotState::NotMemory,
            (true, 0) => SlotState::Empty,
            (true, _) => SlotState::Filled,
        };
        let channel = self.channels.iter().find(|(device, _)| *device == s.handle).map(|(_, channel)| *channel);
        slots.push(SeenSlot {
            origin: Origin::Smbios,
            handle: handle(s.handle),
            array: facts.map(|f| f.name.clone()).or_else(|| array.map(handle)),
            name: string(0x10).map(Text::from).unwrap_or_default(),
            bank: string(0x11).map(Text::from),
            location: Location { channel, ..Location::default() },
            processor: None,
            state,
            module: None,
        });
        // Filled where it lies: a module is large to move.
        if let (SlotState::Filled, Some(slot)) = (state, slots.last_mut()) {
            let seen = slot.module.insert(SeenModule::default());
            self.module(s, &strings, nature, base, seen, notes);
        }
    }

    fn module(
        &self,
        s: &Structure<'_>,
        strings: &Strings<'_>,
        nature: Nature,
        base: usize,
        seen: &mut SeenModule,
        notes: &mut Vec<Note>,
    ) {
        seen.nonvolatile = nature.nonvolatile;
        let reading = &mut seen.reading;
        reading.generation = nature.generation;
        reading.kind = nature.kind;
        reading.form = s.byte(0x0E).and_then(form);
        reading.capacity = capacity(s, base, notes);
        // The low four bits; 0 is unknown (DSP0134 3.7, 7.18.5).
        let ranks = s.byte(0x1B).map_or(0, |a| a & 15);
        reading.package_ranks = (1..=8).contains(&ranks).then_some(ranks);
        reading.voltage = voltage(s);
        module_identity::fill(s, strings, reading, &mut seen.reported);
        widths_of(s, base, nature, seen);
        rates(s, base, nature, seen);
        seen.health = self.health(s, base, notes);
        if nature.nonvolatile {
            notes.push(note(s, base, CAUTION.to_string()));
        }
    }

    fn health(&self, s: &Structure<'_>, base: usize, notes: &mut Vec<Note>) -> Option<Text> {
        let told = s.word(0x06).filter(|h| *h < 0xFFFE)?;
        let (_, kind) = self.errors.iter().find(|(h, _)| *h == told)?;
        // DSP0134 3.7, 7.19.1.
        let word = match kind {
            3 => return Some(Text::new_static("OK")),
            4 => "bad read",
            5 => "parity error",
            6 => "single-bit error",
            7 => "double-bit error",
            8 => "multi-bit error",
            9 => "nibble error",
            10 => "checksum error",
            11 => "CRC error",
            12 => "corrected single-bit error",
            13 => "corrected error",
            14 => "uncorrectable error",
            _ => return None,
        };
        notes.push(note(s, base, format!("the firmware logged an error for this module: {word}")));
        Some(Text::new_static(word))
    }
}

/// Said of each non-volatile module.
const CAUTION: &str = "a non-volatile module: not counted as DRAM; it keeps its contents without power and may hold a \
                       customer's data, so erase it by its maker's procedure before it leaves the house";

fn nature(s: &Structure<'_>, facts: Option<&Facts>) -> Nature {
    let kind = s.byte(0x12).unwrap_or_default();
    let detail = s.word(0x13).unwrap_or_default();
    let form = s.byte(0x0E).unwrap_or_default();
    let technology = s.byte(0x28).unwrap_or_default();
    let (generation, family) = match kind {
        kinds::DDR3 => (Some(Generation::Ddr3), Family::Ddr(Generation::Ddr3)),
        kinds::DDR4 => (Some(Generation::Ddr4), Family::Ddr(Generation::Ddr4)),
        kinds::DDR5 if technology == 8 => (Some(Generation::Ddr5), Family::Mrdimm),
        kinds::DDR5 => (Some(Generation::Ddr5), Family::Ddr(Generation::Ddr5)),
        kinds::MRDIMM => (Some(Generation::Ddr5), Family::Mrdimm),
        k if kinds::DDR2.contains(&k) => (None, Family::Ddr2),
        _ => (None, Family::Untold),
    };
    let role = facts.map_or(ArrayRole::Unknown, |f| f.role);
    let flash_array = role == ArrayRole::Flash;
    // A slot of its own: DIMM or SODIMM and their kin, or one that is not told.
    let pluggable = !matches!(form, 0x05 | 0x0A | 0x0B | 0x10);
    let stored = kinds::READ_ONLY.contains(&kind);
    let memory = !(flash_array
        || kinds::HBM.contains(&kind)
        || facts.is_some_and(|f| f.elsewhere)
        || (stored && (kind != kinds::FLASH || role != ArrayRole::System || form != 0x09))
        || (facts.is_some_and(|f| f.nonvolatile) && !pluggable));
    let nonvolatile = memory
        && (kind == kinds::LOGICAL_NONVOLATILE
            || kind == kinds::FLASH
            || (4..=7).contains(&technology)
            || detail & 1 << 12 != 0
            || facts.is_some_and(|f| f.nonvolatile)
            || s.quad(0x34).is_some_and(|bytes| bytes != 0 && bytes != u64::MAX));
    // Type detail bits: 13 registered, 14 unbuffered, 15 LRDIMM (DSP0134 3.7, 7.18.3).
    let kind = match (detail >> 13 & 7, nonvolatile) {
        (_, true) => Some(Kind::Nonvolatile),
        _ if family == Family::Mrdimm => Some(Kind::Mrdimm),
        (4 | 5, _) => Some(Kind::Lrdimm),
        (1, _) => Some(Kind::Rdimm),
        (2, _) => Some(Kind::Udimm),
        _ => None,
    };
    Nature { generation, family, kind, nonvolatile, memory, corrects: facts.and_then(|f| f.ecc) }
}

/// Form factor (DSP0134 3.7, 7.18.1).
fn form(number: u8) -> Option<Form> {
    match number {
        0x09 | 0x0F | 0x12 => Some(Form::Dimm),
        0x0D | 0x0E | 0x13 => Some(Form::Sodimm),
        0x05 | 0x0A | 0x0B | 0x10 => Some(Form::SolderedDown),
        0x11 => Some(Form::Camm2),
        _ => None,
    }
}

/// Size in MiB, or in KiB with bit 15; 0x7FFF: see the extended size; 0xFFFF: unknown (DSP0134 3.7, 7.18.4, 7.18.5).
fn capacity(s: &Structure<'_>, base: usize, notes: &mut Vec<Note>) -> Option<Capacity> {
    let mut tell = |what: &str| notes.push(note(s, base, what.to_string()));
    match s.word(0x0C)? {
        0xFFFF => {
            tell("the slot is filled, and the module's size is not known");
            None
        }
        0x7FFF => match s.double(0x1C).map(|mib| mib & 0x7FFF_FFFF).filter(|mib| *mib != 0) {
            Some(mib) => Some(Capacity::from_mib(u64::from(mib))),
            None => {
                tell("the size is said to be in the extended size, which is missing or 0");
                None
            }
        },
        kib if kib & 0x8000 != 0 => {
            let kib = kib & 0x7FFF;
            if kib % 1024 != 0 {
                tell(&format!("the size, {kib} KiB, is no whole number of MiB"));
            }
            Some(Capacity::from_mib(u64::from(kib / 1024)))
        }
        mib => Some(Capacity::from_mib(u64::from(mib))),
    }
}

/// Minimum and maximum voltage in mV, where they agree: then it is the one that the module is made for.
fn voltage(s: &Structure<'_>) -> Option<Voltage> {
    let (least, most) = (s.word(0x22)?, s.word(0x24)?);
    (least == most && (900..=2000).contains(&least)).then(|| Voltage::from_millivolts(u32::from(least)))
}

fn widths_of(s: &Structure<'_>, base: usize, nature: Nature, seen: &mut SeenModule) {
    let width = |at: usize| s.word(at).filter(|w| *w != 0xFFFF && *w != 0);
    seen.widths = width(0x08).zip(width(0x0A));
    let (bits, odd) = widths::ecc_bits(nature.generation, seen.widths, nature.corrects);
    seen.reading.ecc_bits = bits;
    if let (Some(odd), Some((total, data))) = (odd, seen.widths) {
        let words = format!("total width {total}, data width {data}: {odd}");
        oddity(&mut seen.reading, "widths-odd", base + s.at + 0x08, words);
    }
}

/// Speed and configured speed in MT/s; 0 is unknown, 0xFFFF: see the extended fields (DSP0134 3.7, 7.18.4).
fn rates(s: &Structure<'_>, base: usize, nature: Nature, seen: &mut SeenModule) {
    let speed = |at: usize, extended: usize| match s.word(at)? {
        0 => None,
        0xFFFF => s.double(extended).map(|raw| raw & 0x7FFF_FFFF).filter(|raw| *raw != 0),
        raw => Some(u32::from(raw)),
    };
    let rated = speed(0x15, 0x54).map(|raw| rate::rated(raw, nature.family));
    let running = speed(0x20, 0x58).map(|raw| rate::running(raw, nature.family, rated));
    if let Some(rated) = rated {
        if rated.reading == rate::Way::Unlisted {
            let words = format!("rated speed {}, which is near no standard rate", rated.seen.raw);
            oddity(&mut seen.reading, "rate-not-standard", base + s.at + 0x15, words);
        } else {
            seen.reading.rate = Some(rated.seen.rate);
        }
    }
    seen.rated = rated.map(|r| r.seen);
    seen.running = running.map(|r| r.seen);
}

fn oddity(reading: &mut ModuleReading, name: &'static str, offset: usize, seen: String) {
    reading.oddities.push(Oddity { name, offset: Some(offset), seen });
}

/// Entries without any text, size or kind are no slots, where others have names.
pub(super) fn blanks(structures: &[Structure<'_>], base: usize, snapshot: &mut Snapshot) {
    if snapshot.slots.iter().all(|slot| slot.name.trim().is_empty()) {
        return;
    }
    for s in structures.iter().filter(|s| s.kind == 17 && bare(s)) {
        let own = handle(s.handle);
        if let Some(slot) = snapshot.slots.iter_mut().find(|slot| slot.handle == own && slot.state == SlotState::Empty)
        {
            slot.state = SlotState::NotMemory;
            snapshot.notes.push(note(s, base, "a blank entry, which is taken for no slot".to_string()));
        }
    }
}

fn bare(s: &Structure<'_>) -> bool {
    let told = s.text.iter().any(|b| !matches!(b, 0 | b' '));
    let number = |at: usize| s.byte(at).is_some_and(|n| n > 2);
    !told && s.word(0x0C) == Some(0) && !number(0x0E) && !number(0x12)
}

/// A machine that gives one speed as a clock gives all of them so: those that could be a rate too are doubled.
pub(super) fn clocks(snapshot: &mut Snapshot) {
    let modules = || snapshot.slots.iter().filter_map(|slot| slot.module.as_ref());
    let sure = modules().filter_map(|m| Some((m.reading.generation?, m.rated?))).find(|(_, rated)| is_clock(rated));
    let Some((generation, example)) = sure else { return };
    for module in snapshot.slots.iter_mut().filter_map(|slot| slot.module.as_mut()) {
        if module.reading.generation != Some(generation) {
            continue;
        }
        if let Some(rated) = module.rated.filter(|r| !is_clock(r)).and_then(|r| rate::twice(r.raw, generation)) {
            module.rated = Some(rated);
            module.reading.rate = Some(rated.rate);
            let running = module.running.filter(|r| !is_clock(r) && r.raw <= rated.raw);
            module.running = running.and_then(|r| rate::twice(r.raw, generation)).or(module.running);
        }
    }
    let what = format!(
        "speeds are given as clocks, which are half the rate: {} is read as {}; the figures are kept as they are",
        example.raw, example.rate
    );
    snapshot.notes.push(Note { offset: None, place: None, what });
}

fn is_clock(seen: &domain::snapshot::SeenRate) -> bool {
    seen.rate.mts() > seen.raw.saturating_add(seen.raw / 2)
}
