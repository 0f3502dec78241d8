//! Timings that no speed bin has.

use super::case::Case;
use super::{Check, Entry, Today};
use domain::reading::{Clocks, Weight};
use domain::{DataRate, Generation, Kind};

pub const SIGNS: &[Entry] = &[Entry {
    name: "timings-of-no-speed-bin",
    weight: Weight::Suspect,
    finds: "CAS latency, RAS-to-CAS delay or precharge at the rated rate are of no speed bin of the standard",
    means: "The timings were changed by hand, to sell a slower module as a faster one",
    innocent: "a module for overclocking, whose maker writes its own figures; a bin that is newer than the list here",
    advice: "compare with the maker's data sheet for the part number; test it at the rate",
    source: "JEDEC JESD79-4 and JESD79-3 (the full set of bins from memory); the fastest DDR5 bins as published in 2024",
    examples: "spd: generation DDR4, kind RDIMM, rate 3200, clocks 14-14-14\n-> timings-of-no-speed-bin\n\
               spd: generation DDR4, kind RDIMM, rate 3200, clocks 22-22-22\n-> clean\n\
               spd: generation DDR4, kind RDIMM-3DS, stack 4, rate 3200, clocks 26-22-22\n-> clean\n\
               spd: generation DDR5, kind RDIMM, rate 4800, clocks 28-28-28\n-> timings-of-no-speed-bin\n\
               spd: generation DDR5, kind RDIMM, rate 4800, clocks 40-39-39\n-> clean",
    check: Check::Module(check),
}];

/// CAS latencies of the bins of a rate; delay and precharge have the same figures. Full set from memory.
const DDR3: &[(u32, &[u16])] = &[
    (800, &[5, 6]),
    (1066, &[6, 7, 8]),
    (1333, &[7, 8, 9, 10]),
    (1600, &[8, 9, 10, 11]),
    (1866, &[10, 11, 12, 13]),
    (2133, &[11, 12, 13, 14]),
];
/// As above: the standard's letters J to AC by rate; 2400 and 2666 have four.
const DDR4: &[(u32, &[u16])] = &[
    (1600, &[10, 11, 12]),
    (1866, &[12, 13, 14]),
    (2133, &[14, 15, 16]),
    (2400, &[15, 16, 17, 18]),
    (2666, &[17, 18, 19, 20]),
    (2933, &[19, 20, 21, 22]),
    (3200, &[20, 22, 24]),
];
/// What a 3DS stack adds to its bin's CAS latency: 2 to 4 clocks in the makers' tables.
const STACK_ADDS: std::ops::RangeInclusive<u16> = 2..=4;
/// The fastest bin (A) of each DDR5 rate, published 2024; the slower ones are not all published.
const DDR5_FASTEST: &[(u32, u16)] = &[
    (3200, 22),
    (3600, 26),
    (4000, 28),
    (4400, 32),
    (4800, 34),
    (5200, 38),
    (5600, 40),
    (6000, 42),
    (6400, 46),
    (6800, 48),
    (7200, 52),
    (7600, 54),
    (8000, 56),
    (8400, 60),
    (8800, 62),
];

fn check(case: &Case, _: Today) -> Option<String> {
    let spd = case.spd()?;
    let (rate, clocks) = (spd.rate?, spd.clocks?);
    let stacked = spd.stack_height.is_some_and(|h| h > 1) || spd.kind.is_some_and(Kind::is_3ds);
    let wrong = match spd.generation? {
        Generation::Ddr3 => no_bin(DDR3, rate, clocks, false),
        Generation::Ddr4 => no_bin(DDR4, rate, clocks, stacked),
        Generation::Ddr5 => {
            // The host rate of an MRDIMM is twice that of its dies, which the bins are for.
            let (_, fastest) = DDR5_FASTEST.iter().find(|(r, _)| *r == rate.mts())?;
            let below = spd.kind != Some(Kind::Mrdimm) && clocks.cas.min(clocks.rcd).min(clocks.rp) < *fastest;
            below.then(|| format!("the fastest bin has {fastest}"))
        }
    }?;
    Some(format!("SPD {}-{}-{} at {rate}; {wrong}", clocks.cas, clocks.rcd, clocks.rp))
}

fn no_bin(bins: &[(u32, &[u16])], rate: DataRate, clocks: Clocks, stacked: bool) -> Option<String> {
    let (_, bins) = bins.iter().find(|(r, _)| *r == rate.mts())?;
    let cas = bins.contains(&clocks.cas)
        || (stacked && STACK_ADDS.clone().any(|add| bins.contains(&clocks.cas.saturating_sub(add))));
    let rest = bins.contains(&clocks.rcd) && bins.contains(&clocks.rp);
    (!cas || !rest).then(|| {
        let known: Vec<String> = bins.iter().map(u16::to_string).collect();
        format!("bins of this rate have {}", known.join(", "))
    })
}
