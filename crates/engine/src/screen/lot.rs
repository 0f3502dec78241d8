//! What the modules of one tray show together: repeated serials, and lots that are not of one make.

use super::case::{Case, is_blank, maker, plain_part, plain_serial};
use super::{Check, Entry, Shared};
use domain::ModuleReading;
use domain::reading::Weight;
use std::collections::{BTreeMap, BTreeSet};

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "module-repeated",
        weight: Weight::Suspect,
        finds: "Several modules of the tray have the same part number and the same serial",
        means: "SPD contents were copied from one module to the others",
        innocent: "one module that was read twice, or stands in the list twice",
        advice: "read those modules again, one after the other, with their labels beside them",
        source: "JEDEC JESD21-C Annex L and JESD400-5: serials are unique for a maker and its part",
        examples: "spd: part M393A4K40CB2-CTD, serial 4448ECFB\nmodule\nspd: part M393A4K40CB2-CTD, serial 4448ECFB\n\
                   -> module-repeated\n\
                   spd: part M393A4K40CB2-CTD, serial 4448ECFB\nmodule\nspd: part M393A4K40CB2-CTD, serial 4448ED07\n\
                   -> clean",
        check: Check::Tray(|cases| serials(cases, true)),
    },
    Entry {
        name: "serial-repeated",
        weight: Weight::Suspect,
        finds: "Several modules of the tray have the same serial, but not the same part number",
        means: "SPD contents were copied and then changed",
        innocent: "two makers that happen to have reached the same number",
        advice: "compare the serials on the labels",
        source: "common practice, no source",
        examples: "spd: part M393A4K40CB2-CTD, serial 4448ECFB\nmodule\nspd: part M393A2K40CB2-CTD, serial 4448ECFB\n\
                   -> serial-repeated\n\
                   spd: part M393A4K40CB2-CTD, serial 4448ECFB\nmodule\nspd: part M393A2K40CB2-CTD, serial 4448ED07\n\
                   -> clean",
        check: Check::Tray(|cases| serials(cases, false)),
    },
    Entry {
        name: "lot-unlike-in-contents",
        weight: Weight::Suspect,
        finds: "Modules of one part number differ in capacity, ranks, width, rate or die density",
        means: "The contents of some were rewritten: one part number has one organisation",
        innocent: "a part number whose end, which tells the difference, is cut off",
        advice: "sort them apart and compare with the maker's data sheet",
        source: "common practice, no source",
        examples: "spd: part M393A4K40CB2-CTD, capacity 32GB\nmodule\nspd: part M393A4K40CB2-CTD, capacity 64GB\n\
                   -> lot-unlike-in-contents\n\
                   spd: part M393A4K40CB2-CTD, capacity 32GB\nmodule\nspd: part M393A4K40CB2-CTD, capacity 32GB\n\
                   -> clean",
        check: Check::Tray(|cases| unlike(cases, "contents", contents)),
    },
    Entry {
        name: "lot-of-mixed-dram",
        weight: Weight::Suspect,
        finds: "Modules of one part number have DRAM of different makers",
        means: "Some were repaired or built from scrap",
        innocent: "a module maker that buys dies where it can, and does not tell so in its part numbers",
        advice: "sort them apart; sell sets of one make",
        source: "common practice, no source",
        examples: "spd: part KX-32G, dram SK hynix 80AD\nmodule\nspd: part KX-32G, dram Samsung 80CE\n\
                   -> lot-of-mixed-dram\n\
                   spd: part KX-32G, dram SK hynix 80AD\nmodule\nspd: part KX-32G, dram SK hynix 80AD\n-> clean",
        check: Check::Tray(|cases| unlike(cases, "DRAM", |r| r.dram_maker.as_ref().map(maker))),
    },
    Entry {
        name: "lot-of-mixed-registers",
        weight: Weight::Note,
        finds: "Modules of one part number have registers of different makers",
        means: "The lot was gathered from several deliveries",
        innocent: "makers change the register within one part number; seen on genuine modules",
        advice: "where a machine is to be filled with modules alike, sort them by register",
        source: "two published dumps of one part number differ so",
        examples: "spd: part 36ASF8G72PZ-3G2E1, register Montage 8632\nmodule\n\
                   spd: part 36ASF8G72PZ-3G2E1, register Rambus 869D\n-> lot-of-mixed-registers\n\
                   spd: part 36ASF8G72PZ-3G2E1, register Montage 8632\nmodule\n\
                   spd: part 36ASF8G72PZ-3G2E1, register Montage 8632\n-> clean",
        check: Check::Tray(|cases| unlike(cases, "register", |r| r.register_maker.as_ref().map(maker))),
    },
    Entry {
        name: "lot-of-mixed-raw-cards",
        weight: Weight::Note,
        finds: "Modules of one part number are built on different raw cards or revisions",
        means: "The lot was gathered from several deliveries",
        innocent: "makers change the revision within one part number; seen on genuine modules",
        advice: "where a machine is to be filled with modules alike, sort them by raw card",
        source: "two published dumps of one part number differ so",
        examples: "spd: part 36ASF8G72PZ-3G2E1, card B2\nmodule\nspd: part 36ASF8G72PZ-3G2E1, card B4\n\
                   -> lot-of-mixed-raw-cards\n\
                   spd: part 36ASF8G72PZ-3G2E1, card B4\nmodule\nspd: part 36ASF8G72PZ-3G2E1, card B4\n-> clean",
        check: Check::Tray(|cases| {
            unlike(cases, "raw card", |r| r.raw_card.as_ref().map(|c| format!("{}{}", c.letter, c.revision)))
        }),
    },
];

