//! The 18 hexadecimal digits of a serial number: bytes 512 to 520 of a DDR5 SPD (JESD400-5), as 2-D codes print them and
//! some machines report them.

use crate::maker;
use domain::reading::{Made, MakerId, ModuleReading, Oddity, Text};
use domain::snapshot::{Reported, ReportedField};

/// What the nine bytes tell. The digits are kept as they are, in capitals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LongSerial {
    /// The module's maker; `None` where the two bytes are no id of JEP106.
    pub maker: Option<MakerId>,
    /// The place of manufacture, the maker's own code.
    pub location: u8,
    /// `None` where year or week is not written in decimal digits.
    pub made: Option<Made>,
    /// The serial itself: eight digits.
    pub serial: String,
    /// Wrong parity of the maker's id, a date that is none.
    pub oddities: Vec<Oddity>,
}

/// Takes 18 digits apart; `None` where they are something else.
pub fn read(text: &str) -> Option<LongSerial> {
    let text = text.trim();
    if text.len() != 18 || !text.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let digits = text.to_ascii_uppercase();
    let byte = |i: usize| digits.get(2 * i..2 * i + 2).and_then(|d| u8::from_str_radix(d, 16).ok());
    let decimal = |i: usize| digits.get(2 * i..2 * i + 2).and_then(|d| d.parse::<u8>().ok());
    let (bank, id) = (byte(0)?, byte(1)?);
    let mut oddities = Vec::new();
    if ![bank, id].into_iter().all(maker::parity_holds) {
        let seen = format!("maker id {}: each byte has odd parity in JEP106", digits.get(..4)?);
        oddities.push(Oddity { name: "maker-parity-wrong", offset: Some(0), seen });
    }
    let made = decimal(3).zip(decimal(4)).map(|(year, week)| Made { year: 2000 + u16::from(year), week });
    if made.is_none() {
        let seen = format!("year and week {} are not decimal", digits.get(6..10)?);
        oddities.push(Oddity { name: "date-not-bcd", offset: Some(6), seen });
    }
    Some(LongSerial {
        maker: maker::from_bytes(bank, id),
        location: byte(2)?,
        made,
        serial: digits.get(10..)?.to_string(),
        oddities,
    })
}

/// Puts a serial that a machine reported into the reading. Eighteen digits are taken apart, and kept as reported; they may
/// be something else, so every part of them has to make sense. Other serials stay whole.
pub(crate) fn settle(number: Text, reading: &mut ModuleReading, reported: &mut Vec<Reported>) {
    let parts = read(&number).and_then(|long| {
        let made = long.made.filter(|made| (1..=53).contains(&made.week))?;
        Some((long.maker?, made, long))
    });
    let Some((module, made, long)) = parts else {
        reading.serial = Some(number);
        return;
    };
    if reported.iter().all(|r| r.field != ReportedField::Serial) {
        reported.push(Reported { field: ReportedField::Serial, text: number });
    }
    reading.serial = Some(long.serial.into());
    reading.made = Some(made);
    reading.location = Some(long.location);
    maker::identify(reading, module);
}
