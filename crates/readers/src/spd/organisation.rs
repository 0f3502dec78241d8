//! How the DRAM is organised, and the capacity by the standards' formulas.

use super::Spd;
use super::sections::Sections;
use super::{ddr3, ddr4, ddr5};
use domain::Capacity;

/// How the DRAM is organised. A figure whose code the standard does not have is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Organised {
    /// Package ranks: chip selects of a channel, of a sub-channel on DDR5.
    pub package_ranks: u8,
    /// Dies of a 3DS stack, 1 without one.
    pub stack: u8,
    /// Dies of a package that are package ranks; 1 where each package has one die or a 3DS stack. `None` where the
    /// contents do not tell.
    pub dies: Option<u8>,
    /// Data bits of a device.
    pub width: Option<u8>,
    /// ECC bits of a channel, of a sub-channel on DDR5.
    pub ecc_bits: Option<u8>,
    /// Mbit of a die.
    pub die_mbit: Option<u32>,
    /// Do even and odd ranks differ?
    pub asymmetric: bool,
    pub capacity: Option<Capacity>,
}

/// Densities of DDR4 dies in Mbit by their code (Annex L byte 4).
const DDR4_MBIT: [u32; 10] = [256, 512, 1024, 2048, 4096, 8192, 16_384, 32_768, 12_288, 24_576];
/// Densities of DDR5 dies in Mbit by their code (JESD400-5 byte 4).
const DDR5_MBIT: [Option<u32>; 9] =
    [None, Some(4096), Some(8192), Some(12_288), Some(16_384), Some(24_576), Some(32_768), Some(49_152), Some(65_536)];
/// Heights of DDR5 3DS stacks by their code (JESD400-5 byte 4).
const DDR5_HEIGHTS: [u8; 6] = [1, 1, 2, 4, 8, 16];

/// Offset up to which the organisation reaches.
fn reach(sections: &Sections) -> usize {
    match sections {
        Sections::Ddr3 { .. } => 9,
        Sections::Ddr4 { .. } => 14,
        Sections::Ddr5 { .. } => 236,
    }
}

/// Works out the organisation; `None` where the contents end before it.
pub fn organised(spd: &Spd) -> Option<Organised> {
    if !spd.reaches(reach(&spd.sections)) {
        return None;
    }
    Some(match &spd.sections {
        Sections::Ddr3 { base, .. } => ddr3(base),
        Sections::Ddr4 { base, .. } => ddr4(base),
        Sections::Ddr5 { base, common, .. } => ddr5(base, common),
    })
}

/// Data bits of a device: 4 << n.
fn device(code: u8) -> Option<u8> {
    (code <= 3).then(|| 4 << code)
}
/// Primary width of a bus: 8 << n.
fn bus(code: u8) -> Option<u32> {
    (code <= 3).then(|| 8 << code)
}
fn eight_bits(code: u8) -> Option<u8> {
    [Some(0), Some(8)].get(usize::from(code)).copied().flatten()
}

/// Capacity of ranks: die density / 8 x bus width / device width x ranks.
fn ranks(die_mbit: Option<u32>, bus: Option<u32>, width: Option<u8>, ranks: u32) -> Option<Capacity> {
    let mib = u64::from(die_mbit?) * u64::from(bus?) * u64::from(ranks) / 8 / u64::from(width?);
    Some(Capacity::from_mib(mib))
}

fn ddr3(base: &ddr3::Base) -> Organised {
    let width = device(base.width);
    let die_mbit = (base.density <= 6).then(|| 256 << base.density);
    let package_ranks = base.ranks + 1;
    let stack = if base.loading == 2 { [1, 1, 2, 4, 8].get(usize::from(base.dies)).copied().unwrap_or(1) } else { 1 };
    Organised {
        package_ranks,
        stack,
        dies: None,
        width,
        ecc_bits: eight_bits(base.extension),
        die_mbit,
        asymmetric: false,
        capacity: ranks(die_mbit, bus(base.bus), width, u32::from(package_ranks)),
    }
}

/// A density so many steps smaller in the list of densities (the list of steps from memory).
fn smaller(mbit: u32, steps: u8) -> Option<u32> {
    let mut sorted = DDR4_MBIT;
    sorted.sort_unstable();
    let at = sorted.iter().position(|d| *d == mbit)?;
    sorted.get(at.checked_sub(usize::from(steps))?).copied()
}

