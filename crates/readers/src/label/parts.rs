//! What is printed on a label, field by field, and how it is written.

use domain::{Capacity, DataRate, Generation};
use std::fmt;

/// How dies are stacked in a package.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stacking {
    /// One die a package.
    Mono,
    /// `D`: two dies, each a load on the bus.
    Dual,
    /// `Q`: four dies, each a load on the bus.
    Quad,
    /// `S`: single-load (3DS) stack with so many dies, each a logical rank.
    Single(u8),
}

/// The letter behind `PC3`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SupplyLetter {
    /// `L`: 1.35 V.
    Low,
    /// `U`: 1.25 V.
    UltraLow,
}

/// The letter of the module kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum KindLetter {
    /// `R`: registered.
    Registered,
    /// `L`: load-reduced.
    LoadReduced,
    /// `E`: unbuffered with ECC.
    UnbufferedEcc,
    /// `U`: unbuffered.
    Unbuffered,
    /// `M`: multiplexed-rank, DDR5 only (letter from memory).
    Multiplexed,
}

impl KindLetter {
    /// As printed.
    pub fn letter(self) -> char {
        match self {
            Self::Registered => 'R',
            Self::LoadReduced => 'L',
            Self::UnbufferedEcc => 'E',
            Self::Unbuffered => 'U',
            Self::Multiplexed => 'M',
        }
    }
    /// Reads it; `M` counts for DDR5 only.
    pub fn of(letter: char, generation: Generation) -> Option<Self> {
        match letter {
            'R' => Some(Self::Registered),
            'L' => Some(Self::LoadReduced),
            'E' => Some(Self::UnbufferedEcc),
            'U' => Some(Self::Unbuffered),
            'M' if generation == Generation::Ddr5 => Some(Self::Multiplexed),
            _ => None,
        }
    }
}

/// A word behind the label that tells the ECC bits: `x64`, `x72`, `x80`, `EC4`, `EC8`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EccWord {
    None,
    Four,
    Eight,
}

impl EccWord {
    /// Reads it in capitals: x72 is 8 bits on a 64-bit bus, but 4 on each half of DDR5.
    pub fn of(word: &str, generation: Generation) -> Option<Self> {
        let halves = generation == Generation::Ddr5;
        match word {
            "X64" => Some(Self::None),
            "X72" | "EC4" if halves => Some(Self::Four),
            "X80" | "EC8" if halves => Some(Self::Eight),
            "X72" => Some(Self::Eight),
            _ => None,
        }
    }
    /// ECC bits per channel (DDR3, DDR4) or sub-channel (DDR5).
    pub fn bits(self) -> u8 {
        match self {
            Self::None => 0,
            Self::Four => 4,
            Self::Eight => 8,
        }
    }
    fn word(self, generation: Generation) -> &'static str {
        match (self, generation) {
            (Self::None, _) => "x64",
            (Self::Four, _) => "EC4",
            (Self::Eight, Generation::Ddr5) => "EC8",
            (Self::Eight, _) => "x72",
        }
    }
}

/// The fields of a label as printed. Letters are capitals, as [`super::read`] leaves them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelParts {
    pub capacity: Capacity,
    /// Package ranks, 1 to 8.
    pub package_ranks: u8,
    pub stacking: Stacking,
    /// Data bits of a device: 4, 8 or 16.
    pub width: u8,
    pub generation: Generation,
    pub supply: Option<SupplyLetter>,
    pub rate: DataRate,
    /// Speed grade (`Y`, `AA`, `B`); labels that print the bandwidth have none.
    pub grade: Option<String>,
    pub kind: KindLetter,
    /// CAS latency in clocks, which labels print that print the bandwidth.
    pub cas_latency: Option<u8>,
    /// Raw card letter or letters.
    pub raw_card: Option<String>,
    /// Digits or one letter.
    pub raw_card_revision: Option<String>,
    /// Digits: two, or four for DDR5 (base section, module section).
    pub spd_revision: Option<String>,
    /// What follows, such as `PA0` or `XT`, fields joined by dashes.
    pub tail: Option<String>,
    pub ecc: Option<EccWord>,
}

impl fmt::Display for LabelParts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mib = self.capacity.mib();
        if mib.is_multiple_of(1024) {
            write!(f, "{}GB ", mib / 1024)?;
        } else {
            write!(f, "{mib}MB ")?;
        }
        let stack = match self.stacking {
            Stacking::Mono => String::new(),
            Stacking::Dual => "D".into(),
            Stacking::Quad => "Q".into(),
            Stacking::Single(high) => format!("S{high}"),
        };
        write!(f, "{}{stack}Rx{} ", self.package_ranks, self.width)?;
        let (digit, supply) = match (self.generation, self.supply) {
            (Generation::Ddr3, Some(SupplyLetter::Low)) => (3, "L"),
            (Generation::Ddr3, Some(SupplyLetter::UltraLow)) => (3, "U"),
            (Generation::Ddr3, None) => (3, ""),
            (Generation::Ddr4, _) => (4, ""),
            (Generation::Ddr5, _) => (5, ""),
        };
        write!(f, "PC{digit}{supply}-")?;
        let card = format!(
            "{}{}",
            self.raw_card.as_deref().unwrap_or_default(),
            self.raw_card_revision.as_deref().unwrap_or_default()
        );
        if self.prints_bandwidth() {
            write!(f, "{}{}", super::speed::bandwidth(self.rate), self.kind.letter())?;
            let cas = self.cas_latency.map(|c| c.to_string());
            for field in [cas.as_ref(), self.spd_revision.as_ref(), Some(&card)].into_iter().flatten() {
                if !field.is_empty() {
                    write!(f, "-{field}")?;
                }
            }
        } else {
            let grade = self.grade.as_deref().unwrap_or_default();
            write!(f, "{}{grade}-{}{card}", self.rate.mts(), self.kind.letter())?;
            if let Some(revision) = &self.spd_revision {
                write!(f, "-{revision}")?;
            }
        }
        if let Some(tail) = &self.tail {
            write!(f, "-{tail}")?;
        }
        if let Some(ecc) = self.ecc {
            write!(f, " {}", ecc.word(self.generation))?;
        }
        Ok(())
    }
}

impl LabelParts {
    /// Is it written with the bandwidth in place of the rate, as all DDR3 labels and the first DDR4 labels are?
    pub fn prints_bandwidth(&self) -> bool {
        self.generation == Generation::Ddr3 || self.cas_latency.is_some()
    }
}
