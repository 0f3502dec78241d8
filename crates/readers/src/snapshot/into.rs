//! Document → snapshot.

use super::SnapshotError;
use super::document::*;
use super::from::{ROLES, STATES};
use domain::module::{Generation, Kind};
use domain::quantity::{Capacity, DataRate, DieDensity, Height, Voltage};
use domain::reading::{Checksum, Clocks, Form, Made, Maker, MakerId, ModuleReading, Oddity, Origin, RawCard};
use domain::snapshot::{
    ErrorController, ErrorCounts, ErrorModule, Location, Note, Reported, ReportedField, SeenArray, SeenModule,
    SeenProcessor, SeenRange, SeenRate, SeenSlot, Snapshot,
};
use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};

type Outcome<T> = Result<T, SnapshotError>;

/// The snapshot that the document says.
pub(super) fn snapshot(d: &Document) -> Outcome<Snapshot> {
    let origins = d.origins.iter().map(|o| origin("/origins", o));
    let processors = d.processors.iter().enumerate().map(|(i, p)| {
        Ok(SeenProcessor {
            origin: origin(&format!("/processors/{i}/origin"), &p.origin)?,
            handle: p.handle.clone().into(),
            name: p.name.clone().into(),
            model: p.model.clone(),
            present: p.present,
            cores: p.cores,
        })
    });
    let arrays = d.arrays.iter().enumerate().map(|(i, a)| {
        Ok(SeenArray {
            handle: a.handle.clone().into(),
            role: known(&format!("/arrays/{i}/role"), &a.role, &ROLES)?,
            ecc: a.ecc.clone(),
            maximum: a.maximum_mib.map(Capacity::from_mib),
            devices: a.devices,
        })
    });
    let ranges = d.ranges.iter().map(|r| SeenRange {
        handle: r.handle.clone().into(),
        first: r.first,
        last: r.last,
        array: r.array.clone().map(Into::into),
        slot: r.slot.clone().map(Into::into),
        width_or_position: r.width_or_position,
    });
    let note = |n: &Remark| Note { offset: n.offset, place: n.place.clone(), what: n.what.clone() };
    Ok(Snapshot {
        origins: origins.collect::<Outcome<_>>()?,
        taken: d.taken.clone(),
        system: d.system.clone(),
        firmware: d.firmware.clone(),
        processors: processors.collect::<Outcome<_>>()?,
        arrays: arrays.collect::<Outcome<_>>()?,
        slots: d.slots.iter().enumerate().map(|(i, s)| slot(&format!("/slots/{i}"), s)).collect::<Outcome<_>>()?,
        ranges: ranges.collect(),
        total: d.total_mib.map(Capacity::from_mib),
        errors: errors(&d.errors)?,
        notes: d.notes.iter().map(note).collect(),
    })
}

fn origin(path: &str, text: &str) -> Outcome<Origin> {
    known(path, text, &Origin::ALL)
}

