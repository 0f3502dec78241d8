//! SK hynix: `HMA84GR7AFR4N-UH` (DDR4), `HMT42GR7AFR4C-RD` (DDR3).
//!
//! DDR4 by the maker's data sheets and parts seen; DDR3 from memory.

use super::cursor::Cursor;
use super::error::PartError;
use super::facts::{CUT_SHORT, Facts, Package, Speed, Type};
use domain::reading::{Form, MakerId};
use domain::{Generation, Kind};

pub const MAKER: &str = "SK hynix";
pub const ID: MakerId = MakerId { continuations: 0, id: 0x2D };

/// Density in Gbit of what one package holds.
const DENSITIES_DDR4: [(&str, u32); 5] = [("4", 4), ("8", 8), ("A", 16), ("B", 32), ("C", 64)];
const DENSITIES_DDR3: [(&str, u32); 4] = [("1", 1), ("3", 2), ("4", 4), ("8", 8)];
/// Depth in Mi words of 8 bytes.
const DEPTHS: [(&str, u64); 9] = [
    ("12", 128),
    ("25", 256),
    ("51", 512),
    ("1G", 1024),
    ("2G", 2048),
    ("4G", 4096),
    ("8G", 8192),
    ("AG", 16384),
    ("BG", 32768),
];
const SPEEDS_DDR4: [(&str, Speed); 5] = [
    ("TF", Speed::flat(2133, "P")),
    ("UH", Speed::flat(2400, "T")),
    ("VK", Speed::flat(2666, "V")),
    ("WM", Speed::flat(2933, "Y")),
    ("XN", Speed::flat(3200, "AA")),
];
const SPEEDS_DDR3: [(&str, Speed); 5] = [
    ("G7", Speed::clocks(1066, "", false, 7, 7)),
    ("H9", Speed::clocks(1333, "", false, 9, 9)),
    ("PB", Speed::clocks(1600, "", false, 11, 11)),
    ("RD", Speed::clocks(1866, "", false, 13, 13)),
    ("TE", Speed::clocks(2133, "", false, 14, 14)),
];

/// Reads a number that starts with `HMA` or `HMT`.
pub fn read(cursor: &mut Cursor) -> Result<Facts, PartError> {
    let ddr4 = cursor.rest().get(2) == Some(&b'A');
    let mut facts = if ddr4 {
        Facts::new(ID, "SK hynix DDR4 module numbers, by the maker's data sheets", Generation::Ddr4)
    } else {
        Facts::new(ID, "SK hynix DDR3 module numbers, from memory", Generation::Ddr3)
    };
    cursor.at = 3;
    let densities: &[(&str, u32)] = if ddr4 { &DENSITIES_DDR4 } else { &DENSITIES_DDR3 };
    let Some(package_gbit) = cursor.code(densities) else {
        return cursor.bad(MAKER, "the density of a package");
    };
    let Some(words) = cursor.code(&DEPTHS) else {
        return cursor.bad(MAKER, "a depth such as 51, 1G or 4G");
    };
    facts.mib = Some(words * 8);
    module_type(cursor, &mut facts)?;
    if !cursor.next().is_some_and(|b| b.is_ascii_uppercase()) {
        cursor.at = cursor.at.saturating_sub(1);
        return cursor.bad(MAKER, "a letter for the die's generation");
    }
    let package = cursor.next();
    // `FP4C` in place of `FR4C` was seen on DDR3.
    let material = cursor.eat(b"R") || (!ddr4 && cursor.eat(b"P"));
    if !package.is_some_and(|b| b.is_ascii_alphanumeric()) || !material {
        return cursor.bad(MAKER, "the package and R");
    }
    facts.width = match cursor.here() {
        Some(b'4') => Some(4),
        Some(b'8') => Some(8),
        Some(b'6') => Some(16),
        _ => return cursor.bad(MAKER, "a device width (4, 8 or 6)"),
    };
    cursor.at += 1;
    match cursor.next() {
        Some(b'N') if ddr4 => {}
        Some(b'C') if !ddr4 => facts.millivolts = Some(1500),
        Some(b'A') if !ddr4 => facts.millivolts = Some(1350),
        Some(b'A'..=b'Z') if !ddr4 => {}
        _ => {
            cursor.at = cursor.at.saturating_sub(1);
            return cursor.bad(MAKER, if ddr4 { "the letter N" } else { "a letter for voltage and temperature" });
        }
    }
    cursor.eat(b"-");
    facts.speed = if ddr4 { cursor.code(&SPEEDS_DDR4) } else { cursor.code(&SPEEDS_DDR3) };
    if facts.speed.is_none() && cursor.rest().len() < 2 {
        facts.notes.push(CUT_SHORT.into());
    } else if facts.speed.is_none() {
        let code: String = cursor.rest().iter().take(2).map(|b| char::from(*b)).collect();
        facts.notes.push(format!("the speed code {code} is not in the tables"));
    }
    stack(&mut facts, package, package_gbit);
    Ok(facts)
}

fn module_type(cursor: &mut Cursor, facts: &mut Facts) -> Result<(), PartError> {
    let letter = cursor.next();
    let bits = cursor.next();
    let ecc = match bits {
        Some(b'7' | b'8') => 8,
        Some(b'6') => 0,
        _ => {
            cursor.at = cursor.at.saturating_sub(1);
            return cursor.bad(MAKER, "the bus width (6, 7 or 8)");
        }
    };
    facts.module = match letter {
        Some(b'R' | b'V') => Some(Type::new(Kind::Rdimm, Form::Dimm, Some(ecc))),
        Some(b'L') => Some(Type::new(Kind::Lrdimm, Form::Dimm, Some(ecc))),
        Some(b'U') => Some(Type::new(Kind::Udimm, Form::Dimm, Some(ecc))),
        Some(b'S' | b'A') => Some(Type::new(Kind::Udimm, Form::Sodimm, Some(ecc))),
        Some(b'A'..=b'Z') => None,
        _ => {
            cursor.at = cursor.at.saturating_sub(2);
            return cursor.bad(MAKER, "a module letter (R, L, U or S)");
        }
    };
    if letter == Some(b'V') {
        facts.notes.push("a very low profile module (from memory)".into());
    }
    Ok(())
}

/// What the package holds: F and J one die, M two as package ranks; B and P are called stacked, 2 and 4 from memory.
fn stack(facts: &mut Facts, package: Option<u8>, package_gbit: u32) {
    let (dies, kind) = match package {
        Some(b'F' | b'J') => (1, Package::Mono),
        Some(b'M') => (2, Package::Loads),
        Some(b'B') if facts.speed.is_some() => {
            facts.notes.push(
                "the package holds two dies; taken as package ranks, as the speed is one of parts without 3DS stacks"
                    .into(),
            );
            (2, Package::Loads)
        }
        Some(b'2') => (2, Package::Stack(2)),
        Some(b'4') => (4, Package::Stack(4)),
        _ => (0, Package::Untold),
    };
    if matches!(kind, Package::Stack(_)) {
        facts.notes.push("the height of the stack is read from memory of such parts".into());
    }
    facts.package = kind;
    facts.die_gbit = package_gbit.checked_div(dies).filter(|gbit| gbit * dies == package_gbit && *gbit > 0);
}
