//! Speed grades: which rates exist, what bandwidth a label prints for one, and the CAS latency of a grade.
//!
//! Sources: JESD79-3, JESD79-4, JESD79-5 speed bins, as makers' part-number tables and server labels show them.

use domain::reading::Clocks;
use domain::{DataRate, Generation};

/// Rates of a generation in MT/s. DDR5 beyond 6400 and MRDIMM rates from memory.
pub fn rates(generation: Generation) -> &'static [u32] {
    match generation {
        Generation::Ddr3 => &[800, 1066, 1333, 1600, 1866, 2133],
        Generation::Ddr4 => &[1600, 1866, 2133, 2400, 2666, 2933, 3200],
        Generation::Ddr5 => {
            &[3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000, 6400, 6800, 7200, 7600, 8000, 8400, 8800, 12800]
        }
    }
}

/// The figure that a label prints for a rate's bandwidth in MB/s: rate × 8 bytes, rounded down to a hundred
/// (2666 → 21300).
pub fn bandwidth(rate: DataRate) -> u32 {
    rate.mts() * 8 / 100 * 100
}

/// How a printed figure names a rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// The rate in MT/s.
    Rate(DataRate),
    /// The rate, one unit off its usual rounding (2667 for 2666).
    Rounded(DataRate),
    /// The bandwidth in MB/s.
    Bandwidth(DataRate),
}

/// What a printed figure means; `None` where no rate of the generation is printed so.
pub fn figure(generation: Generation, figure: u32) -> Option<Figure> {
    let known = || rates(generation).iter().copied().map(DataRate::from_mts);
    let exact = known().find(|r| r.mts() == figure).map(Figure::Rate);
    let near = || known().find(|r| r.mts().abs_diff(figure) == 1).map(Figure::Rounded);
    let wide = || known().find(|r| (bandwidth(*r)..bandwidth(*r) + 100).contains(&figure)).map(Figure::Bandwidth);
    exact.or_else(near).or_else(wide)
}

/// DDR4 grades with their CAS latency on parts without 3DS stacks. J to U from makers' tables, V to AA seen on server
/// labels, AC from memory.
const DDR4_GRADES: [(&str, u8); 14] = [
    ("J", 10),
    ("K", 11),
    ("L", 12),
    ("M", 13),
    ("N", 14),
    ("P", 15),
    ("R", 16),
    ("T", 17),
    ("U", 18),
    ("V", 19),
    ("W", 20),
    ("Y", 21),
    ("AA", 22),
    ("AC", 24),
];

/// DDR4 grades that each rate has (the full set from memory; P, T, V, Y and AA seen).
const DDR4_BINS: [(u32, &[&str]); 7] = [
    (1600, &["J", "K", "L"]),
    (1866, &["L", "M", "N"]),
    (2133, &["N", "P", "R"]),
    (2400, &["P", "R", "T", "U"]),
    (2666, &["T", "U", "V", "W"]),
    (2933, &["V", "W", "Y", "AA"]),
    (3200, &["W", "AA", "AC"]),
];

/// DDR4 3DS parts keep the letter of the rate and add clocks (makers' tables; two server manuals agree). 2133P is left
/// out: makers differ, 17 or 18.
const DDR4_3DS: [(u32, &str, u8); 5] =
    [(2400, "T", 19), (2400, "U", 20), (2666, "V", 22), (2933, "Y", 24), (3200, "AA", 26)];

