//! Times, data rates and clocks by the standards' rounding rules.

use super::Spd;
use super::kind::Layout;
use super::sections::Sections;
use crate::bins::rates;
use domain::reading::Clocks;
use domain::{DataRate, Generation};

/// The times that rates and clocks are worked out from, all in ps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Times {
    pub generation: Generation,
    /// Least cycle time.
    pub tck: u32,
    /// Longest cycle time, where the contents tell one.
    pub tck_max: Option<u32>,
    /// Least CAS latency time.
    pub taa: u32,
    /// RAS to CAS delay.
    pub trcd: u32,
    /// Row precharge delay.
    pub trp: u32,
    /// Active to precharge delay.
    pub tras: u32,
    /// Active to active or refresh delay.
    pub trc: u32,
    pub cas: CasLatencies,
}

/// The CAS latencies that a module supports, in clocks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CasLatencies {
    bits: u64,
    first: u16,
    step: u16,
}

impl CasLatencies {
    /// Is this one supported?
    pub fn has(&self, clocks: u16) -> bool {
        self.at_least(clocks) == Some(clocks)
    }
    /// The lowest one supported that is no less.
    pub fn at_least(&self, clocks: u16) -> Option<u16> {
        let skipped = clocks.saturating_sub(self.first).div_ceil(self.step);
        let left = self.bits.checked_shr(u32::from(skipped)).filter(|l| *l != 0)?;
        Some(self.first + (skipped + left.trailing_zeros() as u16) * self.step)
    }
    /// The lowest one that the map could hold and that is no less.
    pub fn rounded(&self, clocks: u16) -> u16 {
        self.first + clocks.saturating_sub(self.first).div_ceil(self.step) * self.step
    }
    /// All, lowest first.
    pub fn all(&self) -> Vec<u16> {
        (0..64).filter(|i| self.bits >> i & 1 == 1).map(|i| self.first + i * self.step).collect()
    }
}

/// Clocks that a time takes, by the standard's rounding rule; 0 for a cycle of no length.
///
/// DDR5: the time is shortened by 0.3 %, then rounded up (JESD400-5). DDR4: 0.025 clocks are taken off, then rounded
/// up (Annex L). DDR3: 0.01 clocks, which the fine timebase's cut-off needs. The rules are from memory; those of DDR4
/// and DDR5 give the published clocks of every module that was tried.
pub fn clocks(generation: Generation, time: u32, tck: u32) -> u16 {
    if tck == 0 {
        return 0;
    }
    let (time, tck) = (u64::from(time), u64::from(tck));
    let clocks = match generation {
        Generation::Ddr5 => (time * 997 / tck + 1000) / 1000,
        Generation::Ddr4 => (time * 1000).saturating_sub(25 * tck).div_ceil(1000 * tck),
        Generation::Ddr3 => (time * 1000).saturating_sub(10 * tck).div_ceil(1000 * tck),
    };
    u16::try_from(clocks).unwrap_or(u16::MAX)
}

/// Offset up to which the times reach.
fn reach(sections: &Sections) -> usize {
    match sections {
        Sections::Ddr3 { .. } => 39,
        Sections::Ddr4 { .. } => 126,
        Sections::Ddr5 { .. } => 40,
    }
}

/// The times; `None` where the contents end before them.
pub fn times(spd: &Spd) -> Option<Times> {
    if !spd.reaches(reach(&spd.sections)) {
        return None;
    }
    Some(match &spd.sections {
        Sections::Ddr3 { base: b, .. } => {
            let ps = |medium: u16, fine: u8| {
                let medium = u32::from(medium) * u32::from(b.mtb_dividend) * 1000 / u32::from(b.mtb_divisor.max(1));
                let fine = i32::from(fine as i8) * i32::from(b.ftb_dividend) / i32::from(b.ftb_divisor.max(1));
                medium.saturating_add_signed(fine)
            };
            Times {
                generation: Generation::Ddr3,
                tck: ps(b.tck.into(), b.tck_fine),
                tck_max: None,
                taa: ps(b.taa.into(), b.taa_fine),
                trcd: ps(b.trcd.into(), b.trcd_fine),
                trp: ps(b.trp.into(), b.trp_fine),
                tras: ps(b.tras, 0),
                trc: ps(b.trc, b.trc_fine),
                cas: CasLatencies { bits: b.cas.into(), first: 4, step: 1 },
            }
        }
        Sections::Ddr4 { base: b, .. } => {
            let ps = |medium: u16, fine: u8| (u32::from(medium) * 125).saturating_add_signed((fine as i8).into());
            Times {
                generation: Generation::Ddr4,
                tck: ps(b.tck.into(), b.tck_fine),
                tck_max: Some(ps(b.tck_max.into(), b.tck_max_fine)).filter(|t| *t > 0),
                taa: ps(b.taa.into(), b.taa_fine),
                trcd: ps(b.trcd.into(), b.trcd_fine),
                trp: ps(b.trp.into(), b.trp_fine),
                tras: ps(b.tras, 0),
                trc: ps(b.trc, b.trc_fine),
                cas: CasLatencies { bits: b.cas.into(), first: if b.cas_high == 1 { 23 } else { 7 }, step: 1 },
            }
        }
        Sections::Ddr5 { base: b, .. } => Times {
            generation: Generation::Ddr5,
            tck: b.tck.into(),
            tck_max: Some(u32::from(b.tck_max)).filter(|t| *t > 0),
            taa: b.taa.into(),
            trcd: b.trcd.into(),
            trp: b.trp.into(),
            tras: b.tras.into(),
            trc: b.trc.into(),
            cas: CasLatencies { bits: b.cas, first: 20, step: 2 },
        },
    })
}

