//! What is known of one module: one reading for each thing that was looked at.

use domain::ModuleReading;
use domain::reading::{Made, Maker, MakerId};
use std::fmt::Display;

/// What a reading was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Evidence {
    /// The line on the module's label.
    Label,
    /// The 2-D code beside it.
    Code,
    PartNumber,
    Spd,
    /// A row of a list: what somebody wrote down or was sold.
    List,
    /// What a running machine reports; its rates are what it set, so they are not held against the others.
    Machine,
}

impl Evidence {
    /// All, with the words that the evidence of a sign uses.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::Label, "label"),
        (Self::Code, "2-D code"),
        (Self::PartNumber, "part number"),
        (Self::Spd, "SPD"),
        (Self::List, "list"),
        (Self::Machine, "machine"),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(e, _)| *e == self).map_or("", |(_, w)| w)
    }
}

/// One thing that was looked at, and what it says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    pub from: Evidence,
    pub reading: ModuleReading,
}

/// The date of the screening, which only the caller knows: the year, and its week (ISO 8601, 1 to 53).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Today {
    pub year: u16,
    pub week: u8,
}

/// Everything that is known of one module.
#[derive(Debug, Clone, Copy)]
pub struct Case<'g>(pub &'g [Given]);

impl<'g> Case<'g> {
    /// The readings from one sort of evidence.
    pub fn from(&self, from: Evidence) -> impl Iterator<Item = &'g ModuleReading> {
        self.0.iter().filter(move |g| g.from == from).map(|g| &g.reading)
    }
    /// The SPD contents, where they were read.
    pub fn spd(&self) -> Option<&'g ModuleReading> {
        self.from(Evidence::Spd).next()
    }
    /// What each source says of a field, in the order given; sources that say nothing are left out.
    pub fn told<T>(&self, field: impl Fn(&'g ModuleReading) -> Option<T>) -> Vec<(Evidence, T)> {
        self.0.iter().filter_map(|g| Some((g.from, field(&g.reading)?))).collect()
    }
    /// The first that says it, contents before print.
    pub fn first<T>(&self, field: impl Fn(&'g ModuleReading) -> Option<T>) -> Option<T> {
        let order = [Evidence::Spd, Evidence::Code, Evidence::Label, Evidence::PartNumber, Evidence::List];
        order.iter().chain([&Evidence::Machine]).find_map(|from| self.from(*from).find_map(&field))
    }
    /// Who says what, where two say different things of a field.
    pub fn differ<T: PartialEq + Display>(&self, field: impl Fn(&'g ModuleReading) -> Option<T>) -> Option<String> {
        let told = self.told(field);
        unlike(&told, |a, b| a == b).then(|| list(&told))
    }
}

/// Are there two that `same` does not hold alike?
pub fn unlike<T>(told: &[(Evidence, T)], same: impl Fn(&T, &T) -> bool) -> bool {
    told.iter().enumerate().any(|(i, a)| told[i + 1..].iter().any(|b| !same(&a.1, &b.1)))
}

/// `label 64 GiB, SPD 32 GiB`.
pub fn list<T: Display>(told: &[(Evidence, T)]) -> String {
    told.iter().map(|(from, value)| format!("{} {value}", from.word())).collect::<Vec<_>>().join(", ")
}

/// A part number for comparing: capitals, no blanks.
pub fn plain_part(text: &str) -> Option<String> {
    let plain: String = text.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_uppercase();
    (!plain.is_empty()).then_some(plain)
}

/// Are two plain part numbers the same part? A suffix of the buyer's may be missing, and Micron's SPD contents leave
/// out the `MTA` at the front (seen on modules with both).
pub fn same_part(a: &str, b: &str) -> bool {
    /// Characters from which on a part number without its end is still one part; the shortest in use have some 12.
    const ENOUGH: usize = 10;
    let bare = |text: &str| text.strip_prefix("MTA").unwrap_or(text).to_string();
    let (a, b) = (bare(a), bare(b));
    let (short, long) = if a.len() <= b.len() { (&a, &b) } else { (&b, &a) };
    short == long || (short.len() >= ENOUGH && long.starts_with(short.as_str()))
}

/// A serial for comparing: capitals, no blanks, no `0x`.
pub fn plain_serial(text: &str) -> Option<String> {
    let plain: String = text.chars().filter(|c| !c.is_whitespace() && *c != '-').collect::<String>().to_uppercase();
    let plain = plain.strip_prefix("0X").unwrap_or(&plain).to_string();
    (!plain.is_empty()).then_some(plain)
}

/// Are two plain serials one? Some print the 18 digits of a 2-D code, some only the last 8; some turn the bytes about.
pub fn same_serial(a: &str, b: &str) -> bool {
    let turned = || {
        let bytes: Option<Vec<&str>> = (0..a.len() / 2).rev().map(|i| a.get(2 * i..2 * i + 2)).collect();
        a.len().is_multiple_of(2) && bytes.is_some_and(|bytes| bytes.concat() == b)
    };
    let ends = |long: &str, short: &str| short.len() >= 8 && long.ends_with(short);
    a == b || ends(a, b) || ends(b, a) || turned()
}

/// Every digit 0, or every digit F.
pub fn is_blank(serial: &str) -> bool {
    serial.chars().all(|c| c == '0') || serial.chars().all(|c| c == 'F')
}

/// `2021 week 12`.
pub fn made(made: Made) -> String {
    format!("{} week {}", made.year, made.week)
}

/// Are two makers the same, as far as both tell?
pub fn same_maker(a: &Maker, b: &Maker) -> bool {
    match (a.id, b.id, &a.name, &b.name) {
        (Some(a), Some(b), ..) => a == b,
        (_, _, Some(a), Some(b)) => first_word(a) == first_word(b),
        _ => true,
    }
}

/// The first word of a name that tells makers apart: `SK hynix` and `Hynix Semiconductor` are one.
fn first_word(name: &str) -> String {
    let lower = name.to_lowercase();
    let word = lower.split(|c: char| !c.is_alphanumeric()).find(|w| w.len() > 2).unwrap_or_default();
    word.to_string()
}

/// `Samsung`, or the id where no name is known.
pub fn maker(maker: &Maker) -> String {
    match (&maker.name, maker.id) {
        (Some(name), _) => name.clone().into(),
        (None, Some(id)) => maker_id(id),
        (None, None) => "unknown".to_string(),
    }
}

/// `bank 1, id 4Eh`, as JEP106 lists them.
pub fn maker_id(id: MakerId) -> String {
    format!("bank {}, id {:02X}h", u16::from(id.continuations) + 1, id.id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn part_numbers_and_serials_are_alike_in_all_their_spellings() {
        // Label and SPD of one module as published for MTA36ASF8G72PZ-3G2E1.
        assert!(same_part("MTA36ASF8G72PZ-3G2E1", "36ASF8G72PZ-3G2E1"));
        assert!(same_part("M393A8G40MB2-CVF", "M393A8G40MB2-CVFBY"));
        assert!(!same_part("M393A8G40MB2-CVF", "M393A8G40MB2-CWE"));
        assert!(same_serial("80CE02212012345678", "12345678"));
        assert!(same_serial("78563412", "12345678"));
        assert!(!same_serial("12345678", "12345679"));
        assert!(is_blank("00000000") && is_blank("FFFFFFFF") && !is_blank("0000000F"));
    }

    #[test]
    fn makers_are_alike_by_id_or_else_by_name() {
        let named = |name: &str| Maker { name: Some(name.into()), id: None };
        assert!(same_maker(&named("SK hynix"), &named("Hynix Semiconductor")));
        assert!(!same_maker(&named("Samsung"), &named("Micron Technology")));
        assert!(same_maker(&Maker::default(), &named("Samsung")));
    }
}