/// DDR5 A grades, CL = nRCD = nRP (press table of the 2024 revision of JESD79-5).
const DDR5_A: [(u32, u8); 15] = [
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

/// DDR3 rates with the clocks of their bins, CL = nRCD = nRP (JESD79-3, from memory).
const DDR3_BINS: [(u32, &[u8]); 6] = [
    (800, &[5, 6]),
    (1066, &[6, 7, 8]),
    (1333, &[7, 8, 9, 10]),
    (1600, &[8, 9, 10, 11]),
    (1866, &[10, 11, 12, 13]),
    (2133, &[11, 12, 13, 14]),
];

/// Shortest clock of DDR5 rates in ps (JESD79-5; 4800 and 5600 checked on SPD dumps, the rest by truncation).
const DDR5_CLOCKS: [(u32, u32); 15] = [
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
];

/// Clocks of a DDR5 B grade: 16 ns by the standard's rounding rule (n = t x 0.997 / tCK + 1, rounded down), CL the next
/// even number. Gives 4800 and 5600 as SPD dumps have them, and the CL that public notes have for 5200, 6400, 7200, 8000
/// and 8800; the rule itself is from memory.
fn ddr5_b(rate: DataRate) -> Option<(u8, u8)> {
    let (_, tck) = DDR5_CLOCKS.iter().find(|(r, _)| *r == rate.mts())?;
    let clocks = u8::try_from((16_000 * 997 / tck + 1000) / 1000).ok()?;
    Some((clocks.next_multiple_of(2), clocks))
}

/// Grades of DDR5; `N` behind the letter gives nRCD and nRP the clocks of CL, and leaves CL as it is.
const DDR5_GRADES: [&str; 6] = ["A", "B", "C", "AN", "BN", "CN"];

/// Is this a grade of the generation?
pub fn is_grade(generation: Generation, grade: &str) -> bool {
    match generation {
        Generation::Ddr3 => false,
        Generation::Ddr4 => DDR4_GRADES.iter().any(|(g, _)| *g == grade),
        Generation::Ddr5 => DDR5_GRADES.contains(&grade),
    }
}

/// Has this rate that grade, as far as the tables go?
pub fn is_bin(generation: Generation, rate: DataRate, grade: &str) -> bool {
    match generation {
        Generation::Ddr4 => DDR4_BINS.iter().any(|(r, grades)| *r == rate.mts() && grades.contains(&grade)),
        Generation::Ddr3 | Generation::Ddr5 => is_grade(generation, grade),
    }
}

/// CL-nRCD-nRP of a grade; `None` where no table that we trust has them.
pub fn clocks(generation: Generation, rate: DataRate, grade: &str, stacked: bool) -> Option<Clocks> {
    let flat = || DDR4_GRADES.iter().find(|(g, _)| *g == grade).map(|(_, cl)| *cl);
    let (cas, rest) = match (generation, grade, stacked) {
        (Generation::Ddr4, _, true) => {
            let (_, _, cas) = DDR4_3DS.iter().find(|(r, g, _)| *r == rate.mts() && *g == grade)?;
            (*cas, flat()?)
        }
        (Generation::Ddr4, _, false) => (flat()?, flat()?),
        // 3DS: 4800B is 46-39-39 on dumps; nothing else was seen.
        (Generation::Ddr5, "B", true) if rate.mts() == 4800 => (46, 39),
        (Generation::Ddr5, "A" | "AN", false) => {
            let (_, cas) = DDR5_A.iter().find(|(r, _)| *r == rate.mts())?;
            (*cas, *cas)
        }
        (Generation::Ddr5, "B", false) => ddr5_b(rate)?,
        (Generation::Ddr5, "BN", false) => {
            let (cas, _) = ddr5_b(rate)?;
            (cas, cas)
        }
        _ => return None,
    };
    Some(Clocks { cas: cas.into(), rcd: rest.into(), rp: rest.into() })
}

/// CL-nRCD-nRP where a label prints CL: alike in all bins of DDR3 and DDR4 without stacks; `None` where no bin has it.
pub fn clocks_of_cas(generation: Generation, rate: DataRate, cas: u8, stacked: bool) -> Option<Clocks> {
    let known = match generation {
        Generation::Ddr3 => DDR3_BINS.iter().any(|(r, all)| *r == rate.mts() && all.contains(&cas)),
        Generation::Ddr4 => {
            let of = |grade: &str| DDR4_GRADES.iter().any(|(g, clocks)| *g == grade && *clocks == cas);
            DDR4_BINS.iter().any(|(r, grades)| *r == rate.mts() && grades.iter().any(|g| of(g)))
        }
        Generation::Ddr5 => false,
    };
    let all = u16::from(cas);
    (known && !stacked).then_some(Clocks { cas: all, rcd: all, rp: all })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bandwidth_figures_are_those_of_published_labels() {
        let printed = [(800, 6400), (1066, 8500), (1333, 10600), (1600, 12800), (1866, 14900), (2133, 17000)];
        for (rate, figure) in printed.into_iter().chain([(2400, 19200), (2666, 21300), (2933, 23400)]) {
            assert_eq!(bandwidth(DataRate::from_mts(rate)), figure);
        }
    }

    #[test]
    fn no_figure_is_a_rate_and_a_bandwidth_of_one_generation() {
        for generation in [Generation::Ddr3, Generation::Ddr4, Generation::Ddr5] {
            for rate in rates(generation) {
                let rate = DataRate::from_mts(*rate);
                assert_eq!(figure(generation, rate.mts()), Some(Figure::Rate(rate)));
                assert_eq!(figure(generation, bandwidth(rate)), Some(Figure::Bandwidth(rate)));
            }
        }
        assert_eq!(figure(Generation::Ddr4, 2667), Some(Figure::Rounded(DataRate::from_mts(2666))));
        assert_eq!(figure(Generation::Ddr4, 23_466), Some(Figure::Bandwidth(DataRate::from_mts(2933))));
        assert_eq!(figure(Generation::Ddr4, 2993), None);
    }

    #[test]
    fn every_bin_is_a_grade_and_stacks_add_clocks() {
        for (rate, grades) in DDR4_BINS {
            for grade in grades {
                let flat = clocks(Generation::Ddr4, DataRate::from_mts(rate), grade, false).map(|c| c.cas);
                assert!(flat.is_some(), "{rate}{grade}");
                let stacked = clocks(Generation::Ddr4, DataRate::from_mts(rate), grade, true).map(|c| c.cas);
                assert!(stacked.is_none_or(|s| Some(s) > flat), "{rate}{grade}");
            }
        }
    }

    #[test]
    fn the_clock_rule_gives_the_published_b_grades() {
        let published = [(4800, 40), (5200, 42), (5600, 46), (6400, 52), (7200, 58), (8000, 64), (8800, 72)];
        for (rate, cas) in published {
            let clocks = clocks(Generation::Ddr5, DataRate::from_mts(rate), "B", false);
            assert_eq!(clocks.map(|c| c.cas), Some(cas), "{rate}");
        }
        let of = |rate, grade| clocks(Generation::Ddr5, DataRate::from_mts(rate), grade, false);
        assert_eq!(of(4800, "B").map(|c| (c.rcd, c.rp)), Some((39, 39)));
        assert_eq!(of(5600, "B").map(|c| (c.rcd, c.rp)), Some((45, 45)));
        assert_eq!(of(4800, "BN").map(|c| (c.cas, c.rcd)), Some((40, 40)));
    }
}
