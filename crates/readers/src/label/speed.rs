//! Speed grades: which rates exist, what bandwidth a label prints for one, and the CAS latency of a grade.
//!
//! Sources: JESD79-3, JESD79-4, JESD79-5 speed bins, as makers' part-number tables and server labels show them.

use crate::bins;
use domain::reading::Clocks;
use domain::{DataRate, Generation};

/// Rates of a generation in MT/s.
fn rates(generation: Generation) -> impl Iterator<Item = u32> {
    bins::rates(generation).iter().map(|(mts, _)| *mts)
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
    let known = || rates(generation).map(DataRate::from_mts);
    let exact = known().find(|r| r.mts() == figure).map(Figure::Rate);
    let near = || known().find(|r| r.mts().abs_diff(figure) == 1).map(Figure::Rounded);
    // Rounded down to a hundred, or the exact product of a rate in thirds (23466); what lies between is a slip.
    let wide = || {
        let printed = |r: &DataRate| figure == bandwidth(*r) || (r.mts() * 8..r.mts() * 8 + 6).contains(&figure);
        known().find(printed).map(Figure::Bandwidth)
    };
    exact.or_else(near).or_else(wide)
}

/// The clocks of a DDR4 grade, which are the same at every rate that has it.
fn ddr4(grade: &str) -> Option<u16> {
    bins::DDR4.iter().flat_map(|(_, grades)| *grades).find(|(g, _)| *g == grade).map(|(_, clocks)| *clocks)
}

/// DDR4 3DS parts keep the letter of the rate and add clocks (makers' tables; two server manuals agree). 2133P is left
/// out: makers differ, 17 or 18.
const DDR4_3DS: [(u32, &str, u16); 5] =
    [(2400, "T", 19), (2400, "U", 20), (2666, "V", 22), (2933, "Y", 24), (3200, "AA", 26)];

/// Clocks of a DDR5 B grade: 16 ns by the standard's rounding rule (n = t x 0.997 / tCK + 1, rounded down), CL the next
/// even number. Gives 4800 and 5600 as SPD dumps have them, and the CL that public notes have for 5200, 6400, 7200, 8000
/// and 8800; the rule itself is from memory.
fn ddr5_b(rate: DataRate) -> Option<(u16, u16)> {
    // Beyond, nothing is published that it could be held against.
    const MOST: u32 = 8800;
    let all = bins::rates(Generation::Ddr5);
    let (_, tck) = all.iter().find(|(r, _)| *r == rate.mts() && *r <= MOST)?;
    let clocks = u16::try_from((16_000 * 997 / tck + 1000) / 1000).ok()?;
    Some((clocks.next_multiple_of(2), clocks))
}

/// Grades of DDR5; `N` behind the letter gives nRCD and nRP the clocks of CL, and leaves CL as it is.
const DDR5_GRADES: [&str; 6] = ["A", "B", "C", "AN", "BN", "CN"];

/// The grades of a rate.
fn bin(bins: &bins::Bins, rate: DataRate) -> &'static [(&'static str, u16)] {
    bins.iter().find(|(r, _)| *r == rate.mts()).map_or(&[], |(_, grades)| grades)
}

/// Is this a grade of the generation?
pub fn is_grade(generation: Generation, grade: &str) -> bool {
    match generation {
        Generation::Ddr3 => false,
        Generation::Ddr4 => ddr4(grade).is_some(),
        Generation::Ddr5 => DDR5_GRADES.contains(&grade),
    }
}

/// Has this rate that grade, as far as the tables go?
pub fn is_bin(generation: Generation, rate: DataRate, grade: &str) -> bool {
    match generation {
        Generation::Ddr4 => bin(bins::DDR4, rate).iter().any(|(g, _)| *g == grade),
        Generation::Ddr3 | Generation::Ddr5 => is_grade(generation, grade),
    }
}

/// CL-nRCD-nRP of a grade; `None` where no table that we trust has them.
pub fn clocks(generation: Generation, rate: DataRate, grade: &str, stacked: bool) -> Option<Clocks> {
    let flat = || ddr4(grade);
    let (cas, rest) = match (generation, grade, stacked) {
        (Generation::Ddr4, _, true) => {
            let (_, _, cas) = DDR4_3DS.iter().find(|(r, g, _)| *r == rate.mts() && *g == grade)?;
            (*cas, flat()?)
        }
        (Generation::Ddr4, _, false) => (flat()?, flat()?),
        // 3DS: 4800B is 46-39-39 on dumps; nothing else was seen.
        (Generation::Ddr5, "B", true) if rate.mts() == 4800 => (46, 39),
        (Generation::Ddr5, "A" | "AN", false) => {
            let (_, cas) = bins::DDR5_A.iter().find(|(r, _)| *r == rate.mts())?;
            (*cas, *cas)
        }
        (Generation::Ddr5, "B", false) => ddr5_b(rate)?,
        (Generation::Ddr5, "BN", false) => {
            let (cas, _) = ddr5_b(rate)?;
            (cas, cas)
        }
        _ => return None,
    };
    Some(Clocks { cas, rcd: rest, rp: rest })
}

/// CL-nRCD-nRP where a label prints CL: alike in all bins of DDR3 and DDR4 without stacks; `None` where no bin has it.
pub fn clocks_of_cas(generation: Generation, rate: DataRate, cas: u8, stacked: bool) -> Option<Clocks> {
    let bins = match generation {
        Generation::Ddr3 => bin(bins::DDR3, rate),
        Generation::Ddr4 => bin(bins::DDR4, rate),
        Generation::Ddr5 => &[],
    };
    let all = u16::from(cas);
    let known = bins.iter().any(|(_, clocks)| *clocks == all);
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
                let rate = DataRate::from_mts(rate);
                assert_eq!(figure(generation, rate.mts()), Some(Figure::Rate(rate)));
                assert_eq!(figure(generation, bandwidth(rate)), Some(Figure::Bandwidth(rate)));
            }
        }
        assert_eq!(figure(Generation::Ddr4, 2667), Some(Figure::Rounded(DataRate::from_mts(2666))));
        assert_eq!(figure(Generation::Ddr4, 23_466), Some(Figure::Bandwidth(DataRate::from_mts(2933))));
        assert_eq!(figure(Generation::Ddr4, 2993), None);
        // `PC5-48008`: a B read as 8, and no bandwidth.
        assert_eq!(figure(Generation::Ddr5, 48_008), None);
    }

    #[test]
    fn every_bin_is_a_grade_and_stacks_add_clocks() {
        for (rate, grades) in bins::DDR4.iter().copied() {
            for (grade, _) in grades {
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
