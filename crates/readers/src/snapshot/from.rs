//! Snapshot → document.

use super::VERSION;
use super::document::*;
use domain::reading::{Maker, ModuleReading};
use domain::snapshot::{ArrayRole, ErrorController, ErrorCounts, ErrorModule, SeenModule, SeenSlot, SlotState};
use domain::{Capacity, DataRate, Snapshot};

/// Words of states and roles, for both ways.
pub(super) const STATES: [(SlotState, &str); 5] = [
    (SlotState::Empty, "empty"),
    (SlotState::Filled, "filled"),
    (SlotState::Disabled, "disabled"),
    (SlotState::NotMemory, "not-memory"),
    (SlotState::Unknown, "unknown"),
];
pub(super) const ROLES: [(ArrayRole, &str); 4] = [
    (ArrayRole::System, "system"),
    (ArrayRole::Flash, "flash"),
    (ArrayRole::Other, "other"),
    (ArrayRole::Unknown, "unknown"),
];

fn word<T: PartialEq>(all: &[(T, &str)], value: &T) -> String {
    all.iter().find(|(known, _)| known == value).map_or_else(String::new, |(_, w)| (*w).to_string())
}

impl From<&Snapshot> for Document {
    fn from(s: &Snapshot) -> Self {
        let processors = s.processors.iter().map(|p| Processor {
            origin: p.origin.word().into(),
            handle: p.handle.clone().into(),
            name: p.name.clone().into(),
            model: p.model.clone(),
            present: p.present,
            cores: p.cores,
        });
        let arrays = s.arrays.iter().map(|a| Array {
            handle: a.handle.clone().into(),
            role: word(&ROLES, &a.role),
            ecc: a.ecc.clone(),
            maximum_mib: a.maximum.map(Capacity::mib),
            devices: a.devices,
        });
        let ranges = s.ranges.iter().map(|r| Range {
            handle: r.handle.clone().into(),
            first: r.first,
            last: r.last,
            array: r.array.clone().map(Into::into),
            slot: r.slot.clone().map(Into::into),
            width_or_position: r.width_or_position,
        });
        let note =
            |n: &domain::snapshot::Note| Remark { offset: n.offset, place: n.place.clone(), what: n.what.clone() };
        Self {
            version: VERSION,
            origins: s.origins.iter().map(|o| o.word().to_string()).collect(),
            taken: s.taken.clone(),
            system: s.system.clone(),
            firmware: s.firmware.clone(),
            processors: processors.collect(),
            arrays: arrays.collect(),
            slots: s.slots.iter().map(slot).collect(),
            ranges: ranges.collect(),
            total_mib: s.total.map(Capacity::mib),
            errors: errors(&s.errors),
            notes: s.notes.iter().map(note).collect(),
        }
    }
}

fn slot(s: &SeenSlot) -> Slot {
    let at = s.location;
    Slot {
        origin: s.origin.word().into(),
        handle: s.handle.clone().into(),
        array: s.array.clone().map(Into::into),
        name: s.name.clone().into(),
        bank: s.bank.clone().map(Into::into),
        location: Place { socket: at.socket, controller: at.controller, channel: at.channel, slot: at.slot },
        processor: s.processor.clone().map(Into::into),
        state: word(&STATES, &s.state),
        module: s.module.as_ref().map(module),
    }
}

fn module(m: &SeenModule) -> Module {
    let rate = |r: domain::snapshot::SeenRate| Rate { rate_mts: r.rate.mts(), raw: r.raw };
    let raw = |r: &domain::snapshot::Reported| Raw { field: r.field.word().into(), text: r.text.clone().into() };
    Module {
        running: m.running.map(rate),
        rated: m.rated.map(rate),
        nonvolatile: m.nonvolatile,
        widths: m.widths.map(|(total, data)| Widths { total, data }),
        health: m.health.clone().map(Into::into),
        reported: m.reported.iter().map(raw).collect(),
        ..reading(&m.reading)
    }
}

