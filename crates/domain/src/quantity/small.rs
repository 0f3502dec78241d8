//! Power, distances, times, voltages and densities.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, Mul};

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

/// A distance in hundredths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(u32);

impl Length {
    /// From hundredths of a millimetre.
    pub const fn from_hundredths(hundredths: u32) -> Self {
        Self(hundredths)
    }
    /// In mm.
    pub fn mm(self) -> f64 {
        f64::from(self.0) / 100.0
    }
}
impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}
impl Mul<u32> for Length {
    type Output = Self;
    fn mul(self, n: u32) -> Self {
        Self(self.0.saturating_mul(n))
    }
}
impl fmt::Display for Length {
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