/// The times at the module's bus. Multiplexed-rank modules whose contents give the DRAM's own cycle time run their bus at
/// half of it (that no DRAM of such a module is rated above 6400 is from memory).
pub fn module_times(spd: &Spd) -> Option<Times> {
    let times = times(spd)?;
    let fastest_dram = 312;
    if spd.sections.outline().layout == Layout::Multiplexed && times.tck >= fastest_dram {
        return Some(Times { tck: times.tck / 2, tck_max: None, ..times });
    }
    Some(times)
}

impl Times {
    /// The standard rate nearest to the least cycle time, with its cycle time in ps; `None` where it is more than 2 %
    /// off every one.
    pub fn standard(&self) -> Option<(DataRate, u32)> {
        let nearest = rates(self.generation).iter().min_by_key(|(_, tck)| tck.abs_diff(self.tck))?;
        (nearest.1.abs_diff(self.tck) * 50 <= self.tck).then(|| (DataRate::from_mts(nearest.0), nearest.1))
    }
    /// Clocks that a time takes at a cycle time.
    pub fn clocks(&self, time: u32, tck: u32) -> u16 {
        clocks(self.generation, time, tck)
    }
    /// CAS latency, RAS to CAS and precharge at a cycle time; `None` where no supported CAS latency is long enough.
    pub fn clocks_at(&self, tck: u32) -> Option<Clocks> {
        Some(Clocks {
            cas: self.cas.at_least(self.clocks(self.taa, tck))?,
            rcd: self.clocks(self.trcd, tck),
            rp: self.clocks(self.trp, tck),
        })
    }
    /// Every standard rate that the times allow with its CAS latency, fastest first.
    pub fn supported(&self) -> Vec<(DataRate, u16)> {
        let slack = |tck: u32| tck + tck / 100;
        rates(self.generation)
            .iter()
            .rev()
            .filter(|(_, tck)| self.tck > 0 && slack(*tck) >= self.tck)
            .filter(|(_, tck)| self.tck_max.is_none_or(|most| *tck <= slack(most)))
            .filter_map(|(mts, tck)| Some((DataRate::from_mts(*mts), self.clocks_at(*tck)?.cas)))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rounding_rules_give_the_published_clocks() {
        let ddr4 = [(13_500, 938, 15), (13_750, 682, 21), (16_370, 682, 24), (13_750, 625, 22), (13_750, 833, 17)];
        for (time, tck, expected) in ddr4 {
            assert_eq!(clocks(Generation::Ddr4, time, tck), expected, "{time}/{tck}");
        }
        let ddr5 = [(16_000, 416, 39), (16_000, 357, 45), (16_640, 416, 40), (16_000, 312, 52)];
        for (time, tck, expected) in ddr5 {
            assert_eq!(clocks(Generation::Ddr5, time, tck), expected, "{time}/{tck}");
        }
        let ddr3 = [(13_125, 1071, 13), (13_750, 1250, 11), (13_910, 1071, 13), (13_125, 1875, 7)];
        for (time, tck, expected) in ddr3 {
            assert_eq!(clocks(Generation::Ddr3, time, tck), expected, "{time}/{tck}");
        }
        assert_eq!(clocks(Generation::Ddr5, 1, 0), 0);
    }

    #[test]
    fn the_map_rounds_up_to_what_is_supported() {
        let map = CasLatencies { bits: 0b1011, first: 20, step: 2 };
        assert_eq!(map.all(), [20, 22, 26]);
        assert_eq!((map.at_least(3), map.at_least(21), map.at_least(23)), (Some(20), Some(22), Some(26)));
        assert_eq!((map.at_least(27), map.at_least(u16::MAX), map.rounded(39)), (None, None, 40));
        assert!(map.has(22) && !map.has(24));
    }

    #[test]
    fn cycle_times_are_the_rates() {
        for generation in [Generation::Ddr3, Generation::Ddr4, Generation::Ddr5] {
            for (mts, tck) in rates(generation) {
                assert!((2_000_000 / tck).abs_diff(*mts) * 200 <= *mts, "{mts}: {tck}");
            }
        }
    }
}
