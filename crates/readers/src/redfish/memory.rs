//! One Memory resource → one slot with what it holds.

use super::figures::{self, Size};
use super::quirks::{Quirk, Tally};
use super::resources::{Memory, MemoryLocation};
use super::words::{self, Owner};
use crate::serial;
use domain::reading::{Maker, ModuleReading, Origin};
use domain::snapshot::{Location, SeenModule, SeenRate, SeenSlot, SlotState};
use domain::{Capacity, DataRate, Generation, Kind};

/// What is known of a memory resource from elsewhere.
#[derive(Debug, Clone, Copy, Default)]
pub struct Context<'a> {
    /// The collection that lists it.
    pub array: Option<&'a str>,
    /// The CPU that it is linked to.
    pub processor: Option<&'a str>,
    /// The sort of processor that it is linked to.
    pub owner: Option<Owner>,
}

/// The slot, and whether its name is no more than the resource's `Name`.
pub fn slot(memory: &Memory<'_>, path: &str, context: Context<'_>, tally: &mut Tally) -> (SeenSlot, bool) {
    let label = memory.device_locator.raw().or(memory.location.0.part_location.0.service_label.raw());
    let name = label.or(memory.name.raw()).unwrap_or("");
    let other = words::other_memory(memory, name, context.owner);
    // What is odd about other memory is of no use here.
    let mut unheard = Tally::default();
    let heard = if other.is_some() { &mut unheard } else { &mut *tally };
    let module = module(memory, path, heard);
    let state = state(memory, &module, path, heard);
    let mut slot = SeenSlot {
        origin: Origin::Redfish,
        handle: path.into(),
        array: context.array.map(Into::into),
        name: name.into(),
        bank: None,
        location: location(&memory.memory_location.0, path, heard),
        processor: context.processor.map(Into::into),
        state,
        module: matches!(state, SlotState::Filled | SlotState::Disabled | SlotState::Unknown).then_some(module),
    };
    if let Some(what) = other {
        tally.tell(Quirk::OtherMemory(what), path);
        slot.state = SlotState::NotMemory;
        return (slot, label.is_none());
    }
    if let Some(module) = slot.module.as_mut()
        && let Some(by) = words::nonvolatile(memory)
    {
        module.nonvolatile = true;
        module.reading.kind = Some(Kind::Nonvolatile);
        tally.tell(Quirk::Nonvolatile(by), path);
    }
    (slot, label.is_none())
}

/// A slot whose resource could not be read: it is there, and that is all that is known.
pub fn unread(path: &str, context: Context<'_>) -> SeenSlot {
    SeenSlot {
        origin: Origin::Redfish,
        handle: path.into(),
        array: context.array.map(Into::into),
        name: String::new().into(),
        bank: None,
        location: Location::default(),
        processor: context.processor.map(Into::into),
        state: SlotState::Unknown,
        module: None,
    }
}

/// Empty is what says Absent or has no capacity; what firmware put out of use still holds a module.
fn state(memory: &Memory<'_>, module: &SeenModule, path: &str, tally: &mut Tally) -> SlotState {
    let state = memory.status.0.state.said().unwrap_or("");
    let named = module.reading.part_number.is_some() || module.reading.serial.is_some();
    let holds = module.reading.capacity.is_some();
    match (state, holds) {
        ("Absent", _) => {
            if named && holds {
                tally.tell(Quirk::AbsentYetFilled, path);
            }
            SlotState::Empty
        }
        ("Disabled" | "UnavailableOffline", _) if holds || named => SlotState::Disabled,
        (_, true) if memory.enabled.0 == Some(false) => SlotState::Disabled,
        (_, true) => SlotState::Filled,
        (_, false) if named || memory.capacity.odd() => {
            tally.tell(Quirk::NamedWithoutCapacity, path);
            SlotState::Unknown
        }
        (_, false) => SlotState::Empty,
    }
}

fn location(told: &MemoryLocation, path: &str, tally: &mut Tally) -> Location {
    let all = [told.socket, told.memory_controller, told.channel, told.slot];
    if all.iter().any(|n| n.odd()) {
        tally.tell(Quirk::NoNumber("MemoryLocation"), path);
    }
    let [socket, controller, channel, slot] = all.map(|n| n.small());
    Location { socket, controller, channel, slot }
}

fn module(memory: &Memory<'_>, path: &str, tally: &mut Tally) -> SeenModule {
    let device = memory.memory_device_type.said();
    let generation = words::generation(device, memory.memory_type.said());
    let base = memory.base_module_type.said();
    let (kind, form) = words::outline(base, device);
    if base.is_some_and(|b| b.contains("DIMM")) && device.is_some_and(|d| d.starts_with("LPDDR")) {
        tally.tell(Quirk::RegisteredYetSoldered, path);
    }
    let rated = rated(memory, generation);
    let running = running(memory, generation, rated, path, tally);
    let (widths, ecc_bits) = widths(memory, generation, path, tally);
    let mut reading = ModuleReading {
        generation,
        kind,
        form,
        capacity: capacity(memory, generation, path, tally),
        package_ranks: ranks(memory, path, tally),
        ecc_bits,
        rate: rated.map(|r| r.rate),
        maker: maker(memory),
        part_number: memory.part_number.meant().map(Into::into),
        ..ModuleReading::default()
    };
    let mut reported = Vec::new();
    if let Some(number) = memory.serial_number.meant() {
        serial::settle(number.into(), &mut reading, &mut reported);
    }
    let health = memory.status.0.health.said().or(memory.status.0.state.said());
    SeenModule { reading, running, rated, nonvolatile: false, widths, health: health.map(Into::into), reported }
}