fn ddr4(base: &ddr4::Base) -> Organised {
    let width = device(base.width);
    let die_mbit = DDR4_MBIT.get(usize::from(base.density)).copied();
    let package_ranks = base.ranks + 1;
    let high = |loading: u8, dies: u8| if loading == 2 { dies + 1 } else { 1 };
    let stack = high(base.loading, base.dies);
    let asymmetric = base.asymmetric == 1;
    let (even, odd) = halves(package_ranks, asymmetric);
    let primary = bus(base.bus);
    let first = ranks(die_mbit, primary, width, even * u32::from(stack));
    let capacity = if asymmetric {
        let second = die_mbit.and_then(|d| smaller(d, base.second_ratio));
        let second_stack = high(base.second_loading, base.second_dies);
        let second = ranks(second, primary, width, odd * u32::from(second_stack));
        first.zip(second).map(|(a, b)| a + b)
    } else {
        first
    };
    Organised {
        package_ranks,
        stack,
        dies: Some(if base.loading == 2 { 1 } else { base.dies + 1 }),
        width,
        ecc_bits: eight_bits(base.extension),
        die_mbit,
        asymmetric,
        capacity,
    }
}

/// Even ranks and odd ranks, where they differ; else all and none.
fn halves(package_ranks: u8, asymmetric: bool) -> (u32, u32) {
    let all = u32::from(package_ranks);
    if asymmetric { (all.div_ceil(2), all / 2) } else { (all, 0) }
}

fn ddr5(base: &ddr5::Base, common: &ddr5::Module) -> Organised {
    let mbit = |code: u8| DDR5_MBIT.get(usize::from(code)).copied().flatten();
    let high = |code: u8| DDR5_HEIGHTS.get(usize::from(code)).copied();
    let width = device(base.width);
    let package_ranks = common.ranks + 1;
    let asymmetric = common.asymmetric == 1;
    let (even, odd) = halves(package_ranks, asymmetric);
    let primary = bus(common.bus).map(|b| b * u32::from(common.subchannels + 1));
    let of = |density: u8, stack: u8, width: Option<u8>, n: u32| {
        ranks(mbit(density), primary, width, n * u32::from(high(stack)?))
    };
    let first = of(base.density, base.stack, width, even);
    let capacity = if asymmetric {
        let second = of(base.second_density, base.second_stack, device(base.second_width), odd);
        first.zip(second).map(|(a, b)| a + b)
    } else {
        first
    };
    Organised {
        package_ranks,
        stack: high(base.stack).unwrap_or(1),
        dies: Some(if base.stack == 1 { 2 } else { 1 }),
        width,
        ecc_bits: [Some(0), Some(4), Some(8)].get(usize::from(common.extension)).copied().flatten(),
        die_mbit: mbit(base.density),
        asymmetric,
        capacity,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(bytes: [u8; 6]) -> Organised {
        let [b4, b6, b10, b12, b13, _] = bytes;
        let mut contents = [0u8; 512];
        (contents[2], contents[3]) = (0x0C, 1);
        (contents[4], contents[6], contents[10], contents[12], contents[13]) = (b4, b6, b10, b12, b13);
        organised(&super::super::read(&contents).expect("contents")).expect("an organisation")
    }

    #[test]
    fn stacks_multiply_and_dual_dies_do_not() {
        let stacked = of([0x85, 0xB2, 0, 0x08, 0x0B, 0]);
        assert_eq!(stacked.capacity, Some(Capacity::from_gib(128)));
        assert_eq!((stacked.package_ranks, stacked.stack, stacked.dies), (2, 4, Some(1)));
        let dual = of([0x86, 0x91, 0, 0x18, 0x0B, 0]);
        assert_eq!(dual.capacity, Some(Capacity::from_gib(128)));
        assert_eq!((dual.package_ranks, dual.stack, dual.dies), (4, 1, Some(2)));
    }

    #[test]
    fn unlike_ranks_add_up_and_unknown_codes_give_nothing() {
        // 8 Gbit in rank 0, 4 Gbit in rank 1, both x8 on 64 bits: 8 GiB and 4 GiB.
        let unlike = of([0x85, 0, 0x04, 0x49, 0x03, 0]);
        assert_eq!((unlike.asymmetric, unlike.capacity), (true, Some(Capacity::from_gib(12))));
        assert_eq!(of([0x8F, 0, 0, 0x08, 0x0B, 0]).capacity, None);
        assert_eq!(smaller(256, 1), None);
    }
}
