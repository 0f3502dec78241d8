//! Manufacturing information, alike over the generations: maker, place, date, serial and part number.

use super::Spd;
use super::sections::Sections;
use domain::reading::Made;

/// Manufacturing information as stored, with where each part lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manufacturing<'a> {
    pub maker: u16,
    pub location: u8,
    pub year: u8,
    pub week: u8,
    pub serial: u32,
    pub part_number: &'a [u8],
    pub revision: u8,
    pub dram_maker: u16,
    pub stepping: u8,
    /// Offset of the maker; location, year, week and serial follow it.
    pub at: usize,
    /// Offset of the part number.
    pub part_at: usize,
    /// Offset of the module revision.
    pub revision_at: usize,
    /// Offset of the DRAM maker.
    pub dram_at: usize,
    /// One past the last byte.
    pub end: usize,
}

/// The manufacturing information, even where the contents end before it.
pub fn manufacturing(sections: &Sections) -> Manufacturing<'_> {
    macro_rules! from {
        ($made:expr, $at:expr, $part:expr, $revision:expr, $dram:expr, $end:expr) => {
            Manufacturing {
                maker: $made.maker,
                location: $made.location,
                year: $made.year,
                week: $made.week,
                serial: $made.serial,
                part_number: &$made.part_number,
                revision: $made.revision,
                dram_maker: $made.dram_maker,
                stepping: $made.stepping,
                at: $at,
                part_at: $part,
                revision_at: $revision,
                dram_at: $dram,
                end: $end,
            }
        };
    }
    match sections {
        Sections::Ddr3 { made, .. } => from!(made, 117, 128, 146, 148, 150),
        Sections::Ddr4 { made, .. } => from!(made, 320, 329, 349, 350, 353),
        Sections::Ddr5 { made, .. } => from!(made, 512, 521, 551, 552, 555),
    }
}

/// Two decimal digits, a nibble each.
pub fn bcd(byte: u8) -> Option<u8> {
    let (tens, ones) = (byte >> 4, byte & 15);
    (tens < 10 && ones < 10).then_some(tens * 10 + ones)
}

impl Manufacturing<'_> {
    /// Is no date stored (00 00, FF FF)?
    pub fn date_blank(&self) -> bool {
        matches!((self.year, self.week), (0, 0) | (0xFF, 0xFF))
    }
    /// Year and week, both as decimal digits; `None` where nothing or something else is stored.
    pub fn made(&self) -> Option<Made> {
        if self.date_blank() {
            return None;
        }
        Some(Made { year: 2000 + u16::from(bcd(self.year)?), week: bcd(self.week)? })
    }
    /// Is no serial number stored?
    pub fn serial_blank(&self) -> bool {
        matches!(self.serial, 0 | u32::MAX)
    }
    /// The part number up to its filling of spaces, zeros or FF; other bytes than printing ASCII as `?`. `None` where
    /// it is all filling.
    pub fn part_number(&self) -> Option<String> {
        let filling = |b: &u8| matches!(b, 0 | b' ' | 0xFF);
        let end = self.part_number.iter().rposition(|b| !filling(b))? + 1;
        let text = self.part_number.get(..end)?;
        let letter = |b: &u8| if (0x20..0x7F).contains(b) { char::from(*b) } else { '?' };
        Some(text.iter().map(letter).collect::<String>().trim_start().to_string())
    }
    /// The first byte of the part number that is not printing ASCII, with its offset; filling at the end counts not.
    pub fn part_number_garbled(&self) -> Option<(usize, u8)> {
        let end = self.part_number.iter().rposition(|b| !matches!(b, 0 | b' ' | 0xFF))?;
        let at = self.part_number.iter().take(end).position(|b| !(0x20..0x7F).contains(b))?;
        Some((self.part_at + at, *self.part_number.get(at)?))
    }
}

impl Spd {
    /// The manufacturing information; `None` where the contents end before its end.
    pub fn manufacturing(&self) -> Option<Manufacturing<'_>> {
        let made = manufacturing(&self.sections);
        self.reaches(made.end).then_some(made)
    }
    /// What of the makers' own bytes was read, behind the manufacturing information.
    pub fn maker_bytes(&self) -> &[u8] {
        let (from, to) = match self.sections {
            Sections::Ddr3 { .. } => (150, 176),
            Sections::Ddr4 { .. } => (353, 382),
            Sections::Ddr5 { .. } => (555, 640),
        };
        self.rest.get(from.min(self.length)..to.min(self.length)).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimal_digits_only() {
        assert_eq!((bcd(0x23), bcd(0x99), bcd(0x1A), bcd(0xA0)), (Some(23), Some(99), None, None));
    }
}
