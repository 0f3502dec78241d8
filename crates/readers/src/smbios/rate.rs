//! Reported speeds → standard data rates. Firmware rounds (2134, 1867, 2934), and some report the clock (667 for
//! DDR3-1333), which is half the rate.

use domain::DataRate;
use domain::module::Generation;
use domain::snapshot::SeenRate;

/// Which standard rates a memory type has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    Ddr(Generation),
    /// DDR2, whose rates overlap with DDR3's clocks.
    Ddr2,
    /// Multiplexed ranks: host rates.
    Mrdimm,
    Untold,
}

/// JESD79-2, JESD79-3, JESD79-4, JESD79-5 in MT/s; the multiplexed-rank rates from memory.
const DDR2: &[u32] = &[400, 533, 667, 800, 1066];
const DDR3: &[u32] = &[800, 1066, 1333, 1600, 1866, 2133];
const DDR4: &[u32] = &[1600, 1866, 2133, 2400, 2666, 2933, 3200];
/// Rates that DDR4 systems with many modules a channel fall to, below the standard's least.
const DDR4_SLOWED: &[u32] = &[1333, 1600, 1866, 2133, 2400, 2666, 2933, 3200];
const DDR5: &[u32] = &[2933, 3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000, 6400, 6800, 7200, 7600, 8000, 8400, 8800];
const MRDIMM: &[u32] = &[8000, 8800, 10_400, 11_200, 12_000, 12_800];
const ANY: &[u32] = &[
    400, 533, 667, 800, 1066, 1333, 1600, 1866, 2133, 2400, 2666, 2933, 3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000,
    6400, 6800, 7200, 7600, 8000, 8400, 8800, 10_400, 11_200, 12_000, 12_800,
];
/// A rate counts as a standard one when it is this near, in thousandths.
const NEAR: u32 = 8;

impl Family {
    fn rated(self) -> &'static [u32] {
        match self {
            Self::Ddr(Generation::Ddr3) => DDR3,
            Self::Ddr(Generation::Ddr4) => DDR4,
            Self::Ddr(Generation::Ddr5) => DDR5,
            Self::Ddr2 => DDR2,
            Self::Mrdimm => MRDIMM,
            Self::Untold => ANY,
        }
    }
    fn running(self) -> &'static [u32] {
        match self {
            Self::Ddr(Generation::Ddr4) => DDR4_SLOWED,
            // These slow down to what their host offers.
            Self::Mrdimm => DDR5,
            other => other.rated(),
        }
    }
}

fn near(raw: u32, rates: &[u32]) -> Option<u32> {
    rates.iter().copied().find(|rate| rate.abs_diff(raw).saturating_mul(1000) <= rate.saturating_mul(NEAR))
}

/// A speed and how it was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Understood {
    pub seen: SeenRate,
    pub reading: Way,
}

/// How a figure was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// As a rate of the standard.
    Standard,
    /// As a clock: the rate is twice the figure.
    Clock,
    /// As it stands; no standard rate is near.
    Unlisted,
}

/// The rated speed.
pub(super) fn rated(raw: u32, family: Family) -> Understood {
    understand(raw, family, family.rated())
}

/// The configured speed. Where the rated one was a clock, this is one too, unless it is no smaller than that rate.
pub(super) fn running(raw: u32, family: Family, rated: Option<Understood>) -> Understood {
    match rated {
        Some(rated) if rated.reading == Way::Clock && raw <= rated.seen.raw => doubled(raw, family),
        _ => understand(raw, family, family.running()),
    }
}

/// The figure as a clock, where the machine is known to report clocks and twice the figure is a rate.
pub(super) fn twice(raw: u32, generation: Generation) -> Option<SeenRate> {
    let family = Family::Ddr(generation);
    near(raw.saturating_mul(2), family.rated()).map(|rate| SeenRate { rate: DataRate::from_mts(rate), raw })
}

fn doubled(raw: u32, family: Family) -> Understood {
    let twice = raw.saturating_mul(2);
    let rate = near(twice, family.running()).unwrap_or(twice);
    Understood { seen: SeenRate { rate: DataRate::from_mts(rate), raw }, reading: Way::Clock }
}

fn understand(raw: u32, family: Family, rates: &[u32]) -> Understood {
    let seen = |mts| SeenRate { rate: DataRate::from_mts(mts), raw };
    if let Some(rate) = near(raw, rates).or_else(|| near(raw, family.rated())) {
        return Understood { seen: seen(rate), reading: Way::Standard };
    }
    // Below every rate of its generation, and twice as much is one: the clock.
    let least = rates.iter().copied().min().unwrap_or_default();
    if family != Family::Untold && raw < least && near(raw.saturating_mul(2), family.rated()).is_some() {
        return doubled(raw, family);
    }
    Understood { seen: seen(near(raw, ANY).unwrap_or(raw)), reading: Way::Unlisted }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mts(raw: u32, generation: Generation) -> (u32, Way) {
        let understood = rated(raw, Family::Ddr(generation));
        (understood.seen.rate.mts(), understood.reading)
    }

    #[test]
    fn rounded_figures_snap_to_the_standard() {
        let cases = [(2134, 2133), (1867, 1866), (2934, 2933), (2667, 2666), (3200, 3200)];
        for (raw, rate) in cases {
            assert_eq!(mts(raw, Generation::Ddr4), (rate, Way::Standard), "{raw}");
        }
        assert_eq!(mts(1067, Generation::Ddr3), (1066, Way::Standard));
        assert_eq!(mts(1334, Generation::Ddr3), (1333, Way::Standard));
    }

    #[test]
    fn half_rates_are_clocks_only_where_no_such_rate_exists() {
        assert_eq!(mts(667, Generation::Ddr3), (1333, Way::Clock));
        assert_eq!(mts(533, Generation::Ddr3), (1066, Way::Clock));
        assert_eq!(mts(800, Generation::Ddr3), (800, Way::Standard));
        assert_eq!(mts(1200, Generation::Ddr4), (2400, Way::Clock));
        assert_eq!(mts(1467, Generation::Ddr4), (2933, Way::Clock));
        assert_eq!(mts(2400, Generation::Ddr5), (4800, Way::Clock));
        assert_eq!(rated(667, Family::Ddr2).seen.rate.mts(), 667);
        assert_eq!(rated(667, Family::Untold).seen.rate.mts(), 667);
    }

    #[test]
    fn a_slowed_machine_is_no_clock() {
        assert_eq!(running(1333, Family::Ddr(Generation::Ddr4), None).seen.rate.mts(), 1333);
        let ddr3 = Family::Ddr(Generation::Ddr3);
        let clock = rated(667, ddr3);
        assert_eq!(running(400, ddr3, Some(clock)).seen.rate.mts(), 800);
        assert_eq!(running(1333, ddr3, Some(clock)).seen.rate.mts(), 1333);
    }

    #[test]
    fn a_rate_beyond_the_standard_stays_as_it_is() {
        let seen = rated(3733, Family::Ddr(Generation::Ddr4));
        assert_eq!((seen.seen.rate.mts(), seen.reading), (3733, Way::Unlisted));
        assert_eq!(rated(u32::MAX, Family::Untold).seen.raw, u32::MAX);
    }
}