fn who(maker: &Maker) -> Who {
    let id = maker.id.map(|i| Id { continuations: i.continuations, id: i.id });
    Who { name: maker.name.clone().map(Into::into), jep106: id }
}

fn reading(r: &ModuleReading) -> Module {
    let odd = |o: &domain::reading::Oddity| Odd {
        name: o.name.into(),
        offset: o.offset.and_then(|at| u64::try_from(at).ok()),
        seen: o.seen.clone(),
    };
    let sum = |c: &domain::reading::Checksum| Sum { name: c.name.into(), stored: c.stored, computed: c.computed };
    Module {
        generation: r.generation.map(|g| g.name().into()),
        kind: r.kind.map(|k| k.name().into()),
        form: r.form.map(|f| f.name().into()),
        capacity_mib: r.capacity.map(Capacity::mib),
        package_ranks: r.package_ranks,
        stack_height: r.stack_height,
        dual_die: r.dual_die,
        device_width: r.device_width,
        ecc_bits: r.ecc_bits,
        die_density_gbit: r.die_density.map(|d| d.gbit()),
        data_rate_mts: r.rate.map(DataRate::mts),
        clocks: r.clocks.map(|c| ClockCounts { cas: c.cas, rcd: c.rcd, rp: c.rp }),
        grade: r.grade.clone(),
        rates: r.rates.iter().map(|(rate, cl)| RateAt { data_rate_mts: rate.mts(), cl: *cl }).collect(),
        voltage_mv: r.voltage.map(|v| v.millivolts()),
        height_mm: r.height.map(|h| h.mm()),
        raw_card: r.raw_card.as_ref().map(|c| Card { letter: c.letter.clone(), revision: c.revision.clone() }),
        spd_revision: r.spd_revision.clone(),
        temperature_range: r.temperature_range.clone(),
        thermal_sensor: r.thermal_sensor,
        dram_rows: r.dram_rows,
        maker: r.maker.as_ref().map(who),
        dram_maker: r.dram_maker.as_ref().map(who),
        register_maker: r.register_maker.as_ref().map(who),
        part_number: r.part_number.clone().map(Into::into),
        serial: r.serial.clone().map(Into::into),
        made: r.made.map(|m| When { year: m.year, week: m.week }),
        location: r.location,
        label: r.label.clone(),
        checksums: r.checksums.iter().map(sum).collect(),
        oddities: r.oddities.iter().map(odd).collect(),
        ..Module::default()
    }
}

fn errors(counts: &ErrorCounts) -> Errors {
    match counts {
        ErrorCounts::NotRead => Errors::default(),
        ErrorCounts::NoDriver => Errors { state: Some("no-driver".into()), controllers: Vec::new() },
        ErrorCounts::Read(all) => {
            Errors { state: Some("read".into()), controllers: all.iter().map(controller).collect() }
        }
    }
}

fn controller(c: &ErrorController) -> Controller {
    Controller {
        index: c.index,
        driver: c.driver.clone(),
        size_mib: c.size.map(Capacity::mib),
        corrected: c.corrected,
        uncorrected: c.uncorrected,
        corrected_unplaced: c.corrected_unplaced,
        uncorrected_unplaced: c.uncorrected_unplaced,
        seconds: c.seconds,
        modules: c.modules.iter().map(counted).collect(),
    }
}

fn counted(m: &ErrorModule) -> Counted {
    Counted {
        index: m.index,
        by_rank: m.by_rank,
        label: m.label.clone(),
        location: m.location.iter().map(|(layer, index)| Layer { layer: layer.clone(), index: *index }).collect(),
        size_mib: m.size.map(Capacity::mib),
        kind: m.kind.clone(),
        device: m.device.clone(),
        mode: m.mode.clone(),
        corrected: m.corrected,
        uncorrected: m.uncorrected,
    }
}
