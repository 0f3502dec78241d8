//! What the standards' speed bins are: the rates of a generation with their cycle times, and the grades of a rate with
//! their clocks. Labels and SPD contents are read by the same tables.
//!
//! Sources: JESD79-3, JESD79-4, JESD79-5 speed bins, as makers' part-number tables and server labels show them.

use domain::Generation;

/// Rates in MT/s, each with its grades and the clocks that CL, nRCD and nRP all have.
pub type Bins = [(u32, &'static [(&'static str, u16)])];

/// Standard rates in MT/s with their cycle times in ps, slow to fast: JESD79-3 (800 to 2133), JESD79-4.
const DDR3_RATES: &[(u32, u32)] = &[(800, 2500), (1066, 1875), (1333, 1500), (1600, 1250), (1866, 1071), (2133, 938)];
const DDR4_RATES: &[(u32, u32)] =
    &[(1600, 1250), (1866, 1071), (2133, 938), (2400, 833), (2666, 750), (2933, 682), (3200, 625)];
/// JESD79-5: the cycle time is cut off to whole ps. 9200, and 12800 of multiplexed-rank modules, from memory.
const DDR5_RATES: &[(u32, u32)] = &[
    (3200, 625),
    (3600, 555),
    (4000, 500),
    (4400, 454),
    (4800, 416),
    (5200, 384),
    (5600, 357),
    (6000, 333),
    (6400, 312),
    (6800, 294),
    (7200, 277),
    (7600, 263),
    (8000, 250),
    (8400, 238),
    (8800, 227),
    (9200, 217),
    (12_800, 156),
];

/// The standard rates of a generation in MT/s with their cycle times in ps, slow to fast.
pub fn rates(generation: Generation) -> &'static [(u32, u32)] {
    match generation {
        Generation::Ddr3 => DDR3_RATES,
        Generation::Ddr4 => DDR4_RATES,
        Generation::Ddr5 => DDR5_RATES,
    }
}

/// DDR4: rate and the grades that it has, each with its clocks, all three alike (the grades of a rate from memory; P, T,
/// V, Y and AA seen on labels; the clocks of J to U from makers' tables, AC from memory).
pub const DDR4: &Bins = &[
    (1600, &[("J", 10), ("K", 11), ("L", 12)]),
    (1866, &[("L", 12), ("M", 13), ("N", 14)]),
    (2133, &[("N", 14), ("P", 15), ("R", 16)]),
    (2400, &[("P", 15), ("R", 16), ("T", 17), ("U", 18)]),
    (2666, &[("T", 17), ("U", 18), ("V", 19), ("W", 20)]),
    (2933, &[("V", 19), ("W", 20), ("Y", 21), ("AA", 22)]),
    (3200, &[("W", 20), ("AA", 22), ("AC", 24)]),
];
/// DDR3: rate and the clocks of its grades, all three alike (JESD79-3, from memory). Labels print CL, no letter.
pub const DDR3: &Bins = &[
    (800, &[("D", 5), ("E", 6)]),
    (1066, &[("E", 6), ("F", 7), ("G", 8)]),
    (1333, &[("F", 7), ("G", 8), ("H", 9), ("J", 10)]),
    (1600, &[("G", 8), ("H", 9), ("J", 10), ("K", 11)]),
    (1866, &[("J", 10), ("K", 11), ("L", 12), ("M", 13)]),
    (2133, &[("K", 11), ("L", 12), ("M", 13), ("N", 14)]),
];

/// DDR5 A: CL = nRCD = nRP as published with the 2024 revision of JESD79-5; a vendor's guide names 5600AN and 6400AN.
pub const DDR5_A: &[(u32, u16)] = &[
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
