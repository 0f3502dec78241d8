//! Maker, part number and serial of a module: cleaned for use, with the text as reported beside it where it differs.

use super::placeholder;
use super::serial;
use super::structure::{Strings, Structure};
use crate::maker;
use domain::reading::{Maker, ModuleReading};
use domain::snapshot::{Reported, ReportedField};

/// Fills the reading's identity.
pub(super) fn fill(
    s: &Structure<'_>,
    strings: &Strings<'_>,
    reading: &mut ModuleReading,
    reported: &mut Vec<Reported>,
) {
    let mut clean = |at: usize, field: ReportedField| {
        let raw = strings.get(s.byte(at)?)?;
        let trimmed = raw.trim();
        let blank = placeholder::is(trimmed);
        let kept = (!blank).then(|| trimmed.to_string());
        if blank || trimmed.len() != raw.len() {
            reported.push(Reported { field, text: raw.into_owned() });
        }
        kept
    };
    let named = clean(0x17, ReportedField::Maker);
    let number = clean(0x18, ReportedField::Serial);
    reading.part_number = clean(0x1A, ReportedField::PartNumber);
    if let Some(named) = named {
        name(named, reading, reported);
    }
    if let Some(number) = number {
        match serial::long(&number) {
            Some(long) => {
                keep(reported, ReportedField::Serial, number);
                reading.serial = Some(long.serial);
                reading.made = Some(long.made);
                reading.location = Some(long.location);
                identify(reading, long.maker);
            }
            None => reading.serial = Some(number),
        }
    }
    // Module Manufacturer ID: SPD's two bytes in their order (DSP0134 3.7, 7.18.8).
    if let Some([low, high]) = s.word(0x2C).map(u16::to_le_bytes)
        && let Some(id) = maker::from_bytes(low, high).or_else(|| maker::from_bytes(high, low))
    {
        identify(reading, id);
    }
}

fn name(named: String, reading: &mut ModuleReading, reported: &mut Vec<Reported>) {
    match maker::coded(&named) {
        Some(coded) => {
            reading.maker = Some(maker::by_id(coded.module));
            reading.register_maker = coded.register.map(maker::by_id);
            reading.dram_maker = coded.dram.map(maker::by_id);
            keep(reported, ReportedField::Maker, named);
        }
        None => reading.maker = Some(Maker { name: Some(named), id: None }),
    }
}

/// The id beside a name, or in its place; a maker that is known by id already stays.
fn identify(reading: &mut ModuleReading, id: domain::reading::MakerId) {
    match &mut reading.maker {
        Some(known) => known.id = known.id.or(Some(id)),
        None => reading.maker = Some(maker::by_id(id)),
    }
}

fn keep(reported: &mut Vec<Reported>, field: ReportedField, text: String) {
    if reported.iter().all(|r| r.field != field) {
        reported.push(Reported { field, text });
    }
}
