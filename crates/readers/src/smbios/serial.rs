//! Serial numbers: 18 hexadecimal digits are nine bytes of a DDR5 SPD (JESD400-5, bytes 512 to 520), of which only the
//! last four are the serial.

use domain::reading::{Made, MakerId};

/// What the nine bytes tell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Long {
    pub maker: MakerId,
    pub location: u8,
    pub made: Made,
    pub serial: String,
}

/// Takes 18 digits apart; `None` where they are something else.
pub(super) fn long(text: &str) -> Option<Long> {
    if text.len() != 18 || !text.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let byte = |i: usize| text.get(2 * i..2 * i + 2).and_then(|d| u8::from_str_radix(d, 16).ok());
    let decimal = |i: usize| text.get(2 * i..2 * i + 2).and_then(|d| d.parse::<u8>().ok());
    let maker = crate::maker::from_bytes(byte(0)?, byte(1)?)?;
    let (year, week) = (decimal(3)?, decimal(4)?);
    if !(1..=53).contains(&week) {
        return None;
    }
    Some(Long {
        maker,
        location: byte(2)?,
        made: Made { year: 2000 + u16::from(year), week },
        serial: text.get(10..)?.to_ascii_uppercase(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eighteen_digits_hold_maker_date_and_serial() {
        let long = long("80CE0123401a2b3c4d");
        assert_eq!(
            long.as_ref().map(|l| (l.maker.id, l.location, l.made.year, l.made.week)),
            Some((0x4E, 1, 2023, 40))
        );
        assert_eq!(long.map(|l| l.serial), Some("1A2B3C4D".to_string()));
    }

    #[test]
    fn other_texts_stay_whole() {
        for text in ["1A2B3C4D", "80CE01239901234567", "80CE01234012345zzz", "000001234012345678"] {
            assert_eq!(long(text), None, "{text}");
        }
    }
}
