//! How many modules of a fleet will fail in a year, and how many to keep: rates by faults seen in the field, Poisson demand,
//! and what a fleet with good and bad batches would ask for (negative binomial).

use crate::field::FLEET_2009;

/// Hours of a year.
const YEAR: f64 = 8760.0;

/// Faults in 10^9 hours of one DRAM device, by what of it fails (Sridharan, Liberty, SC 2012, one machine of 18,688 nodes with
/// DDR2; `field-fit` in the register). Newer devices and other makers differ by more than four times: scale it.
pub const FAULTS: [Faults; 7] = [
    Faults { of: "bit", transient: 14.2, permanent: 18.6 },
    Faults { of: "word", transient: 1.4, permanent: 0.3 },
    Faults { of: "column", transient: 1.4, permanent: 5.6 },
    Faults { of: "row", transient: 0.2, permanent: 8.2 },
    Faults { of: "bank", transient: 0.8, permanent: 10.0 },
    Faults { of: "several banks", transient: 0.3, permanent: 1.4 },
    Faults { of: "several ranks", transient: 0.9, permanent: 2.8 },
];

/// A row of that table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Faults {
    pub of: &'static str,
    pub transient: f64,
    pub permanent: f64,
}

/// What counts as a failure, which is a shop's choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// Any fault of a device.
    AnyFault,
    /// A fault that stays.
    PermanentFault,
    /// The module has lost data.
    Uncorrected,
    /// The module has corrected an error.
    Corrected,
}

impl Basis {
    /// All, with their names and words.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::AnyFault, "any-fault", "a fault of any device, passing or lasting"),
        (Self::PermanentFault, "permanent-fault", "a lasting fault of any device"),
        (Self::Uncorrected, "uncorrected", "an uncorrected error in the year"),
        (Self::Corrected, "corrected", "a corrected error in the year"),
    ];
    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(b, _, _)| *b == self).map_or("", |(_, n, _)| n)
    }
    /// In words.
    pub fn words(self) -> &'static str {
        Self::ALL.iter().find(|(b, _, _)| *b == self).map_or("", |(_, _, w)| w)
    }
    /// The register's id of its figure.
    pub fn source(self) -> &'static str {
        match self {
            Self::AnyFault | Self::PermanentFault => "field-fit",
            Self::Uncorrected | Self::Corrected => "field-incidence-2009",
        }
    }
    /// Share of modules with so many devices that fail in a year, 0 to 1. `scale` multiplies the rate.
    pub fn yearly(self, devices: u32, scale: f64) -> f64 {
        let fit = |of: fn(&Faults) -> f64| FAULTS.iter().map(of).sum::<f64>();
        match self {
            Self::AnyFault => afr(fit(|f| f.transient + f.permanent) * scale, devices),
            Self::PermanentFault => afr(fit(|f| f.permanent) * scale, devices),
            Self::Uncorrected => 1.0 - (1.0 - FLEET_2009.uncorrected).powf(scale),
            Self::Corrected => 1.0 - (1.0 - FLEET_2009.corrected).powf(scale),
        }
    }
}

/// Share of modules that fail in a year: 1 - exp(-FIT x devices x 8760 / 10^9). `fit`: failures of one device in 10^9 hours.
pub fn afr(fit: f64, devices: u32) -> f64 {
    -(-fit * f64::from(devices) * YEAR * 1e-9).exp_m1()
}

/// How old the modules are. Faults come early (Sridharan and others, SC 2013, and Meza and others, DSN 2015, see rates fall
/// with age); the factors are common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Age {
    /// The first 90 days.
    New,
    FirstYear,
    Settled,
}

impl Age {
    /// All, with their names and factors.
    pub const ALL: [(Self, &'static str, f64); 3] =
        [(Self::New, "new", 3.0), (Self::FirstYear, "first-year", 1.5), (Self::Settled, "settled", 1.0)];
    /// Its factor on the rate.
    pub fn factor(self) -> f64 {
        Self::ALL.iter().find(|(a, _, _)| *a == self).map_or(1.0, |(_, _, f)| *f)
    }
}

/// Largest mean demand that is worked out.
pub const MEAN_MOST: f64 = 1e6;

/// The least stock that meets all demand with this probability, where demand is Poisson. `mean`: 0 to [`MEAN_MOST`], beyond
/// which it is held; `level`: from 0, below 1.
pub fn poisson(mean: f64, level: f64) -> u64 {
    let mean = mean.clamp(0.0, MEAN_MOST);
    least(-mean, level, |n| mean / (n + 1.0))
}

/// The same where the rate itself differs from batch to batch by a gamma law of this shape: the smaller, the wilder.
pub fn overdispersed(mean: f64, shape: f64, level: f64) -> u64 {
    let (mean, shape) = (mean.clamp(0.0, MEAN_MOST), shape.clamp(0.01, 1e6));
    let other = mean / (shape + mean);
    least(shape * (-other).ln_1p(), level, |n| (n + shape) / (n + 1.0) * other)
}

/// The least n at which the sum of probabilities reaches `level`; `start` is the logarithm of the first, `ratio` leads on.
fn least(start: f64, level: f64, ratio: impl Fn(f64) -> f64) -> u64 {
    const END: u64 = 200_000_000;
    let level = level.clamp(0.0, 1.0 - 1e-9);
    let (mut log, mut sum, mut n) = (start, 0.0, 0u64);
    loop {
        sum += log.exp();
        if sum >= level || n >= END {
            return n;
        }
        let step = ratio(n as f64);
        if step <= 0.0 {
            return n;
        }
        log += step.ln();
        n += 1;
        // Far behind the mean nothing is added any more: rounding keeps the sum below the level.
        if log < -80.0 && step < 1.0 {
            return n;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_demand_needs_no_stock_and_odd_figures_end() {
        assert_eq!(poisson(0.0, 0.99), 0);
        assert_eq!(overdispersed(0.0, 4.0, 0.99), 0);
        assert!(poisson(1e6, 0.99) > 1_000_000);
        assert!(poisson(f64::MAX, 1.0) > 1_000_000);
        // A wild fleet needs more than a calm one, and a very calm one what Poisson says.
        assert!(overdispersed(7.68, 1.0, 0.95) > poisson(7.68, 0.95));
        assert_eq!(overdispersed(7.68, 1e6, 0.95), poisson(7.68, 0.95));
    }
}