fn capacity(memory: &Memory<'_>, generation: Option<Generation>, path: &str, tally: &mut Tally) -> Option<Capacity> {
    if memory.capacity.odd() {
        tally.tell(Quirk::NoNumber("CapacityMiB"), path);
        return None;
    }
    let raw = match memory.capacity.whole() {
        Some(raw) => raw,
        None => {
            let parts = [memory.volatile_size, memory.nonvolatile_size];
            let sum = parts.iter().filter_map(|n| n.whole()).fold(0u64, u64::saturating_add);
            if sum > 0 {
                tally.tell(Quirk::CapacityFromParts, path);
            }
            sum
        }
    };
    match figures::capacity(raw, generation) {
        _ if raw == 0 => None,
        Size::Plain(mib) => Some(Capacity::from_mib(mib)),
        Size::Slip(mib, how) => {
            tally.tell(Quirk::Capacity { raw, mib, how }, path);
            Some(Capacity::from_mib(mib))
        }
        Size::Unlikely => {
            tally.tell(Quirk::CapacityUnlikely(raw), path);
            None
        }
    }
}

/// The fastest rate of the list is what the module is made for.
fn rated(memory: &Memory<'_>, generation: Option<Generation>) -> Option<SeenRate> {
    let raw = memory.speeds.0.iter().filter_map(|n| n.small()).max()?;
    figures::rate(raw, generation, None).map(|r| SeenRate { rate: r.rate, raw })
}

fn running(
    memory: &Memory<'_>,
    generation: Option<Generation>,
    rated: Option<SeenRate>,
    path: &str,
    tally: &mut Tally,
) -> Option<SeenRate> {
    let told = [memory.speed, memory.speed_other_case];
    if told.iter().any(|n| n.odd()) {
        tally.tell(Quirk::NoNumber("OperatingSpeedMhz"), path);
    }
    let raw = told.iter().find_map(|n| n.small())?;
    let read = speed(raw, generation, rated.map(|r| r.rate), path, tally)?;
    if let Some(rated) = rated.filter(|r| read.rate > r.rate) {
        tally.tell(Quirk::AboveRated { running: read.rate.mts(), rated: rated.rate.mts() }, path);
    }
    Some(read)
}

/// A reported speed as a rate, with what is odd about it told.
pub fn speed(
    raw: u32,
    generation: Option<Generation>,
    rated: Option<DataRate>,
    path: &str,
    tally: &mut Tally,
) -> Option<SeenRate> {
    let read = figures::rate(raw, generation, rated)?;
    let mts = read.rate.mts();
    match read.how {
        Some(_) if mts == raw => tally.tell(Quirk::NoStandardRate(raw), path),
        Some(how) => tally.tell(Quirk::Speed { raw, mts, how }, path),
        None => {}
    }
    Some(SeenRate { rate: read.rate, raw })
}

/// The widths as reported, and the ECC bits of a channel (DDR5: of a sub-channel) where widths and `ErrorCorrection`
/// agree: JESD79-4 has 64 + 8, JESD79-5 has 2 x 32 + 4 or 8.
fn widths(
    memory: &Memory<'_>,
    generation: Option<Generation>,
    path: &str,
    tally: &mut Tally,
) -> (Option<(u16, u16)>, Option<u8>) {
    let correction = memory.error_correction.said();
    if let Some(word) = correction.filter(|w| !words::ERROR_CORRECTION.contains(w)) {
        tally.odd_word("ErrorCorrection", word, path);
    }
    let (Some(bus), Some(data)) = (memory.bus_width.small(), memory.data_width.small()) else { return (None, None) };
    let raw = u16::try_from(bus).ok().zip(u16::try_from(data).ok());
    if (bus, data) == (0, 0) {
        return (None, None);
    }
    let (wide, narrow) = if figures::widths_fit(bus, data) {
        (bus, data)
    } else if let Some(read) = figures::widths_slip(bus, data) {
        tally.tell(Quirk::WidthsSlip { bus, data, read }, path);
        read
    } else {
        tally.tell(Quirk::WidthsUnlikely { bus, data }, path);
        return (raw, None);
    };
    let none = correction == Some("NoECC");
    let extra = wide - narrow;
    if correction.is_some() && none != (extra == 0) {
        tally.tell(Quirk::EccAgainstWidths { bus, data }, path);
        return (raw, None);
    }
    let bits = match (generation, narrow, extra) {
        (_, 64, 0) if none => Some(0),
        (Some(Generation::Ddr3 | Generation::Ddr4), 64, 8) => Some(8),
        (Some(Generation::Ddr5), 64, 8) => Some(4),
        (Some(Generation::Ddr5), 64, 16) => Some(8),
        _ => None,
    };
    (raw, bits)
}

fn ranks(memory: &Memory<'_>, path: &str, tally: &mut Tally) -> Option<u8> {
    if memory.rank_count.odd() {
        tally.tell(Quirk::NoNumber("RankCount"), path);
    }
    let raw = memory.rank_count.whole().filter(|n| *n > 0)?;
    let ranks = u8::try_from(raw).ok().filter(|n| *n <= 8);
    if ranks.is_none() {
        tally.tell(Quirk::Ranks(raw), path);
    }
    ranks
}

fn maker(memory: &Memory<'_>) -> Option<Maker> {
    let name = memory.manufacturer.meant().map(str::to_string);
    let id = memory.manufacturer_id.said().and_then(figures::maker_id);
    (name.is_some() || id.is_some()).then_some(Maker { name: name.map(Into::into), id })
}
