//! Intake screening of used modules: what label, 2-D code, part number and SPD contents say against each other.
//!
//! One family of signs = one file; each sign explains itself, with what it can innocently be and examples that a test plays.

mod agreement;
mod case;
mod contents;
mod dates;
mod lot;
pub mod notation;
mod printed;
mod read;
mod serials;
mod timing;

#[cfg(test)]
mod tests;

pub use case::{Evidence, Given, Today};

use case::Case;
use domain::reading::{Sign, Weight};

/// One sign: what it finds, what it means, what it can innocently be, and its check.
#[derive(Debug)]
pub struct Entry {
    /// The pattern found, in words; stable.
    pub name: &'static str,
    pub weight: Weight,
    /// What it finds, in a sentence without a full stop.
    pub finds: &'static str,
    /// What it means where it is not innocent.
    pub means: &'static str,
    pub innocent: &'static str,
    pub advice: &'static str,
    /// Where it is written down, or `common practice, no source`.
    pub source: &'static str,
    /// Cases in the notation of [`notation`]: at least one that has the sign and one that is clean.
    pub examples: &'static str,
    check: Check,
}

/// How a sign is found.
#[derive(Debug)]
enum Check {
    /// In what is known of one module: the evidence, where it is there.
    Module(fn(&Case, Today) -> Option<String>),
    /// Over all modules of a tray.
    Tray(fn(&[Case]) -> Vec<Shared>),
    /// By a reader while it reads; it comes as an oddity of this sign's name.
    Reader,
}

/// Something that several modules of a tray show together.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Shared {
    members: Vec<usize>,
    evidence: String,
}

/// A sign that several modules of a tray show together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TraySign {
    /// Which modules, by their place in what was asked, in rising order.
    pub members: Vec<usize>,
    pub sign: Sign,
}

/// What screening finds in a tray.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TrayReport {
    /// The signs of each module by itself, heaviest first, in the order asked.
    pub modules: Vec<Vec<Sign>>,
    /// The signs that modules show together.
    pub together: Vec<TraySign>,
}

/// All signs by family, for documents.
pub static FAMILIES: &[(&str, &[Entry])] = &[
    ("agreement", agreement::SIGNS),
    ("printed", printed::SIGNS),
    ("contents", contents::SIGNS),
    ("timing", timing::SIGNS),
    ("dates", dates::SIGNS),
    ("serials", serials::SIGNS),
    ("lot", lot::SIGNS),
    ("read", read::SIGNS),
];

/// All signs.
pub fn all() -> impl Iterator<Item = &'static Entry> {
    FAMILIES.iter().flat_map(|(_, signs)| signs.iter())
}

/// The sign with a name.
pub fn by_name(name: &str) -> Option<&'static Entry> {
    all().find(|s| s.name == name)
}

impl Entry {
    fn sign(&self, evidence: String) -> Sign {
        Sign {
            name: self.name,
            weight: self.weight,
            evidence,
            means: self.means,
            innocent: self.innocent,
            advice: self.advice,
            source: self.source,
        }
    }
}

/// The signs of one module, from everything that is known of it; heaviest first, then by name and evidence.
pub fn one(given: &[Given], today: Today) -> Vec<Sign> {
    let case = Case(given);
    let mut found = Vec::new();
    for entry in all() {
        match entry.check {
            // A reader that came upon it knows the offset.
            Check::Module(check) => {
                let told = read::told(&case, entry.name);
                let evidence = if told.is_empty() { check(&case, today) } else { Some(told.join("; ")) };
                found.extend(evidence.map(|e| entry.sign(e)));
            }
            Check::Reader => found.extend(read::told(&case, entry.name).into_iter().map(|e| entry.sign(e))),
            Check::Tray(_) => {}
        }
    }
    sort(&mut found);
    found
}

/// The signs of every module of a tray, and those that modules show together.
pub fn tray(modules: &[Vec<Given>], today: Today) -> TrayReport {
    let cases: Vec<Case> = modules.iter().map(|m| Case(m)).collect();
    let mut together = Vec::new();
    for entry in all() {
        if let Check::Tray(check) = entry.check {
            together.extend(
                check(&cases)
                    .into_iter()
                    .map(|shared| TraySign { members: shared.members, sign: entry.sign(shared.evidence) }),
            );
        }
    }
    together.sort_by(|a: &TraySign, b| {
        (a.sign.weight, a.sign.name, &a.members).cmp(&(b.sign.weight, b.sign.name, &b.members))
    });
    TrayReport { modules: modules.iter().map(|m| one(m, today)).collect(), together }
}

fn sort(found: &mut [Sign]) {
    found.sort_by(|a, b| (a.weight, a.name, &a.evidence).cmp(&(b.weight, b.name, &b.evidence)));
}
