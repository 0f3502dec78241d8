//! Samsung: `M393A4K40CB2-CTD` (DDR4), `M321R8GA0BB0-CQKDS` (DDR5), `M393B1K70DH0-YH9` (DDR3).
//!
//! DDR4 by the maker's module ordering table; DDR5 worked out from parts seen; DDR3 from memory.

use super::cursor::Cursor;
use super::error::PartError;
use super::facts::{CUT_SHORT, Facts, Package, Speed, Type};
use domain::reading::{Form, MakerId};
use domain::{Generation, Kind};

const MAKER: &str = "Samsung";
const ID: MakerId = MakerId { continuations: 0, id: 0x4E };

/// Data bits and outline of DDR3 and DDR4 modules.
const TYPES: [(&str, Type); 8] = [
    ("471", Type::new(Kind::Udimm, Form::Sodimm, Some(0))),
    ("474", Type::new(Kind::Udimm, Form::Sodimm, Some(8))),
    ("378", Type::new(Kind::Udimm, Form::Dimm, Some(0))),
    ("386", Type::new(Kind::Lrdimm, Form::Dimm, Some(8))),
    ("390", Type::new(Kind::Rdimm, Form::Dimm, Some(8))),
    ("391", Type::new(Kind::Udimm, Form::Dimm, Some(8))),
    ("392", Type::new(Kind::Rdimm, Form::Dimm, Some(8))),
    ("393", Type::new(Kind::Rdimm, Form::Dimm, Some(8))),
];
/// The same of DDR5; registered modules were seen with 8 ECC bits a sub-channel only.
const TYPES_DDR5: [(&str, Type); 5] = [
    ("321", Type::new(Kind::Rdimm, Form::Dimm, Some(8))),
    ("323", Type::new(Kind::Udimm, Form::Dimm, Some(0))),
    ("324", Type::new(Kind::Udimm, Form::Dimm, Some(4))),
    ("425", Type::new(Kind::Udimm, Form::Sodimm, Some(0))),
    ("426", Type::new(Kind::Udimm, Form::Sodimm, Some(4))),
];
/// Depth in Mi words of 8 bytes, and the densities of dies in Gbit that it can be built from.
type Depth = (u64, &'static [u32]);
const DEPTHS_DDR3: [(&str, Depth); 12] = [
    ("28", (128, &[1])),
    ("29", (128, &[2])),
    ("56", (256, &[1])),
    ("57", (256, &[2])),
    ("51", (512, &[1, 4])),
    ("52", (512, &[2])),
    ("1K", (1024, &[2])),
    ("1G", (1024, &[4, 1])),
    ("2K", (2048, &[2])),
    ("2G", (2048, &[4])),
    ("4G", (4096, &[4])),
    ("8G", (8192, &[4, 8])),
];
const DEPTHS_DDR4: [(&str, Depth); 15] = [
    ("56", (256, &[4])),
    ("51", (512, &[4])),
    ("52", (512, &[8])),
    ("1K", (1024, &[8])),
    ("2K", (2048, &[8])),
    ("4K", (4096, &[8])),
    ("8K", (8192, &[8])),
    ("AK", (16384, &[8])),
    ("BK", (32768, &[8])),
    ("1G", (1024, &[4, 16])),
    ("2G", (2048, &[4, 16])),
    ("4G", (4096, &[4, 16])),
    ("8G", (8192, &[4, 16])),
    ("AG", (16384, &[4, 16])),
    ("BG", (32768, &[4, 16])),
];
/// `J` (32 Gbit) and the whole of 24 Gbit but `YG` from memory.
const DEPTHS_DDR5: [(&str, Depth); 11] = [
    ("1G", (1024, &[16])),
    ("2G", (2048, &[16])),
    ("3G", (3072, &[24])),
    ("4G", (4096, &[16])),
    ("6G", (6144, &[24])),
    ("8G", (8192, &[16])),
    ("YG", (12288, &[24])),
    ("AG", (16384, &[16])),
    ("BG", (32768, &[16])),
    ("8J", (8192, &[32])),
    ("AJ", (16384, &[32])),
];
const PACKAGES: [(&str, Package); 6] = [
    ("B", Package::Mono),
    ("M", Package::Loads),
    ("2", Package::Stack(2)),
    ("3", Package::Stack(2)),
    ("4", Package::Stack(4)),
    ("5", Package::Stack(4)),
];
/// `2` seen; `4` from memory.
const PACKAGES_DDR5: [(&str, Package); 3] = [("B", Package::Mono), ("2", Package::Stack(2)), ("4", Package::Stack(4))];
const PACKAGES_DDR3: [(&str, Package); 4] =
    [("B", Package::Mono), ("H", Package::Mono), ("Z", Package::Mono), ("M", Package::Loads)];
const SPEEDS_DDR3: [(&str, Speed); 6] = [
    ("F7", Speed::clocks(800, "", false, 6, 6)),
    ("F8", Speed::clocks(1066, "", false, 7, 7)),
    ("H9", Speed::clocks(1333, "", false, 9, 9)),
    ("K0", Speed::clocks(1600, "", false, 11, 11)),
    ("MA", Speed::clocks(1866, "", false, 13, 13)),
    ("NB", Speed::clocks(2133, "", false, 14, 14)),
];
const SPEEDS_DDR4: [(&str, Speed); 10] = [
    ("PB", Speed::flat(2133, "P")),
    ("RB", Speed::stacked(2133, "P")),
    ("RC", Speed::flat(2400, "T")),
    ("TC", Speed::stacked(2400, "T")),
    ("TD", Speed::flat(2666, "V")),
    ("WD", Speed::stacked(2666, "V")),
    ("VF", Speed::flat(2933, "Y")),
    ("YF", Speed::stacked(2933, "Y")),
    ("WE", Speed::flat(3200, "AA")),
    ("AE", Speed::stacked(3200, "AA")),
];
const SPEEDS_DDR5: [(&str, Speed); 4] = [
    ("QK", Speed::flat(4800, "B")),
    ("WK", Speed::stacked(4800, "B")),
    ("WM", Speed::flat(5600, "B")),
    ("CP", Speed::flat(6400, "B")),
];

struct Tables {
    scheme: &'static str,
    types: &'static [(&'static str, Type)],
    depths: &'static [(&'static str, Depth)],
    packages: &'static [(&'static str, Package)],
    speeds: &'static [(&'static str, Speed)],
    /// The digit or letter of banks and interface.
    banks: &'static [u8],
}