fn part(case: &Case) -> Option<String> {
    case.first(|r| r.part_number.as_deref().and_then(plain_part)).map(|p| p.trim_start_matches("MTA").to_string())
}

/// Modules with one serial: those of one part number (`alike`), or else those of several.
fn serials(cases: &[Case], alike: bool) -> Vec<Shared> {
    let mut by_serial: BTreeMap<String, Vec<(usize, Option<String>)>> = BTreeMap::new();
    for (i, case) in cases.iter().enumerate() {
        let serial = case.first(|r| r.serial.as_deref().and_then(plain_serial)).filter(|s| !is_blank(s));
        // A list may give the 18 digits of a 2-D code, contents the last 8.
        if let Some(serial) = serial {
            let last = serial.char_indices().rev().nth(7).map_or(0, |(at, _)| at);
            let key = if serial.len() == 18 { serial[last..].to_string() } else { serial };
            by_serial.entry(key).or_default().push((i, part(case)));
        }
    }
    let mut shared = Vec::new();
    for (serial, holders) in by_serial {
        let mut by_part: BTreeMap<&Option<String>, Vec<usize>> = BTreeMap::new();
        for (i, part) in &holders {
            by_part.entry(part).or_default().push(*i);
        }
        if alike {
            for (part, members) in by_part.into_iter().filter(|(_, m)| m.len() > 1) {
                let part = part.as_ref().map_or_else(String::new, |p| format!(" of part number {p}"));
                shared.push(Shared { evidence: format!("serial {serial} {} times{part}", members.len()), members });
            }
        } else if by_part.len() > 1 {
            let parts: Vec<&str> = by_part.keys().map(|p| p.as_deref().unwrap_or("no part number")).collect();
            let members = holders.iter().map(|(i, _)| *i).collect();
            shared.push(Shared { evidence: format!("serial {serial} on {}", parts.join(", ")), members });
        }
    }
    shared
}

/// What one part number has.
fn contents(reading: &ModuleReading) -> Option<String> {
    let mut fields = Vec::new();
    fields.extend(reading.capacity.map(|c| c.to_string()));
    if let (Some(ranks), Some(width)) = (reading.package_ranks, reading.device_width) {
        fields.push(format!("{ranks}Rx{width}"));
    }
    fields.extend(reading.rate.map(|r| r.to_string()));
    fields.extend(reading.die_density.map(|d| format!("{d} dies")));
    (!fields.is_empty()).then(|| fields.join(" "))
}

/// Lots of one part number in which a field has several values. Only SPD contents count: print can be forged apart. The
/// members are those that differ from what more than half have; where there is no such half, all.
fn unlike(cases: &[Case], what: &str, field: impl Fn(&ModuleReading) -> Option<String>) -> Vec<Shared> {
    let mut lots: BTreeMap<String, Vec<(usize, String)>> = BTreeMap::new();
    for (i, case) in cases.iter().enumerate() {
        if let (Some(part), Some(value)) = (part(case), case.spd().and_then(&field)) {
            lots.entry(part).or_default().push((i, value));
        }
    }
    let mut shared = Vec::new();
    for (part, members) in lots {
        let values: BTreeSet<&str> = members.iter().map(|(_, v)| v.as_str()).collect();
        if values.len() < 2 {
            continue;
        }
        let count = |value: &str| members.iter().filter(|(_, v)| v == value).count();
        let usual = values.iter().find(|v| count(v) * 2 > members.len()).copied();
        let counts: Vec<String> = values.iter().map(|v| format!("{} × {v}", count(v))).collect();
        shared.push(Shared {
            evidence: format!("{what} within part number {part}: {}", counts.join(", ")),
            members: members.iter().filter(|(_, v)| usual != Some(v.as_str())).map(|(i, _)| *i).collect(),
        });
    }
    shared
}
