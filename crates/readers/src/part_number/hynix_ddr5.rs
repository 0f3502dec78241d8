//! SK hynix DDR5: `HMCG94MEBRA123N`, worked out from parts seen; no table of the maker's is public.

use super::cursor::Cursor;
use super::error::PartError;
use super::facts::{Facts, Package, Speed, Type};
use super::hynix::{ID, MAKER};
use domain::reading::Form;
use domain::{Generation, Kind};

/// Capacity in GiB and density of a die in Gbit; 6, 7, 8, 9 and Y seen, M from memory.
const CAPACITIES: [(&str, (u64, u32)); 6] =
    [("6", (8, 16)), ("7", (16, 16)), ("8", (32, 16)), ("9", (64, 16)), ("Y", (48, 24)), ("M", (96, 24))];
/// 3DS modules, `HMCT`: capacity and height of the stack, from memory.
const STACKED: [(&str, (u64, u8)); 2] = [("0", (128, 2)), ("1", (256, 4))];
/// E and G seen, H from memory.
const SPEEDS: [(&str, u32); 3] = [("E", 4800), ("G", 5600), ("H", 6400)];
const TYPES: [(&str, Type); 4] = [
    ("R", Type::new(Kind::Rdimm, Form::Dimm, None)),
    ("U", Type::new(Kind::Udimm, Form::Dimm, Some(0))),
    ("E", Type::new(Kind::Udimm, Form::Dimm, Some(4))),
    ("S", Type::new(Kind::Udimm, Form::Sodimm, Some(0))),
];

/// Reads a number that starts with `HMCG` or `HMCT`.
pub fn read(cursor: &mut Cursor) -> Result<Facts, PartError> {
    let stacked = cursor.rest().starts_with(b"HMCT");
    let scheme = "SK hynix DDR5 module numbers, worked out from parts seen";
    let mut facts = Facts::new(ID, scheme, Generation::Ddr5);
    cursor.at = 4;
    let size = if stacked {
        cursor.code(&STACKED).map(|(gib, high)| (gib, 16, Package::Stack(high)))
    } else {
        cursor.code(&CAPACITIES).map(|(gib, gbit)| (gib, gbit, Package::Mono))
    };
    let Some((gib, gbit, package)) = size else {
        return cursor.bad(MAKER, "a known code of the capacity");
    };
    if stacked {
        facts.notes.push("the numbers of 3DS modules are read from memory of such parts".into());
    }
    (facts.mib, facts.die_gbit, facts.package) = (Some(gib * 1024), Some(gbit), package);
    facts.width = match cursor.here() {
        Some(b'4') => Some(4),
        Some(b'8') => Some(8),
        Some(b'6') => Some(16),
        _ => return cursor.bad(MAKER, "a device width (4, 8 or 6)"),
    };
    cursor.at += 1;
    if !cursor.here().is_some_and(|b| b.is_ascii_uppercase()) {
        return cursor.bad(MAKER, "a letter for the die's generation");
    }
    cursor.at += 1;
    let Some(mts) = cursor.code(&SPEEDS) else {
        return cursor.bad(MAKER, "a speed letter (E, G or H)");
    };
    facts.speed = Some(Speed { mts, grade: "B", stacked, clocks: None });
    if !stacked && !cursor.eat(b"B") {
        return cursor.bad(MAKER, "the letter B");
    }
    if stacked {
        cursor.at += 1;
    }
    let Some(module) = cursor.code(&TYPES) else {
        return cursor.bad(MAKER, "a module letter (R, U, E or S)");
    };
    facts.module = Some(module);
    let rest = cursor.take(|b| b.is_ascii_alphanumeric());
    let form = matches!(rest, [] | [b'A'..=b'Z'] | [b'A'..=b'Z', b'0'..=b'9', b'0'..=b'9', b'0'..=b'9', ..]);
    if !form {
        cursor.at = cursor.at.saturating_sub(rest.len());
        return cursor.bad(MAKER, "a letter and three digits");
    }
    Ok(facts)
}
