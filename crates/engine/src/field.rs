//! What field studies counted, with the ratios that can be worked out of it: figures to hold beside a fleet's own, since each
//! is of one operator's machines. Sources: `field-incidence-2009` in the register, and the works named here.

use domain::Capacity;

/// Hours of a year.
const YEAR: f64 = 8760.0;
/// Mbit of a GiB.
const MBIT: f64 = 8192.0;

/// Errors in a fleet's modules in a year (Schroeder, Pinheiro, Weber, SIGMETRICS 2009, all platforms; from memory, about 8 %
/// and the ranges seen). Shares are 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Incidence {
    pub corrected: f64,
    pub machines_corrected: f64,
    pub uncorrected: f64,
    pub machines_uncorrected: f64,
    /// Corrected errors of a module in a year, on average.
    pub errors: f64,
}

/// That fleet.
pub const FLEET_2009: Incidence = Incidence {
    corrected: 0.082,
    machines_corrected: 0.322,
    uncorrected: 0.0022,
    machines_uncorrected: 0.0129,
    errors: 3751.0,
};

impl Incidence {
    /// Errors in 10^9 hours of one Mbit, for modules of this size.
    pub fn fit_per_mbit(&self, size: Capacity) -> f64 {
        self.errors / YEAR * 1e9 / (MBIT * size.gib())
    }
}

/// Errors over so much memory for so long (Zivanovic and others, MEMSYS 2019, one machine; counts published).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watched {
    /// MB of memory times hours.
    pub mb_hours: f64,
    pub corrected: f64,
    pub uncorrected: f64,
}

/// That machine.
pub const WATCHED_2019: Watched = Watched { mb_hours: 2e12, corrected: 4.5e6, uncorrected: 71.0 };

impl Watched {
    /// GB of memory times years.
    pub fn gb_years(&self) -> f64 {
        self.mb_hours / 1024.0 / YEAR
    }
    /// Uncorrected errors of so much memory in a year.
    pub fn uncorrected_a_year(&self, memory: Capacity) -> f64 {
        self.uncorrected / self.gb_years() * memory.gib()
    }
}

/// Errors that were logged, and those of them that were not corrected (Di Martino and others, DSN 2014, one machine with a
/// code that corrects a whole device; counts published).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Logged {
    pub errors: f64,
    pub uncorrected: f64,
}

/// That machine.
pub const LOGGED_2014: Logged = Logged { errors: 1_544_398.0, uncorrected: 28.0 };

impl Logged {
    /// Share that was not corrected, 0 to 1.
    pub fn uncorrected_share(&self) -> f64 {
        self.uncorrected / self.errors
    }
}

/// Modules of servers that were replaced ("Correctable and uncorrectable errors using large scale DRAM DIMMs in replacement
/// network servers": about 40,000 modules, 2.5 years; shares published, abstract seen).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pulled {
    /// Share with an error in the log; of these, shares with one kind only and with both.
    pub with_error: f64,
    pub corrected_only: f64,
    pub uncorrected_only: f64,
    pub both: f64,
}

/// That survey.
pub const PULLED: Pulled = Pulled { with_error: 0.24, corrected_only: 0.28, uncorrected_only: 0.43, both: 0.29 };

impl Pulled {
    /// Share without any error logged, 0 to 1.
    pub fn clean(&self) -> f64 {
        1.0 - self.with_error
    }
    /// Share of all with an uncorrected error.
    pub fn uncorrected(&self) -> f64 {
        self.with_error * (self.uncorrected_only + self.both)
    }
    /// Share of all with a corrected error.
    pub fn corrected(&self) -> f64 {
        self.with_error * (self.corrected_only + self.both)
    }
}

/// Parts that were replaced while a machine was built up: replaced, of all (Ferreira and others, 2022; from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Replaced {
    pub what: &'static str,
    pub replaced: u32,
    pub of: u32,
}

/// That machine, of 2,592 nodes.
pub const BUILT_UP: [Replaced; 3] = [
    Replaced { what: "processors", replaced: 836, of: 5184 },
    Replaced { what: "boards", replaced: 46, of: 2592 },
    Replaced { what: "modules", replaced: 1515, of: 41_472 },
];

impl Replaced {
    /// Share that was replaced, 0 to 1.
    pub fn share(&self) -> f64 {
        f64::from(self.replaced) / f64::from(self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_memory_errs_more_and_shares_stay_shares() {
        let of = |gib| WATCHED_2019.uncorrected_a_year(Capacity::from_gib(gib));
        assert_eq!(of(0), 0.0);
        assert!((of(2048) - 2.0 * of(1024)).abs() < 1e-12);
        assert!(PULLED.clean() + PULLED.uncorrected().max(PULLED.corrected()) < 1.0);
        assert!((PULLED.corrected_only + PULLED.uncorrected_only + PULLED.both - 1.0).abs() < 1e-9);
        assert!(BUILT_UP.iter().all(|r| (0.0..1.0).contains(&r.share())));
    }
}
