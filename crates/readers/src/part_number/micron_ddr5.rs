//! Micron DDR5: `MTC40F2046S1RC48BA1`, worked out from parts seen; no table of the maker's was found.

use super::cursor::Cursor;
use super::error::PartError;
use super::facts::{Facts, Package, Speed, Type};
use super::micron::{ID, MAKER};
use domain::reading::Form;
use domain::{Generation, Kind};

/// Capacity in GiB; 4, 5, 6 and W seen, 3, 7 and 8 by the pattern.
const CAPACITIES: [(&str, u64); 7] = [("3", 8), ("4", 16), ("5", 32), ("6", 64), ("7", 128), ("8", 256), ("W", 96)];
const TYPES: [(&str, Type); 5] = [
    ("R", Type::new(Kind::Rdimm, Form::Dimm, None)),
    ("H", Type::new(Kind::Mrdimm, Form::Dimm, None)),
    ("E", Type::new(Kind::Udimm, Form::Dimm, Some(4))),
    ("U", Type::new(Kind::Udimm, Form::Dimm, Some(0))),
    ("S", Type::new(Kind::Udimm, Form::Sodimm, Some(0))),
];
/// Hundreds of MT/s.
const RATES: [(&str, u32); 8] =
    [("48", 4800), ("52", 5200), ("56", 5600), ("60", 6000), ("64", 6400), ("72", 7200), ("80", 8000), ("88", 8800)];
const BINS: [(&str, &str); 3] = [("A", "A"), ("B", "B"), ("C", "C")];

/// Reads a number that starts with `MTC` and a digit.
pub fn read(cursor: &mut Cursor) -> Result<Facts, PartError> {
    let scheme = "Micron DDR5 module numbers, worked out from parts seen";
    let mut facts = Facts::new(ID, scheme, Generation::Ddr5);
    cursor.at = 3;
    let Some(devices) = cursor.number().filter(|n| (2..=160).contains(n)) else {
        return cursor.bad(MAKER, "the number of devices");
    };
    if !matches!(cursor.here(), Some(b'F' | b'C')) {
        return cursor.bad(MAKER, "F or C");
    }
    cursor.at += 1;
    let Some(ranks) = cursor.here().filter(|b| (b'1'..=b'8').contains(b)).map(|b| b - b'0') else {
        return cursor.bad(MAKER, "the number of ranks");
    };
    cursor.at += 1;
    let Some(width) = cursor.code(&[("04", 4u8), ("08", 8), ("016", 16), ("16", 16)]) else {
        return cursor.bad(MAKER, "the device width (04, 08 or 016)");
    };
    let capacity = cursor.code(&CAPACITIES);
    if capacity.is_none() && cursor.next().is_none() {
        return cursor.bad(MAKER, "the code of the capacity");
    }
    if !cursor.next().is_some_and(|b| b.is_ascii_uppercase()) || !cursor.next().is_some_and(|b| b.is_ascii_digit()) {
        cursor.at = cursor.at.saturating_sub(1);
        return cursor.bad(MAKER, "a letter and a digit such as S1");
    }
    let Some(module) = cursor.code(&TYPES) else {
        return cursor.bad(MAKER, "a module letter (R, H, E, U or S)");
    };
    if !cursor.eat(b"C") {
        return cursor.bad(MAKER, "the letter C");
    }
    let Some(mts) = cursor.code(&RATES) else {
        return cursor.bad(MAKER, "a rate such as 48 or 56");
    };
    let grade = cursor.code(&BINS);
    if grade.is_none() && module.kind != Kind::Mrdimm {
        return cursor.bad(MAKER, "a speed bin such as B");
    }
    facts.width = Some(width);
    facts.module = Some(Type { ecc_bits: ecc_bits(devices, ranks, width).or(module.ecc_bits), ..module });
    facts.speed = Some(Speed::flat(mts, grade.unwrap_or_default()));
    facts.mib = capacity.map(|gib| gib * 1024);
    dies(&mut facts, devices, ranks);
    Ok(facts)
}

/// ECC bits a sub-channel: devices of a rank × width, less the 64 data bits, halved.
fn ecc_bits(devices: u32, ranks: u8, width: u8) -> Option<u8> {
    let ranks = u32::from(ranks);
    let spare = (devices / ranks * u32::from(width)).checked_sub(64).filter(|_| devices.is_multiple_of(ranks))?;
    u8::try_from(spare / 2).ok().filter(|bits| matches!(bits, 0 | 4 | 8))
}

fn dies(facts: &mut Facts, devices: u32, ranks: u8) {
    let known = [16, 24, 32];
    let gbit = known.into_iter().find(|gbit| facts.ranks(*gbit) == Some(ranks));
    if gbit.is_some() {
        (facts.die_gbit, facts.package) = (gbit, Package::Mono);
    } else if facts.mib.is_some() {
        facts.notes.push(format!("{devices} devices in {ranks} ranks do not give this capacity with single dies"));
    }
}
