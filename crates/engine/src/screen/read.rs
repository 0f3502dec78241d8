//! What a reader comes upon while it reads; told by an oddity of the sign's name.

use super::case::Case;
use super::{Check, Entry};
use domain::reading::Weight;

const SPD: &str = "JEDEC JESD21-C Annex K and L, JESD400-5";

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "part-number-not-in-form",
        weight: Weight::Suspect,
        finds: "The contents name one of the three large module makers, but the part number is in none of its forms",
        means: "The contents were put together by hand, or maker and part number come from two modules",
        innocent: "a part that a server maker ordered under a number of its own; a form that is not published",
        advice: "compare with the part number on the label",
        source: "the makers' ordering tables; DDR5 forms were worked out from parts seen",
        examples: "spd: oddity part-number-not-in-form\n-> part-number-not-in-form\nspd: part M393A4K40CB2-CTD\n-> clean",
        check: Check::Reader,
    },
    Entry {
        name: "maker-parity-wrong",
        weight: Weight::Reject,
        finds: "A byte of a maker's id has even parity, where the standard has odd",
        means: "The contents were put together by hand or are damaged",
        innocent: "a small maker's programming station that leaves the parity bit out",
        advice: "read the module again; compare the maker with the label",
        source: "JEDEC JEP106: odd parity in bit 7",
        examples: "spd: oddity maker-parity-wrong\n-> maker-parity-wrong\nspd: maker Samsung 80CE\n-> clean",
        check: Check::Reader,
    },
    Entry {
        name: "reserved-bits-set",
        weight: Weight::Note,
        finds: "Bits are set that the standard reserves",
        means: "The contents may have been changed by hand",
        innocent: "a revision of the standard that is newer than what this program knows",
        advice: "compare with another module of the lot",
        source: SPD,
        examples: "spd: oddity reserved-bits-set\n-> reserved-bits-set\nspd: capacity 32GB\n-> clean",
        check: Check::Reader,
    },
];

/// The evidence for each oddity of a name, with its place.
pub fn told(case: &Case, name: &str) -> Vec<String> {
    let mut told: Vec<String> = case
        .0
        .iter()
        .flat_map(|g| g.reading.oddities.iter().map(move |o| (g.from, o)))
        .filter(|(_, o)| o.name == name)
        .map(|(from, o)| match o.offset {
            Some(offset) => format!("{} at {offset}: {}", from.word(), o.seen),
            None => format!("{}: {}", from.word(), o.seen),
        })
        .collect();
    told.sort();
    told.dedup();
    told
}
