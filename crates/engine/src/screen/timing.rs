//! Timings that do not go together; the reader of SPD contents has the bins and finds them.

use super::{Check, Entry};
use domain::reading::Weight;

pub const SIGNS: &[Entry] = &[
    Entry {
        name: "no-such-speed-bin",
        weight: Weight::Suspect,
        finds: "CAS latency, RAS-to-CAS delay and precharge at the rated rate are those of no speed grade",
        means: "The timings were changed by hand, to sell a slower module as a faster one",
        innocent: "a module for overclocking, whose maker writes its own figures; a grade that is newer than the list here",
        advice: "compare with the maker's data sheet for the part number; test it at the rate",
        source: "JEDEC JESD79-3, JESD79-4 and JESD79-5, speed bins; the full set from memory",
        examples: "spd: oddity no-such-speed-bin\n-> no-such-speed-bin\nspd: rate 3200, clocks 22-22-22\n-> clean",
        check: Check::Reader,
    },
    Entry {
        name: "cas-not-in-map",
        weight: Weight::Suspect,
        finds: "The CAS latency that the times need is not among those that the module says it supports",
        means: "Times were changed without the list of CAS latencies, or the other way round",
        innocent: "a maker's slip in a module that runs all the same",
        advice: "compare with another module of the lot",
        source: "JEDEC JESD21-C Annex K and L, JESD400-5: tAA, cycle time and the CAS map",
        examples: "spd: oddity cas-not-in-map\n-> cas-not-in-map\nspd: rate 3200, clocks 22-22-22\n-> clean",
        check: Check::Reader,
    },
    Entry {
        name: "row-cycle-too-short",
        weight: Weight::Note,
        finds: "The row cycle time is shorter than the active and precharge times that it is made of",
        means: "Times were changed by hand",
        innocent: "a maker that rounds its times; seen on a genuine 3DS module",
        advice: "compare with another module of the lot",
        source: "JEDEC JESD79-3, JESD79-4, JESD79-5: tRC is tRAS and tRP",
        examples: "spd: oddity row-cycle-too-short\n-> row-cycle-too-short\nspd: rate 3200, clocks 22-22-22\n-> clean",
        check: Check::Reader,
    },
];
