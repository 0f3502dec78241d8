//! Dates of manufacture that cannot be.

use super::case::{Case, Evidence, list, made};
use super::{Check, Entry, Today};
use domain::Generation;
use domain::reading::{Made, Weight};

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "week-impossible",
        weight: Weight::Suspect,
        finds: "The week of manufacture is 0 or above 53",
        means: "The contents were written by hand",
        innocent: "a small maker that leaves the field blank",
        advice: "compare with the date on the label and with other modules of the lot",
        source: "JEDEC JESD21-C Annex L and JESD400-5: year and week in BCD",
        examples: "spd: made 2021-54\n-> week-impossible\nspd: made 2020-53\n-> clean",
        check: Check::Module(|case, _| which(case, |m| !(1..=53).contains(&m.week))),
    },
    Entry {
        name: "date-in-the-future",
        weight: Weight::Suspect,
        finds: "The module was made later than today",
        means: "The contents were written by hand",
        innocent: "a clock of this machine that is wrong",
        advice: "check this machine's date first",
        source: "common practice, no source",
        examples: "today 2026-48\nspd: made 2027-2\n-> date-in-the-future\n\
                   today 2026-48\nspd: made 2026-48\n-> clean",
        check: Check::Module(|case, today| {
            which(case, |m| m.week <= 53 && (m.year, m.week) > (today.year, today.week))
                .map(|e| format!("{e}; today is {} week {}", today.year, today.week))
        }),
    },
    Entry {
        name: "year-impossible",
        weight: Weight::Suspect,
        finds: "The module was made before its DDR generation existed",
        means: "The contents were written by hand, or belong to an older module",
        innocent: "an engineering sample; a field that the maker leaves blank",
        advice: "compare with the date on the label and with other modules of the lot",
        source: "first years from memory: DDR3 2007, DDR4 2013, DDR5 2020",
        examples: "spd: generation DDR5, made 2017-20\n-> year-impossible\n\
                   spd: generation DDR5, made 2021-40\n-> clean",
        check: Check::Module(too_early),
    },
];

fn which(case: &Case, wrong: impl Fn(Made) -> bool) -> Option<String> {
    let told: Vec<(Evidence, String)> = case
        .told(|r| r.made)
        .into_iter()
        .filter(|(_, m)| wrong(*m))
        .map(|(from, m)| (from, format!("made {}", made(m))))
        .collect();
    (!told.is_empty()).then(|| list(&told))
}

/// The first year in which modules of a generation were made (from memory).
fn first_year(generation: Generation) -> u16 {
    match generation {
        Generation::Ddr3 => 2007,
        Generation::Ddr4 => 2013,
        Generation::Ddr5 => 2020,
    }
}

fn too_early(case: &Case, _: Today) -> Option<String> {
    let generation = case.first(|r| r.generation)?;
    let first = first_year(generation);
    which(case, |m| m.year < first).map(|e| format!("{e}; {generation} modules were made from {first} on"))
}
