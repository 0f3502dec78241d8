//! A snapshot → the records of a table: what was read, put back into the fields of the standard.

use super::array::ecc_number;
use super::write::{Array, Device, Mapped, Names, Processor, Table};
use domain::Snapshot;
use domain::module::{Generation, Kind};
use domain::reading::Form;
use domain::snapshot::{ArrayRole, ReportedField, SeenModule, SeenSlot, SlotState};

/// The records.
pub(super) fn of(snapshot: &Snapshot) -> Table {
    let mut next = 0xF000;
    let mut handle = |text: &str| {
        number(text).unwrap_or_else(|| {
            next += 1;
            next
        })
    };
    let mut names = Vec::new();
    for (kind, name) in [(0, &snapshot.firmware), (1, &snapshot.system)] {
        if let Some(name) = name {
            names.push(Names { kind, handle: handle(""), maker: None, name: Some(name.clone()) });
        }
    }
    let processors = snapshot.processors.iter().map(|p| Processor {
        handle: handle(&p.handle),
        socket: Some(p.name.clone().into()),
        version: p.model.clone(),
        status: if p.present == Some(false) { 0 } else { 0x41 },
        cores: p.cores.and_then(|c| u16::try_from(c).ok()).unwrap_or_default(),
        ..Processor::default()
    });
    let processors = processors.collect();
    let arrays = snapshot.arrays.iter().map(|a| Array {
        handle: handle(&a.handle),
        used: match a.role {
            ArrayRole::System => 3,
            ArrayRole::Flash => 5,
            ArrayRole::Other => 1,
            ArrayRole::Unknown => 2,
        },
        correction: ecc_number(a.ecc.as_deref()),
        maximum_mib: a.maximum.map_or(0, domain::Capacity::mib),
        devices: a.devices.unwrap_or_default(),
    });
    let arrays = arrays.collect();
    let devices = snapshot.slots.iter().map(|s| Device { handle: handle(&s.handle), ..device(s) }).collect();
    let mut table = Table { names, processors, arrays, devices, ..Table::default() };
    for range in &snapshot.ranges {
        let of = range.slot.as_deref().or(range.array.as_deref()).and_then(number).unwrap_or(0xFFFF);
        let told = range.width_or_position;
        let mapped =
            Mapped { handle: handle(&range.handle), first: range.first, last: range.last, of, ..Mapped::default() };
        if range.slot.is_some() {
            table.mapped_devices.push(Mapped { position: told.unwrap_or(0xFF), ..mapped });
        } else {
            table.mapped_arrays.push(Mapped { width: told.unwrap_or(0xFF), ..mapped });
        }
    }
    table
}

fn number(handle: &str) -> Option<u16> {
    u16::from_str_radix(handle.strip_prefix("0x")?, 16).ok()
}

fn device(slot: &SeenSlot) -> Device {
    let mut device = Device {
        array: slot.array.as_deref().and_then(number).unwrap_or(0xFFFE),
        locator: Some(slot.name.clone().into()),
        bank: slot.bank.clone().map(Into::into),
        ..Device::default()
    };
    if slot.state == SlotState::Empty || slot.state == SlotState::NotMemory {
        return device;
    }
    device.size = 0xFFFF;
    if let Some(module) = &slot.module {
        fill(&mut device, module);
    }
    device
}

fn fill(device: &mut Device, module: &SeenModule) {
    let reading = &module.reading;
    if let Some(mib) = reading.capacity.map(domain::Capacity::mib) {
        (device.size, device.extended_size) = match u16::try_from(mib) {
            Ok(small) if small < 0x7FFF => (small, 0),
            _ => (0x7FFF, u32::try_from(mib).unwrap_or(0x7FFF_FFFF)),
        };
    }
    (device.total_width, device.data_width) = module.widths.unwrap_or((0xFFFF, 0xFFFF));
    device.form = match reading.form {
        Some(Form::Dimm) => 0x09,
        Some(Form::Sodimm) => 0x0D,
        Some(Form::SolderedDown) => 0x0B,
        Some(Form::Camm2) => 0x11,
        Some(Form::MiniDimm) | None => 2,
    };
    device.kind = match (reading.generation, reading.kind) {
        (_, Some(Kind::Mrdimm)) => 0x25,
        (Some(Generation::Ddr3), _) => 0x18,
        (Some(Generation::Ddr4), _) => 0x1A,
        (Some(Generation::Ddr5), _) => 0x22,
        (None, _) if module.nonvolatile => 0x1F,
        // Only DDR2 has clocks without being one of the generations.
        (None, _) if module.rated.is_some_and(|r| r.rate.mts() > r.raw.saturating_add(r.raw / 2)) => 0x13,
        (None, _) => 2,
    };
    device.detail = match reading.kind {
        Some(Kind::Rdimm | Kind::Rdimm3ds | Kind::Mrdimm) => 1 << 7 | 1 << 13,
        Some(Kind::Udimm) => 1 << 7 | 1 << 14,
        Some(Kind::Lrdimm | Kind::Lrdimm3ds) => 1 << 7 | 1 << 15,
        _ => 1 << 7,
    };
    if module.nonvolatile {
        device.detail |= 1 << 12;
    }
    device.speed = module.rated.map(|r| r.raw).or(reading.rate.map(domain::DataRate::mts)).unwrap_or_default();
    device.configured = module.running.map_or(0, |r| r.raw);
    device.attributes = reading.package_ranks.unwrap_or_default() & 15;
    let voltage = reading.voltage.and_then(|v| u16::try_from(v.millivolts()).ok()).unwrap_or_default();
    device.voltages = (voltage, voltage, voltage);
    device.technology = 3;
    let reported = |field| module.reported.iter().find(|r| r.field == field).map(|r| r.text.clone());
    device.maker =
        reported(ReportedField::Maker).or_else(|| reading.maker.as_ref().and_then(|m| m.name.clone())).map(Into::into);
    device.serial = reported(ReportedField::Serial).or_else(|| reading.serial.clone()).map(Into::into);
    device.part = reported(ReportedField::PartNumber).or_else(|| reading.part_number.clone()).map(Into::into);
    if let Some(id) = reading.maker.as_ref().and_then(|m| m.id) {
        device.maker_id = u16::from_le_bytes([odd(id.continuations), odd(id.id)]);
    }
}

/// With its parity bit, so that the ones are odd in number (JEP106).
fn odd(byte: u8) -> u8 {
    if byte.count_ones().is_multiple_of(2) { byte | 0x80 } else { byte }
}
