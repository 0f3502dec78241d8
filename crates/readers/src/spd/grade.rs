//! The speed grade that a module's clocks amount to at its rate, and the nearest where they amount to none.

use super::timing::clocks;
use crate::bins::{Bins, DDR3, DDR4, DDR5_A, rates};
use domain::reading::Clocks;
use domain::{DataRate, Generation};

/// A speed grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grade {
    /// As a label prints it.
    pub name: &'static str,
    /// Are the clocks those of the grade, or is it only the nearest one?
    pub exact: bool,
    /// The clocks that it has.
    pub clocks: Clocks,
}

/// DDR4 3DS parts keep the letter of nRCD and nRP and add 2 to 4 clocks of CL (makers' tables).
const DDR4_STACK_ADDS: std::ops::RangeInclusive<u16> = 2..=4;

/// DDR5 B and C: one time for CL, nRCD and nRP in ps (16 ns checked on modules; 17.5 ns from memory).
const DDR5_TIMES: [(&str, &str, u32); 2] = [("B", "BN", 16_000), ("C", "CN", 17_500)];
/// DDR5 3DS parts add clocks of CL; 7 seen (46-39-39 at 4800), the range from memory.
const DDR5_STACK_ADDS: std::ops::RangeInclusive<u16> = 2..=12;

/// The grade of these clocks at this rate; `None` where the rate has none that we know.
pub fn grade(generation: Generation, rate: DataRate, seen: Clocks, stacked: bool) -> Option<Grade> {
    let found = match generation {
        Generation::Ddr3 => alike(DDR3, rate),
        Generation::Ddr4 => alike(DDR4, rate),
        Generation::Ddr5 => ddr5(rate),
    };
    let adds = match generation {
        Generation::Ddr5 => DDR5_STACK_ADDS,
        _ => DDR4_STACK_ADDS,
    };
    let fits = |bin: &Clocks| {
        let cas =
            if stacked { adds.contains(&seen.cas.saturating_sub(bin.cas.min(bin.rcd))) } else { seen.cas == bin.cas };
        cas && (seen.rcd, seen.rp) == (bin.rcd, bin.rp)
    };
    if let Some((name, clocks)) = found.iter().find(|(_, bin)| fits(bin)) {
        return Some(Grade { name, exact: true, clocks: *clocks });
    }
    let far = |bin: &Clocks| {
        let cas = if stacked { 0 } else { seen.cas.abs_diff(bin.cas) };
        u32::from(cas) + u32::from(seen.rcd.abs_diff(bin.rcd)) + u32::from(seen.rp.abs_diff(bin.rp))
    };
    let (name, clocks) = found.iter().min_by_key(|(_, bin)| far(bin))?;
    Some(Grade { name, exact: false, clocks: *clocks })
}

/// The grades of a rate whose clocks are all alike.
fn alike(table: &Bins, rate: DataRate) -> Vec<(&'static str, Clocks)> {
    let grades = table.iter().find(|(mts, _)| *mts == rate.mts()).map_or(&[][..], |(_, grades)| grades);
    grades.iter().map(|(name, n)| (*name, Clocks { cas: *n, rcd: *n, rp: *n })).collect()
}

/// The grades of a DDR5 rate: B and C as their time says, with N where nRCD and nRP are made equal to CL, and A.
fn ddr5(rate: DataRate) -> Vec<(&'static str, Clocks)> {
    let Some((_, tck)) = rates(Generation::Ddr5).iter().find(|(mts, _)| *mts == rate.mts()) else {
        return Vec::new();
    };
    let mut grades = Vec::with_capacity(5);
    for (plain, even, time) in DDR5_TIMES {
        let n = clocks(Generation::Ddr5, time, *tck);
        let cas = n.next_multiple_of(2);
        grades.push((plain, Clocks { cas, rcd: n, rp: n }));
        grades.push((even, Clocks { cas, rcd: cas, rp: cas }));
    }
    if let Some((_, n)) = DDR5_A.iter().find(|(mts, _)| *mts == rate.mts()) {
        grades.push(("AN", Clocks { cas: *n, rcd: *n, rp: *n }));
    }
    grades
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(generation: Generation, mts: u32, clocks: (u16, u16, u16), stacked: bool) -> (&'static str, bool) {
        let (cas, rcd, rp) = clocks;
        let grade = grade(generation, DataRate::from_mts(mts), Clocks { cas, rcd, rp }, stacked).expect("a grade");
        (grade.name, grade.exact)
    }

    #[test]
    fn published_bins_have_their_letters() {
        use Generation::{Ddr4, Ddr5};
        for (mts, n, letter) in [(2133, 15, "P"), (2400, 17, "T"), (2666, 19, "V"), (2933, 21, "Y"), (3200, 22, "AA")] {
            assert_eq!(of(Ddr4, mts, (n, n, n), false), (letter, true), "{mts}");
        }
        let stacks = [(2133, 18, 15, "P"), (2133, 17, 15, "P"), (2400, 19, 17, "T"), (2400, 20, 18, "U")];
        for (mts, cas, n, letter) in
            stacks.into_iter().chain([(2666, 22, 19, "V"), (2933, 24, 21, "Y"), (3200, 26, 22, "AA")])
        {
            assert_eq!(of(Ddr4, mts, (cas, n, n), true), (letter, true), "{mts}");
        }
        let ddr5 = [(4800, 40, 39, "B"), (4800, 40, 40, "BN"), (5600, 46, 45, "B"), (6400, 52, 52, "B")];
        let more = [(5200, 42, 42, "B"), (7200, 58, 58, "B"), (8000, 64, 64, "B"), (5600, 40, 40, "AN")];
        for (mts, cas, n, letter) in ddr5.into_iter().chain(more) {
            assert_eq!(of(Ddr5, mts, (cas, n, n), false), (letter, true), "{mts}");
        }
        assert_eq!(of(Ddr5, 4800, (46, 39, 39), true), ("B", true));
    }

    #[test]
    fn the_nearest_is_told_as_such() {
        assert_eq!(of(Generation::Ddr4, 3200, (16, 18, 18), false), ("W", false));
        assert_eq!(of(Generation::Ddr4, 2666, (22, 19, 19), false), ("V", false));
        let none = grade(Generation::Ddr4, DataRate::from_mts(5000), Clocks { cas: 1, rcd: 1, rp: 1 }, false);
        assert_eq!(none, None);
    }
}
