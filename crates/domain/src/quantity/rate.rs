//! How fast a bus runs, and how much goes over it.

use super::{QuantityError, number_and_unit, unit_error};
use std::fmt;
use std::iter::Sum;
use std::ops::Add;

/// A transfer rate of one memory bus, in MT/s (10^6 transfers a second).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DataRate(u32);

impl DataRate {
    /// From MT/s.
    pub const fn from_mts(mts: u32) -> Self {
        Self(mts)
    }
    /// In MT/s.
    pub const fn mts(self) -> u32 {
        self.0
    }
    /// Reads `"2933 MT/s"` or `"2933"`.
    ///
    /// # Errors
    /// No number, another unit, or outside 200 to 20000 MT/s.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let (number, unit) = number_and_unit(text)?;
        if !matches!(unit.to_ascii_lowercase().as_str(), "" | "mt/s" | "mts") {
            return Err(unit_error(text, unit, "a data rate", "MT/s"));
        }
        if !(200.0..=20_000.0).contains(&number) || number.fract() != 0.0 {
            return Err(QuantityError::Range {
                text: text.to_string(),
                what: "a data rate",
                least: "200 MT/s",
                most: "20000 MT/s",
            });
        }
        Ok(Self(number as u32))
    }
}

impl fmt::Display for DataRate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} MT/s", self.0))
    }
}

/// Bytes moved a second, kept in whole MB/s (10^6 bytes), shown in GB/s (10^9).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Bandwidth(u64);

impl Bandwidth {
    /// None at all.
    pub const ZERO: Self = Self(0);
    /// From MB/s (10^6 bytes a second).
    pub const fn from_mbs(mbs: u64) -> Self {
        Self(mbs)
    }
    /// From GB/s, rounded to the nearest MB/s; negative or not finite counts as none.
    pub fn from_gbs(gbs: f64) -> Self {
        Self((gbs * 1000.0).round().max(0.0) as u64)
    }
    /// In MB/s.
    pub const fn mbs(self) -> u64 {
        self.0
    }
    /// In GB/s.
    pub fn gbs(self) -> f64 {
        self.0 as f64 / 1000.0
    }
    /// The bus's own limit: rate × 8 bytes × channels (64 data bits a channel; JEDEC JESD79-4, JESD79-5).
    pub const fn peak(rate: DataRate, channels: u32) -> Self {
        Self(rate.0 as u64 * 8 * channels as u64)
    }
    /// Reads `"150 GB/s"`.
    ///
    /// # Errors
    /// No number, another unit, negative, or beyond 100000 GB/s.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let (number, unit) = number_and_unit(text)?;
        let gbs = match unit.to_ascii_lowercase().as_str() {
            "gb/s" => number,
            "mb/s" => number / 1000.0,
            "tb/s" => number * 1000.0,
            _ => return Err(unit_error(text, unit, "a bandwidth", "MB/s, GB/s, TB/s")),
        };
        if !(0.0..=100_000.0).contains(&gbs) {
            return Err(QuantityError::Range {
                text: text.to_string(),
                what: "a bandwidth",
                least: "0 GB/s",
                most: "100000 GB/s",
            });
        }
        Ok(Self::from_gbs(gbs))
    }
}

impl Add for Bandwidth {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sum for Bandwidth {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}
impl fmt::Display for Bandwidth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.1} GB/s", self.gbs()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peak_is_rate_times_eight_bytes_times_channels() {
        // JESD79-4: a DDR4-2933 channel moves 8 bytes a transfer, 23.464 GB/s.
        assert_eq!(Bandwidth::peak(DataRate::from_mts(2933), 1).mbs(), 23_464);
    }
}
