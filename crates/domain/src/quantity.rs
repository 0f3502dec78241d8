//! Physical quantities as types: a unit is part of the type, never a suffix on an integer.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Mul, Sub};

/// Why a text is not the quantity it should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the start of the text.
    #[error("`{0}` does not start with a number")]
    NoNumber(String),
    /// A comma inside the number.
    #[error("`{0}` has a comma in its number")]
    Comma(String),
    /// A number without its unit, or with one that does not measure this.
    #[error("`{text}` has {found}, but {what} is written in {expected}")]
    Unit { text: String, found: String, what: &'static str, expected: &'static str },
    /// The number is negative, not finite, or beyond the range of the type.
    #[error("`{text}` is out of range: {what} goes from {least} to {most}")]
    Range { text: String, what: &'static str, least: &'static str, most: &'static str },
    /// The number needs finer steps than the quantity has.
    #[error("`{text}` is finer than {step}")]
    Step { text: String, step: &'static str },
}

impl QuantityError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::NoNumber(_) => "write a number and a unit, such as \"700 GiB\"".into(),
            Self::Comma(_) => "write a point before the decimals, and nothing between thousands".into(),
            Self::Unit { expected, .. } => format!("use one of: {expected}"),
            Self::Range { least, most, .. } => format!("give a value from {least} to {most}"),
            Self::Step { step, .. } => format!("round to {step}"),
        }
    }
}

/// Splits `"700 GiB"` into its number and the unit behind it.
fn number_and_unit(text: &str) -> Result<(f64, &str), QuantityError> {
    let trimmed = text.trim();
    let end = trimmed
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || *c == '.' || (*i == 0 && (*c == '-' || *c == '+'))))
        .map_or(trimmed.len(), |(i, _)| i);
    let number: f64 = trimmed[..end].parse().map_err(|_| QuantityError::NoNumber(text.to_string()))?;
    if trimmed[end..].starts_with(',') {
        return Err(QuantityError::Comma(text.to_string()));
    }
    Ok((number, trimmed[end..].trim()))
}

fn unit_error(text: &str, unit: &str, what: &'static str, expected: &'static str) -> QuantityError {
    QuantityError::Unit {
        text: text.to_string(),
        found: if unit.is_empty() { "no unit".to_string() } else { format!("the unit `{unit}`") },
        what,
        expected,
    }
}

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

/// Electrical power, kept in mW.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Watts(u64);

impl Watts {
    /// From mW.
    pub const fn from_milliwatts(mw: u64) -> Self {
        Self(mw)
    }
    /// From W, rounded to the nearest mW; negative or not finite counts as none.
    pub fn from_watts(watts: f64) -> Self {
        Self((watts * 1000.0).round().max(0.0) as u64)
    }
    /// In mW.
    pub const fn milliwatts(self) -> u64 {
        self.0
    }
    /// In W.
    pub fn watts(self) -> f64 {
        self.0 as f64 / 1000.0
    }
}
impl Add for Watts {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl Sum for Watts {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::default(), Add::add)
    }
}
impl fmt::Display for Watts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.1} W", self.watts()))
    }
}

/// A height above the board, in hundredths of a millimetre (JEDEC gives 31.25 mm).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Height(u32);

impl Height {
    /// From mm, rounded to 0.01 mm; negative or not finite counts as none.
    pub fn from_mm(mm: f64) -> Self {
        Self((mm * 100.0).round().max(0.0) as u32)
    }
    /// In mm.
    pub fn mm(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}
impl fmt::Display for Height {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} mm", self.mm()))
    }
}

/// A length of time in whole minutes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Minutes(u32);

impl Minutes {
    /// From minutes.
    pub const fn new(minutes: u32) -> Self {
        Self(minutes)
    }
    /// In minutes.
    pub const fn get(self) -> u32 {
        self.0
    }
}
impl fmt::Display for Minutes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} min", self.0))
    }
}

/// A supply voltage in mV.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Voltage(u32);

impl Voltage {
    /// From mV.
    pub const fn from_millivolts(mv: u32) -> Self {
        Self(mv)
    }
    /// In mV.
    pub const fn millivolts(self) -> u32 {
        self.0
    }
}
impl fmt::Display for Voltage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} V", f64::from(self.0) / 1000.0))
    }
}

/// The density of one DRAM die in Gbit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DieDensity(u32);

impl DieDensity {
    /// From Gbit.
    pub const fn from_gbit(gbit: u32) -> Self {
        Self(gbit)
    }
    /// In Gbit.
    pub const fn gbit(self) -> u32 {
        self.0
    }
}
impl fmt::Display for DieDensity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} Gbit", self.0))
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

    #[test]
    fn peak_is_rate_times_eight_bytes_times_channels() {
        // JESD79-4: a DDR4-2933 channel moves 8 bytes a transfer, 23.464 GB/s.
        assert_eq!(Bandwidth::peak(DataRate::from_mts(2933), 1).mbs(), 23_464);
    }
}