fn tables(generation: Generation) -> Tables {
    match generation {
        Generation::Ddr3 => Tables {
            scheme: "Samsung DDR3 module numbers, from memory",
            types: &TYPES,
            depths: &DEPTHS_DDR3,
            packages: &PACKAGES_DDR3,
            speeds: &SPEEDS_DDR3,
            banks: b"7",
        },
        Generation::Ddr4 => Tables {
            scheme: "Samsung DDR4 module numbers, by the maker's ordering table",
            types: &TYPES,
            depths: &DEPTHS_DDR4,
            packages: &PACKAGES,
            speeds: &SPEEDS_DDR4,
            banks: b"4",
        },
        Generation::Ddr5 => Tables {
            scheme: "Samsung DDR5 module numbers, worked out from parts seen",
            types: &TYPES_DDR5,
            depths: &DEPTHS_DDR5,
            packages: &PACKAGES_DDR5,
            speeds: &SPEEDS_DDR5,
            banks: b"AB",
        },
    }
}

/// Reads a number that starts with `M` and three digits.
pub fn read(cursor: &mut Cursor) -> Result<Facts, PartError> {
    let generation = match cursor.rest().get(4) {
        Some(b'A') => Generation::Ddr4,
        Some(b'B') => Generation::Ddr3,
        Some(b'R') => Generation::Ddr5,
        _ => {
            cursor.at = 4;
            return cursor.bad(MAKER, "the letter of a generation (B, A or R)");
        }
    };
    let tables = tables(generation);
    let mut facts = Facts::new(ID, tables.scheme, generation);
    cursor.at = 1;
    if [&b"390"[..], b"392"].iter().any(|low| cursor.rest().starts_with(low)) {
        facts.notes.push("a very low profile module".into());
    }
    facts.module = cursor.code(tables.types);
    cursor.at = 5;
    let Some((words, dies)) = cursor.code(tables.depths) else {
        return cursor.bad(MAKER, "a depth such as 51, 4K or 8G");
    };
    facts.mib = Some(words * 8);
    if !cursor.here().is_some_and(|b| tables.banks.contains(&b)) {
        return cursor.bad(MAKER, "the code of banks and interface");
    }
    cursor.at += 1;
    facts.width = match cursor.here() {
        Some(b'0') => Some(4),
        Some(b'3') => Some(8),
        Some(b'4') => Some(16),
        _ => return cursor.bad(MAKER, "a device width (0, 3 or 4)"),
    };
    cursor.at += 1;
    if !cursor.next().is_some_and(|b| b.is_ascii_uppercase()) {
        cursor.at = cursor.at.saturating_sub(1);
        return cursor.bad(MAKER, "a letter for the die's generation");
    }
    facts.package = cursor.code(tables.packages).unwrap_or(Package::Untold);
    if facts.package == Package::Untold && !cursor.next().is_some_and(|b| b.is_ascii_alphanumeric()) {
        cursor.at = cursor.at.saturating_sub(1);
        return cursor.bad(MAKER, "the code of the package");
    }
    facts.die_gbit = one_die(&facts, dies);
    cursor.take(|b| b.is_ascii_alphanumeric());
    speed(cursor, generation, tables.speeds, &mut facts)?;
    Ok(facts)
}

