//! Micron: `MTA36ASF8G72PZ-3G2E1` (DDR4), `MT36KSF2G72PZ-1G6E1` (DDR3). SPD contents leave out `MTA`.
//!
//! By the maker's module part numbering tables; the DDR3 speeds from memory.

use super::cursor::Cursor;
use super::error::PartError;
use super::facts::{CUT_SHORT, Facts, Package, Speed, Type};
use domain::reading::{Form, MakerId};
use domain::{Generation, Kind};

pub const MAKER: &str = "Micron";
pub const ID: MakerId = MakerId { continuations: 0, id: 0x2C };

const SPEEDS_DDR4: [(&str, Speed); 14] = [
    ("1G9", Speed::flat(1866, "M")),
    ("2G1", Speed::flat(2133, "P")),
    ("2S1", Speed::clocks(2133, "P", true, 18, 15)),
    ("2G3", Speed::flat(2400, "T")),
    ("2G4", Speed::flat(2400, "R")),
    ("2S4", Speed::stacked(2400, "T")),
    ("2S3", Speed::stacked(2400, "U")),
    ("2G6", Speed::flat(2666, "V")),
    ("2G7", Speed::flat(2666, "U")),
    ("2S6", Speed::stacked(2666, "V")),
    ("2G9", Speed::flat(2933, "Y")),
    ("2S9", Speed::stacked(2933, "Y")),
    ("3G2", Speed::flat(3200, "AA")),
    ("3S2", Speed::stacked(3200, "AA")),
];
const SPEEDS_DDR3: [(&str, Speed); 5] = [
    ("1G1", Speed::clocks(1066, "", false, 7, 7)),
    ("1G4", Speed::clocks(1333, "", false, 9, 9)),
    ("1G6", Speed::clocks(1600, "", false, 11, 11)),
    ("1G9", Speed::clocks(1866, "", false, 13, 13)),
    ("2G1", Speed::clocks(2133, "", false, 14, 14)),
];

/// Reads a number of a DDR3 or DDR4 module, with or without `MT` or `MTA`.
pub fn read(cursor: &mut Cursor) -> Result<Facts, PartError> {
    if cursor.eat(b"MT") {
        cursor.eat(b"A");
    }
    let Some(dies) = cursor.number().filter(|n| (2..=288).contains(n)) else {
        return cursor.bad(MAKER, "the number of dies");
    };
    let (generation, millivolts, scheme) = match cursor.here() {
        Some(b'A') => (Generation::Ddr4, None, "Micron DDR4 module numbers, by the maker's numbering table"),
        Some(b'K') => (Generation::Ddr3, Some(1350), "Micron DDR3 module numbers, by the maker's numbering table"),
        Some(b'J') => (Generation::Ddr3, Some(1500), "Micron DDR3 module numbers, by the maker's numbering table"),
        _ => return cursor.bad(MAKER, "a letter for the voltage (A, K or J)"),
    };
    cursor.at += 1;
    let mut facts = Facts::new(ID, scheme, generation);
    facts.millivolts = millivolts;
    let options = cursor.take(|b| b.is_ascii_uppercase());
    let in_package = match options.last() {
        Some(b'F') => 1,
        Some(b'S') => 2,
        Some(b'Q') => 4,
        Some(b'E') => 8,
        _ => return cursor.bad(MAKER, "options such as SF or SS"),
    };
    if options.first() == Some(&b'D') {
        facts.notes.push("a very low profile module".into());
    }
    let bits = depth(cursor, &mut facts)?;
    let letters = cursor.take(|b| b.is_ascii_uppercase());
    module_type(cursor, &mut facts, letters, bits)?;
    organisation(&mut facts, dies, in_package, bits, letters);
    speed(cursor, &mut facts);
    Ok(facts)
}

/// `8G72`, `51272`: depth in words of 8 bytes, and the bus width in bits.
fn depth(cursor: &mut Cursor, facts: &mut Facts) -> Result<u32, PartError> {
    let start = cursor.at;
    let figure = cursor.number();
    let (words, bits) = if cursor.eat(b"G") {
        (figure.map(|n| u64::from(n) * 1024), cursor.number())
    } else {
        (figure.map(|n| u64::from(n / 100)), figure.map(|n| n % 100))
    };
    match (words, bits) {
        (Some(words @ 64..=65_536), Some(bits @ (64 | 72))) if words.is_power_of_two() => {
            facts.mib = Some(words * 8);
            Ok(bits)
        }
        _ => {
            cursor.at = start;
            cursor.bad(MAKER, "a depth and a bus width such as 8G72 or 51272")
        }
    }
}

fn module_type(cursor: &Cursor, facts: &mut Facts, letters: &[u8], bits: u32) -> Result<(), PartError> {
    let ecc = Some(if bits == 72 { 8 } else { 0 });
    facts.module = match letters.first() {
        Some(b'P') => Some(Type::new(Kind::Rdimm, Form::Dimm, ecc)),
        Some(b'L') => Some(Type::new(Kind::Lrdimm, Form::Dimm, ecc)),
        Some(b'A') => Some(Type::new(Kind::Udimm, Form::Dimm, ecc)),
        Some(b'H') => Some(Type::new(Kind::Udimm, Form::Sodimm, ecc)),
        Some(_) => None,
        None => return cursor.bad(MAKER, "module letters such as PZ, LZ or AZ"),
    };
    Ok(())
}

/// Width, die density and package from the number of dies: registered modules with `D` and those of nine dies are built
/// from x8, other registered ones from x4; unbuffered ones from x8, or x16 where few.
fn organisation(facts: &mut Facts, dies: u32, in_package: u8, bits: u32, letters: &[u8]) {
    let data = dies * 64 / bits;
    let buffered = matches!(letters.first(), Some(b'P' | b'L'));
    let dual = letters.get(1) == Some(&b'D');
    let width: u32 = match (buffered, data / u32::from(in_package)) {
        (true, packages) if dual || packages == 8 => 8,
        (true, _) => 4,
        (false, 4 | 2) => 16,
        (false, _) => 8,
    };
    let gbit = facts.mib.map(|mib| mib * 8 / 1024).and_then(|all| all.checked_div(u64::from(data)));
    let usual: &[u32] = if facts.generation == Generation::Ddr4 { &[4, 8, 16] } else { &[1, 2, 4, 8] };
    facts.die_gbit = gbit.and_then(|g| u32::try_from(g).ok()).filter(|g| usual.contains(g));
    if !(dies * 64).is_multiple_of(bits) || facts.die_gbit.is_none() {
        facts.die_gbit = None;
        facts.notes.push(format!("{dies} dies do not give this capacity with dies that are known"));
        return;
    }
    facts.width = u8::try_from(width).ok();
    facts.package = match in_package {
        1 => Package::Mono,
        high if letters.get(1) == Some(&b'S') => Package::Stack(high),
        _ => Package::Loads,
    };
}

fn speed(cursor: &mut Cursor, facts: &mut Facts) {
    // The SPD of DDR3 leaves out the dash, and has no room for the end.
    cursor.eat(b"-");
    let ddr4 = facts.generation == Generation::Ddr4;
    facts.speed = if ddr4 { cursor.code(&SPEEDS_DDR4) } else { cursor.code(&SPEEDS_DDR3) };
    if facts.speed.is_none() {
        if cursor.rest().len() < 3 {
            facts.notes.push(CUT_SHORT.into());
            return;
        }
        let code: String = cursor.rest().iter().take(3).map(|b| char::from(*b)).collect();
        facts.notes.push(format!("the speed code {code} is not in the tables"));
    }
}
