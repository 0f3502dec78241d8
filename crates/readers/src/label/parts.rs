//! What is printed on a label, field by field, and how it is written.

use domain::{Capacity, DataRate, Generation};
use std::fmt;

/// A few letters and digits of a label; at most [`Letters::MOST`].
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Letters {
    bytes: [u8; Letters::MOST],
    length: u8,
}

impl Letters {
    /// The longest field: the SPD revision of DDR5 has four digits.
    pub const MOST: usize = 6;

    /// `None` where the text is empty, too long, or holds anything but ASCII letters and digits.
    pub fn new(text: &str) -> Option<Self> {
        Self::of(text.as_bytes())
    }
    pub(super) fn of(text: &[u8]) -> Option<Self> {
        let mut bytes = [0; Self::MOST];
        bytes.get_mut(..text.len())?.copy_from_slice(text);
        let sound = !text.is_empty() && text.iter().all(u8::is_ascii_alphanumeric);
        let length = u8::try_from(text.len()).ok()?;
        sound.then_some(Self { bytes, length })
    }
    /// As text.
    pub fn as_str(&self) -> &str {
        self.bytes.get(..usize::from(self.length)).and_then(|b| std::str::from_utf8(b).ok()).unwrap_or_default()
    }
}

impl fmt::Display for Letters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl fmt::Debug for Letters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.as_str(), f)
    }
}

/// How dies are stacked in a package.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stacking {
    /// One die a package.
    Mono,
    /// `D`: two dies, each a load on the bus.
    Dual,
    /// `Q`: four dies, each a load on the bus.
    Quad,
    /// `S`: single-load (3DS) stack with so many dies, each a logical rank; 2 to 8.
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
    /// `S`: small outline, unbuffered.
    SmallOutline,
    /// `T`: small outline, unbuffered with ECC.
    SmallOutlineEcc,
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
            Self::SmallOutline => 'S',
            Self::SmallOutlineEcc => 'T',
            Self::Multiplexed => 'M',
        }
    }
    /// Reads it; `M` counts for DDR5 only.
    pub fn of(letter: u8, generation: Generation) -> Option<Self> {
        match letter {
            b'R' => Some(Self::Registered),
            b'L' => Some(Self::LoadReduced),
            b'E' => Some(Self::UnbufferedEcc),
            b'U' => Some(Self::Unbuffered),
            b'S' => Some(Self::SmallOutline),
            b'T' => Some(Self::SmallOutlineEcc),
            b'M' if generation == Generation::Ddr5 => Some(Self::Multiplexed),
            _ => None,
        }
    }
    /// The letter that a kind's name stands for, in capitals.
    pub fn of_word(word: &[u8]) -> Option<&'static [u8]> {
        match word {
            b"RDIMM" => Some(b"R"),
            b"LRDIMM" => Some(b"L"),
            b"UDIMM" => Some(b"U"),
            b"SODIMM" => Some(b"S"),
            b"MRDIMM" => Some(b"M"),
            _ => None,
        }
    }
    /// Is it a small-outline module, which fits no server slot?
    pub fn is_small(self) -> bool {
        matches!(self, Self::SmallOutline | Self::SmallOutlineEcc)
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
    pub fn of(word: &[u8], generation: Generation) -> Option<Self> {
        let halves = generation == Generation::Ddr5;
        match word {
            b"X64" => Some(Self::None),
            b"X72" | b"EC4" if halves => Some(Self::Four),
            b"X80" | b"EC8" if halves => Some(Self::Eight),
            b"X72" => Some(Self::Eight),
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
    fn word(self, generation: Option<Generation>) -> &'static str {
        match (self, generation) {
            (Self::None, _) => "x64",
            (Self::Four, _) => "EC4",
            (Self::Eight, Some(Generation::Ddr5)) => "EC8",
            (Self::Eight, _) => "x72",
        }
    }
}

/// How a label says that the module keeps its contents without power.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Nonvolatile {
    /// `NN4`, `NP4` … in the place of `PC4`: the second letter (prefixes from memory).
    Prefix(char),
    /// The word `NVDIMM`, with the letter behind it (`NVDIMM-N`) where there is one.
    Word(Option<char>),
}

/// `2S4Rx4` as printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ranks {
    /// Package ranks, 1 to 8.
    pub package_ranks: u8,
    pub stacking: Stacking,
    /// Data bits of a device: 4, 8, 16 or 32.
    pub width: u8,
}

/// The fields of a label as printed. Letters are capitals, as [`super::read`] leaves them. A label that was read has a
/// generation, a rate and a kind, save where it is one of a non-volatile module.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LabelParts {
    pub capacity: Option<Capacity>,
    pub ranks: Option<Ranks>,
    pub nonvolatile: Option<Nonvolatile>,
    pub generation: Option<Generation>,
    pub supply: Option<SupplyLetter>,
    pub rate: Option<DataRate>,
    /// Is the bandwidth printed in place of the rate (`19200R`), as all DDR3 labels and the first DDR4 labels do?
    pub bandwidth: bool,
    /// Speed grade (`Y`, `AA`, `B`); labels that print the bandwidth have none.
    pub grade: Option<Letters>,
    pub kind: Option<KindLetter>,
    /// CAS latency in clocks, which labels print that print the bandwidth.
    pub cas_latency: Option<u8>,
    /// Raw card letter or letters.
    pub raw_card: Option<Letters>,
    /// Digits or one letter.
    pub raw_card_revision: Option<Letters>,
    /// Digits: two, or four for DDR5 (base section, module section).
    pub spd_revision: Option<Letters>,
    /// What follows, such as `PA0` or `XT`, fields joined by dashes.
    pub tail: Option<String>,
    pub ecc: Option<EccWord>,
}

