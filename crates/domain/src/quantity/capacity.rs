//! An amount of memory.

use super::{QuantityError, number_and_unit, unit_error};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Mul, Sub};

/// An amount of memory, in whole MiB (2^20 bytes).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Capacity(u64);

impl Capacity {
    /// Nothing at all.
    pub const ZERO: Self = Self(0);
    /// From whole MiB.
    pub const fn from_mib(mib: u64) -> Self {
        Self(mib)
    }
    /// From whole GiB.
    pub const fn from_gib(gib: u64) -> Self {
        Self(gib * 1024)
    }
    /// In MiB.
    pub const fn mib(self) -> u64 {
        self.0
    }
    /// In GiB, with its fraction.
    pub fn gib(self) -> f64 {
        self.0 as f64 / 1024.0
    }
    /// What is left after taking `other`, never below zero.
    #[must_use]
    pub fn saturating_sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
    /// Is this nothing?
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }
    /// Reads `"700 GiB"`, `"1.5 TiB"`, `"512 MiB"`; as the trade does, GB means GiB and TB means 1024 GiB.
    ///
    /// # Errors
    /// No number, no or another unit, a negative or fractional MiB, or more than 1 PiB.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let (number, unit) = number_and_unit(text)?;
        let mib = match unit.to_ascii_lowercase().as_str() {
            "mib" | "mb" => number,
            "gib" | "gb" | "g" => number * 1024.0,
            "tib" | "tb" | "t" => number * 1024.0 * 1024.0,
            _ => {
                return Err(unit_error(text, unit, "an amount of memory", "MiB, GiB, TiB (or MB, GB, TB)"));
            }
        };
        if !(0.0..=1_073_741_824.0).contains(&mib) {
            return Err(QuantityError::Range {
                text: text.to_string(),
                what: "an amount of memory",
                least: "0 MiB",
                most: "1024 TiB",
            });
        }
        if mib.fract() != 0.0 {
            return Err(QuantityError::Step { text: text.to_string(), step: "1 MiB" });
        }
        Ok(Self(mib as u64))
    }
}

impl fmt::Display for Capacity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const TIB: u64 = 1024 * 1024;
        let text = if self.0 >= TIB && self.0.is_multiple_of(TIB / 8) {
            format!("{} TiB", self.0 as f64 / TIB as f64)
        } else if self.0.is_multiple_of(1024) {
            format!("{} GiB", self.0 / 1024)
        } else {
            format!("{} MiB", self.0)
        };
        f.pad(&text)
    }
}

impl Add for Capacity {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sub for Capacity {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}
impl Mul<u64> for Capacity {
    type Output = Self;
    fn mul(self, n: u64) -> Self {
        Self(self.0.saturating_mul(n))
    }
}
impl Sum for Capacity {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacity_reads_the_trades_units_and_prints_them_back() {
        assert_eq!(Capacity::parse("750 GB").unwrap(), Capacity::from_gib(750));
        assert_eq!(Capacity::parse("1TB").unwrap(), Capacity::from_gib(1024));
        assert_eq!(Capacity::parse("1.5 TiB").unwrap().to_string(), "1.5 TiB");
        assert_eq!(Capacity::from_gib(768).to_string(), "768 GiB");
        assert!(Capacity::parse("-4 GiB").is_err());
        assert!(Capacity::parse("700").is_err());
        assert_eq!(Capacity::parse("1,5 TB"), Err(QuantityError::Comma("1,5 TB".into())));
        assert!(Capacity::parse("99999999 TiB").is_err());
    }
}