/// The value of a word, or which words there are.
fn known<T: Copy>(path: &str, text: &str, all: &[(T, &'static str)]) -> Outcome<T> {
    all.iter().find(|(_, w)| *w == text).map(|(value, _)| *value).ok_or_else(|| SnapshotError::Word {
        path: path.to_string(),
        found: text.to_string(),
        known: all.iter().map(|(_, w)| *w).collect::<Vec<_>>().join(", "),
    })
}

fn maybe<T: Copy>(path: &str, text: Option<&String>, all: &[(T, &'static str)]) -> Outcome<Option<T>> {
    text.map(|t| known(path, t, all)).transpose()
}

fn slot(path: &str, s: &Slot) -> Outcome<SeenSlot> {
    let at = &s.location;
    Ok(SeenSlot {
        origin: origin(&format!("{path}/origin"), &s.origin)?,
        handle: s.handle.clone().into(),
        array: s.array.clone().map(Into::into),
        name: s.name.clone().into(),
        bank: s.bank.clone().map(Into::into),
        location: Location { socket: at.socket, controller: at.controller, channel: at.channel, slot: at.slot },
        processor: s.processor.clone().map(Into::into),
        state: known(&format!("{path}/state"), &s.state, &STATES)?,
        module: s.module.as_ref().map(|m| module(&format!("{path}/module"), m)).transpose()?,
    })
}

fn module(path: &str, m: &Module) -> Outcome<SeenModule> {
    let rate = |r: &Rate| SeenRate { rate: DataRate::from_mts(r.rate_mts), raw: r.raw };
    let raw = |r: &Raw| {
        let field = known(&format!("{path}/reported"), &r.field, &ReportedField::ALL)?;
        Ok(Reported { field, text: r.text.clone().into() })
    };
    Ok(SeenModule {
        reading: reading(path, m)?,
        running: m.running.as_ref().map(rate),
        rated: m.rated.as_ref().map(rate),
        nonvolatile: m.nonvolatile,
        widths: m.widths.as_ref().map(|w| (w.total, w.data)),
        health: m.health.clone().map(Into::into),
        reported: m.reported.iter().map(raw).collect::<Outcome<_>>()?,
    })
}

fn who(w: &Who) -> Maker {
    let id = w.jep106.as_ref().map(|i| MakerId { continuations: i.continuations, id: i.id });
    Maker { name: w.name.clone().map(Into::into), id }
}

fn reading(path: &str, m: &Module) -> Outcome<ModuleReading> {
    let odd = |o: &Odd| Oddity {
        name: lasting(&o.name),
        offset: o.offset.and_then(|at| usize::try_from(at).ok()),
        seen: o.seen.clone(),
    };
    let sum = |c: &Sum| Checksum { name: lasting(&c.name), stored: c.stored, computed: c.computed };
    Ok(ModuleReading {
        generation: maybe(&format!("{path}/generation"), m.generation.as_ref(), &Generation::ALL)?,
        kind: maybe(&format!("{path}/kind"), m.kind.as_ref(), &Kind::ALL)?,
        form: maybe(&format!("{path}/form"), m.form.as_ref(), &Form::ALL)?,
        capacity: m.capacity_mib.map(Capacity::from_mib),
        package_ranks: m.package_ranks,
        stack_height: m.stack_height,
        dual_die: m.dual_die,
        device_width: m.device_width,
        ecc_bits: m.ecc_bits,
        die_density: m.die_density_gbit.map(DieDensity::from_gbit),
        rate: m.data_rate_mts.map(DataRate::from_mts),
        clocks: m.clocks.as_ref().map(|c| Clocks { cas: c.cas, rcd: c.rcd, rp: c.rp }),
        grade: m.grade.clone(),
        rates: m.rates.iter().map(|r| (DataRate::from_mts(r.data_rate_mts), r.cl)).collect(),
        voltage: m.voltage_mv.map(Voltage::from_millivolts),
        height: m.height_mm.map(Height::from_mm),
        raw_card: m.raw_card.as_ref().map(|c| RawCard { letter: c.letter.clone(), revision: c.revision.clone() }),
        spd_revision: m.spd_revision.clone(),
        temperature_range: m.temperature_range.clone(),
        thermal_sensor: m.thermal_sensor,
        dram_rows: m.dram_rows,
        maker: m.maker.as_ref().map(who),
        dram_maker: m.dram_maker.as_ref().map(who),
        register_maker: m.register_maker.as_ref().map(who),
        part_number: m.part_number.clone().map(Into::into),
        serial: m.serial.clone().map(Into::into),
        made: m.made.as_ref().map(|w| Made { year: w.year, week: w.week }),
        location: m.location,
        label: m.label.clone(),
        checksums: m.checksums.iter().map(sum).collect(),
        oddities: m.oddities.iter().map(odd).collect(),
    })
}

/// Names of oddities and checksums are fixed words of the program; those read from a document are kept once each.
/// Past a limit, or where a name is too long to be one, it becomes `unlisted`.
fn lasting(name: &str) -> &'static str {
    const MOST: usize = 500;
    const LONGEST: usize = 64;
    static NAMES: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut names = NAMES.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(kept) = names.get(name) {
        return kept;
    }
    if names.len() >= MOST || name.len() > LONGEST {
        return "unlisted";
    }
    let kept: &'static str = Box::leak(name.to_string().into_boxed_str());
    names.insert(kept);
    kept
}

fn errors(e: &Errors) -> Outcome<ErrorCounts> {
    const STATES: [(u8, &str); 3] = [(0, "not-read"), (1, "no-driver"), (2, "read")];
    let state = maybe("/errors/state", e.state.as_ref(), &STATES)?;
    Ok(match state {
        None | Some(0) => ErrorCounts::NotRead,
        Some(1) => ErrorCounts::NoDriver,
        Some(_) => ErrorCounts::Read(e.controllers.iter().map(controller).collect()),
    })
}

fn controller(c: &Controller) -> ErrorController {
    ErrorController {
        index: c.index,
        driver: c.driver.clone(),
        size: c.size_mib.map(Capacity::from_mib),
        corrected: c.corrected,
        uncorrected: c.uncorrected,
        corrected_unplaced: c.corrected_unplaced,
        uncorrected_unplaced: c.uncorrected_unplaced,
        seconds: c.seconds,
        modules: c.modules.iter().map(counted).collect(),
    }
}

fn counted(m: &Counted) -> ErrorModule {
    ErrorModule {
        index: m.index,
        by_rank: m.by_rank,
        label: m.label.clone(),
        location: m.location.iter().map(|l| (l.layer.clone(), l.index)).collect(),
        size: m.size_mib.map(Capacity::from_mib),
        kind: m.kind.clone(),
        device: m.device.clone(),
        mode: m.mode.clone(),
        corrected: m.corrected,
        uncorrected: m.uncorrected,
    }
}
