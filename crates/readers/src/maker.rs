//! Who made something, by JEDEC JEP106: from an id, and from the many ways in which machines report one.

use domain::reading::{Maker, MakerId, ModuleReading, Text};
use std::sync::LazyLock;

/// Names that the list of the `jep106` crate 0.3.0 lacks and its release 0.2.8 had (list of January 2022).
const LOST: &[(u8, u8, &str)] = &[
    (0, 0x37, "Zarlink"),
    (0, 0x70, "Qualcomm"),
    (1, 0x37, "AMIC"),
    (1, 0x6F, "Advantage Memory"),
    (2, 0x36, "Hi/fn"),
    (2, 0x6F, "MultiLink"),
    (3, 0x35, "API NetWorks"),
    (3, 0x6E, "Litchfield"),
    (4, 0x34, "Quake"),
    (4, 0x6D, "Supreme Top"),
    (5, 0x33, "Telecis"),
    (5, 0x6C, "Tego"),
    (6, 0x32, "Montage Technology Group"),
    (6, 0x6A, "Contour"),
];
/// The maker of the examples' modules, which nobody is: the last id of the last bank, so that no real company stands in them.
/// A list that gives this id out comes first.
const INVENTED: (u8, u8, &str) = (16, 0x7E, "Avocet Modules (invented)");
/// Continuation codes that a maker id may have: the list has 17 banks.
const MOST_CONTINUATIONS: u8 = 16;

/// Banks with their names by number; asked of the list once, which copies a bank for each question.
static NAMES: LazyLock<Vec<[Option<&'static str>; 0x80]>> = LazyLock::new(|| {
    let bank = |continuations| std::array::from_fn(|number| listed(continuations, u8::try_from(number).ok()?));
    (0..=MOST_CONTINUATIONS).map(bank).collect()
});

fn listed(continuations: u8, id: u8) -> Option<&'static str> {
    let lost = LOST.iter().find(|(bank, number, _)| (*bank, *number) == (continuations, id));
    let invented = || (INVENTED.0 == continuations && INVENTED.1 == id).then_some(INVENTED.2);
    let given = || jep106::JEP106Code::new(continuations, id).get();
    lost.map(|(_, _, name)| *name).or_else(given).or_else(invented)
}

/// The maker's name in JEP106, where the list has it.
pub fn name(id: MakerId) -> Option<&'static str> {
    NAMES.get(usize::from(id.continuations))?.get(usize::from(id.id)).copied().flatten()
}

/// A maker by id, with its name where the list has it.
pub fn by_id(id: MakerId) -> Maker {
    Maker { name: name(id).map(Text::new_static), id: Some(id) }
}

/// The id beside a name, or in its place; a maker that is known by id already stays.
pub(crate) fn identify(reading: &mut ModuleReading, id: MakerId) {
    match &mut reading.maker {
        Some(known) => known.id = known.id.or(Some(id)),
        None => reading.maker = Some(by_id(id)),
    }
}

/// The id in two bytes as an SPD stores them: continuation codes, then the id, each with or without parity.
/// `None` for blank bytes and for what can be no id.
pub fn from_bytes(continuations: u8, id: u8) -> Option<MakerId> {
    let (bank, number) = (continuations & 0x7F, id & 0x7F);
    (bank <= MOST_CONTINUATIONS && number != 0 && number != 0x7F).then_some(MakerId { continuations: bank, id: number })
}

/// Has a byte the odd parity that JEP106 gives it in bit 7?
pub fn parity_holds(byte: u8) -> bool {
    byte.count_ones() % 2 == 1
}

/// Who made a module, as a code of hexadecimal digits tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coded {
    pub module: MakerId,
    pub register: Option<MakerId>,
    pub dram: Option<MakerId>,
}

/// Reads a maker code in hexadecimal, as many machines report one in place of a name: `0x0198`, `80AD`, `AD00` (the two
/// bytes the other way round), `00CE00B300CE` (module, register and DRAM), `7F98000000000000` (one byte a continuation).
pub fn coded(text: &str) -> Option<Coded> {
    let trimmed = text.trim();
    let digits = trimmed.strip_prefix("0x").or_else(|| trimmed.strip_prefix("0X")).unwrap_or(trimmed);
    let bytes = hex(digits)?;
    let alone = |module| Coded { module, register: None, dram: None };
    match bytes.as_slice() {
        [a, b] => pair(*a, *b).map(alone),
        [a, b, c, d, e, f] => {
            Some(Coded { module: pair(*a, *b)?, register: from_bytes(*c, *d), dram: from_bytes(*e, *f) })
        }
        more if more.len() == 8 => {
            let continuations = more.iter().take_while(|b| **b == 0x7F).count();
            let id = *more.get(continuations)?;
            let rest = more.get(continuations + 1..)?;
            let blank = rest.iter().all(|b| *b == 0) || rest.iter().all(|b| *b == 0xFF);
            from_bytes(u8::try_from(continuations).ok()?, id).filter(|_| blank).map(alone)
        }
        _ => None,
    }
}

fn pair(a: u8, b: u8) -> Option<MakerId> {
    let straight = from_bytes(a, b);
    let turned = from_bytes(b, a);
    // Where both orders are possible, the one that the list has a name for.
    straight.filter(|id| name(*id).is_some() || turned.is_none_or(|t| name(t).is_none())).or(turned)
}

fn hex(digits: &str) -> Option<Vec<u8>> {
    if !matches!(digits.len(), 4 | 12 | 16) || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    (0..digits.len() / 2).map(|i| u8::from_str_radix(digits.get(2 * i..2 * i + 2)?, 16).ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> Option<&'static str> {
        coded(text).and_then(|c| name(c.module))
    }

    #[test]
    fn codes_in_every_known_form_tell_the_maker() {
        let cases = [
            ("00CE00B300CE", "Samsung"),
            ("80CE80B380CE", "Samsung"),
            ("80CE", "Samsung"),
            ("CE00000000000000", "Samsung"),
            ("80AD", "SK Hynix"),
            ("0xAD00", "SK Hynix"),
            ("802C", "Micron Technology"),
            ("0x0198", "Kingston"),
            ("7F98000000000000", "Kingston"),
        ];
        for (text, expected) in cases {
            assert_eq!(told(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn a_long_code_tells_register_and_dram_too() {
        let coded = coded("00AD063200AD");
        assert_eq!(coded.and_then(|c| c.register).and_then(name), Some("Montage Technology Group"));
        assert_eq!(coded.and_then(|c| c.dram).and_then(name), Some("SK Hynix"));
    }

    #[test]
    fn names_and_blanks_are_no_codes() {
        for text in ["", "Samsung", "FFFFFFFFFFFF", "000000000000", "0000", "FACE BEEF", "12345"] {
            assert_eq!(coded(text), None, "{text}");
        }
    }
}