/// Temperature ranges of DDR5 labels (JESD400-5 byte 233, in its order).
pub const TEMPERATURE_RANGES: [&str; 9] = ["A1T", "A2T", "A3T", "IT", "ST", "ET", "RT", "NT", "XT"];

impl LabelParts {
    /// Is it a 3DS module?
    pub fn is_stacked(&self) -> bool {
        matches!(self.ranks, Some(Ranks { stacking: Stacking::Single(_), .. }))
    }
    /// The DDR5 temperature range (`XT`), where the first field of the tail is one.
    pub fn temperature_range(&self) -> Option<&str> {
        let first = self.tail.as_deref()?.split('-').next()?;
        let ddr5 = self.generation == Some(Generation::Ddr5);
        TEMPERATURE_RANGES.contains(&first).then_some(first).filter(|_| ddr5)
    }
    /// Has the tail a form that labels are known to have: none, a temperature range on DDR5, else one field of a
    /// letter, perhaps a second one, and a digit (the register's maker and revision, seen on labels)?
    pub fn tail_is_usual(&self) -> bool {
        let Some(tail) = self.tail.as_deref() else { return true };
        if self.generation == Some(Generation::Ddr5) {
            return self.spd_revision.is_some() && self.temperature_range() == Some(tail);
        }
        let (letters, digit) = tail.split_at(tail.len().saturating_sub(1));
        self.spd_revision.is_some()
            && (1..=2).contains(&letters.len())
            && letters.bytes().all(|b| b.is_ascii_uppercase())
            && digit.bytes().all(|b| b.is_ascii_digit())
    }
    /// The label in its full form.
    pub(super) fn written(&self) -> String {
        let mut out = String::with_capacity(48);
        if let Some(mib) = self.capacity.map(Capacity::mib) {
            let (figure, unit) = if mib.is_multiple_of(1024) { (mib / 1024, "GB") } else { (mib, "MB") };
            push_number(&mut out, figure);
            out.push_str(unit);
        }
        if let Some(ranks) = self.ranks {
            space(&mut out);
            ranks.write(&mut out);
        }
        if let (Some(generation), Some(rate)) = (self.generation, self.rate) {
            space(&mut out);
            self.write_bus(&mut out, generation, rate);
        }
        if let Some(ecc) = self.ecc {
            space(&mut out);
            out.push_str(ecc.word(self.generation));
        }
        if let Some(Nonvolatile::Word(letter)) = self.nonvolatile {
            space(&mut out);
            out.push_str("NVDIMM");
            if let Some(letter) = letter {
                out.push('-');
                out.push(letter);
            }
        }
        out
    }
    fn write_bus(&self, out: &mut String, generation: Generation, rate: DataRate) {
        match self.nonvolatile {
            Some(Nonvolatile::Prefix(letter)) => {
                out.push('N');
                out.push(letter);
            }
            _ => out.push_str("PC"),
        }
        out.push_str(match (generation, self.supply) {
            (Generation::Ddr3, Some(SupplyLetter::Low)) => "3L-",
            (Generation::Ddr3, Some(SupplyLetter::UltraLow)) => "3U-",
            (Generation::Ddr3, None) => "3-",
            (Generation::Ddr4, _) => "4-",
            (Generation::Ddr5, _) => "5-",
        });
        let kind = self.kind.map(KindLetter::letter);
        match kind {
            Some(kind) if self.bandwidth => {
                push_number(out, super::speed::bandwidth(rate).into());
                out.push(kind);
                if let Some(cas) = self.cas_latency {
                    out.push('-');
                    push_number(out, cas.into());
                }
                push_field(out, "-", self.spd_revision);
                push_field(out, "-", self.raw_card);
                push_field(out, "", self.raw_card_revision);
            }
            _ => {
                push_number(out, rate.mts().into());
                push_field(out, "", self.grade);
                if let Some(kind) = kind {
                    out.push('-');
                    out.push(kind);
                    push_field(out, "", self.raw_card);
                    push_field(out, "", self.raw_card_revision);
                }
                push_field(out, "-", self.spd_revision);
            }
        }
        if let Some(tail) = &self.tail {
            out.push('-');
            out.push_str(tail);
        }
    }
}

fn space(out: &mut String) {
    if !out.is_empty() {
        out.push(' ');
    }
}

fn push_field(out: &mut String, before: &str, field: Option<Letters>) {
    if let Some(field) = field {
        out.push_str(before);
        out.push_str(field.as_str());
    }
}

fn push_number(out: &mut String, mut number: u64) {
    let mut digits = [0u8; 20];
    let mut at = digits.len();
    while at > 0 {
        at -= 1;
        digits[at] = b'0' + (number % 10) as u8;
        number /= 10;
        if number == 0 {
            break;
        }
    }
    out.extend(digits[at..].iter().map(|d| char::from(*d)));
}

impl Ranks {
    fn write(self, out: &mut String) {
        push_number(out, self.package_ranks.into());
        match self.stacking {
            Stacking::Mono => {}
            Stacking::Dual => out.push('D'),
            Stacking::Quad => out.push('Q'),
            Stacking::Single(high) => {
                out.push('S');
                push_number(out, high.into());
            }
        }
        out.push_str("Rx");
        push_number(out, self.width.into());
    }
}

impl fmt::Display for Ranks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut out = String::new();
        self.write(&mut out);
        f.pad(&out)
    }
}

impl fmt::Display for LabelParts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.written())
    }
}