/// The one density that gives ranks which modules of this package have.
fn one_die(facts: &Facts, dies: &[u32]) -> Option<u32> {
    let ranks: &[u8] = match facts.package {
        Package::Mono => &[1, 2],
        Package::Loads => &[2, 4],
        Package::Stack(2) => &[2, 4],
        Package::Stack(_) => &[4, 8],
        Package::Untold => &[],
    };
    if let [one] = dies {
        return Some(*one);
    }
    let mut fit = dies.iter().copied().filter(|gbit| facts.ranks(*gbit).is_some_and(|r| ranks.contains(&r)));
    fit.next().filter(|_| fit.next().is_none())
}

fn speed(
    cursor: &mut Cursor,
    generation: Generation,
    speeds: &[(&str, Speed)],
    facts: &mut Facts,
) -> Result<(), PartError> {
    if cursor.here().is_none() {
        return Ok(());
    }
    if !cursor.eat(b"-") {
        return cursor.bad(MAKER, "the dash before the speed");
    }
    let letter = cursor.next();
    if generation == Generation::Ddr3 {
        facts.millivolts = match letter {
            Some(b'C') => Some(1500),
            Some(b'Y') => Some(1350),
            _ => None,
        };
    }
    facts.speed = cursor.code(speeds);
    if facts.speed.is_none() && cursor.rest().len() < 2 {
        facts.notes.push(CUT_SHORT.into());
    } else if facts.speed.is_none() {
        let code: String = cursor.rest().iter().take(2).map(|b| char::from(*b)).collect();
        facts.notes.push(format!("the speed code {code} is not in the tables"));
    }
    let stacked = matches!(facts.package, Package::Stack(_));
    if facts.speed.is_some_and(|s| s.stacked) && facts.package == Package::Mono {
        facts.notes.push("the speed is one of 3DS parts, the package has one die".into());
    } else if generation == Generation::Ddr4 && facts.speed.is_some_and(|s| !s.stacked) && stacked {
        facts.notes.push("the speed is one of parts without stacks, the package is a stack".into());
    }
    Ok(())
}
