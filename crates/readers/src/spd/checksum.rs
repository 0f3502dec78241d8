//! The checksums that contents carry.

use super::layout::Contents;
use crc::{CRC_16_XMODEM, Crc, Table};
use domain::Generation;

/// Polynomial 0x1021 from 0, unreflected, as all three standards have it; sixteen bytes a step for speed.
const CRC: Crc<u16, Table<16>> = Crc::<u16, Table<16>>::new(&CRC_16_XMODEM);

/// One checksum: what it covers and where it is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sum {
    /// What it covers, in words.
    pub name: &'static str,
    /// The first byte that it covers, and one past the last.
    pub from: usize,
    pub to: usize,
    /// Where it is stored, least significant byte first.
    pub at: usize,
}

/// The checksums of a generation. A DDR3 module says in byte 0 whether its own covers 117 bytes or 126.
pub fn sums(generation: Generation, short: bool) -> &'static [Sum] {
    match generation {
        Generation::Ddr3 if short => &[Sum { name: "base", from: 0, to: 117, at: 126 }],
        Generation::Ddr3 => &[Sum { name: "base", from: 0, to: 126, at: 126 }],
        Generation::Ddr4 => &[
            Sum { name: "base", from: 0, to: 126, at: 126 },
            Sum { name: "module section", from: 128, to: 254, at: 254 },
        ],
        Generation::Ddr5 => &[Sum { name: "base", from: 0, to: 510, at: 510 }],
    }
}

impl Sum {
    /// Computes it.
    pub fn compute(&self, contents: &Contents) -> u16 {
        CRC.checksum(contents.get(self.from..self.to).unwrap_or_default())
    }
    /// What is stored.
    pub fn stored(&self, contents: &Contents) -> u16 {
        let byte = |at: usize| contents.get(at).copied().unwrap_or_default();
        u16::from_le_bytes([byte(self.at), byte(self.at + 1)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_value_is_the_published_one() {
        assert_eq!(CRC.checksum(b"123456789"), 0x31C3);
    }
}
