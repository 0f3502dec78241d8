//! Maker, part number and serial of a module: cleaned for use, with the text as reported beside it where it differs.

use super::placeholder;
use super::structure::{Strings, Structure};
use crate::{maker, serial};
use domain::reading::{Maker, ModuleReading, Text};
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
        let kept = (!blank).then(|| Text::new(trimmed));
        if blank || trimmed.len() != raw.len() {
            reported.push(Reported { field, text: raw.into() });
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
        serial::settle(number, reading, reported);
    }
    // Module Manufacturer ID: SPD's two bytes in their order (DSP0134 3.7, 7.18.8).
    if let Some([low, high]) = s.word(0x2C).map(u16::to_le_bytes)
        && let Some(id) = maker::from_bytes(low, high).or_else(|| maker::from_bytes(high, low))
    {
        maker::identify(reading, id);
    }
}

fn name(named: Text, reading: &mut ModuleReading, reported: &mut Vec<Reported>) {
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

fn keep(reported: &mut Vec<Reported>, field: ReportedField, text: Text) {
    if reported.iter().all(|r| r.field != field) {
        reported.push(Reported { field, text });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(serial: &[u8]) -> (ModuleReading, Vec<Reported>) {
        let mut formatted = [0; 0x22];
        formatted[0x18] = 1;
        let s = Structure { kind: 17, handle: 1, at: 0, formatted: &formatted, text: serial };
        let (mut reading, mut reported) = (ModuleReading::default(), Vec::new());
        fill(&s, &s.strings(), &mut reading, &mut reported);
        (reading, reported)
    }

    #[test]
    fn eighteen_digits_hold_maker_date_and_serial() {
        let (reading, reported) = read(b"80CE0123401a2b3c4d");
        assert_eq!(reading.serial.as_deref(), Some("1A2B3C4D"));
        assert_eq!(reading.maker.and_then(|m| m.id).map(|id| id.id), Some(0x4E));
        assert_eq!((reading.made.map(|m| (m.year, m.week)), reading.location), (Some((2023, 40)), Some(1)));
        assert_eq!(reported.first().map(|r| r.text.as_str()), Some("80CE0123401a2b3c4d"));
    }

    #[test]
    fn other_serials_stay_whole() {
        for text in ["1A2B3C4D", "80CE01239901234567", "80CE01234012345zzz", "000001234012345678"] {
            let (reading, reported) = read(text.as_bytes());
            assert_eq!((reading.serial.as_deref(), reported.len()), (Some(text), 0));
        }
    }
}
