//! What a reported figure means: capacities in the wrong unit, rates told as clocks or doubled, widths told in
//! hexadecimal, makers' ids. A figure is read as something else only where it makes no sense as it stands.

use crate::bins;
use domain::reading::MakerId;
use domain::{DataRate, Generation};

/// Largest capacity of one module that is believed, in MiB: 4 TiB, far beyond what is made (from memory).
const CAPACITY_MOST: u64 = 4 * 1024 * 1024;

/// A capacity as it is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// As reported, in MiB.
    Plain(u64),
    /// In MiB, with what the figure counts in place of MiB.
    Slip(u64, &'static str),
    /// No module is that large.
    Unlikely,
}

/// Is this the capacity of a module that is made: a power of two or three times one? DDR4 and DDR5 start at 2 GiB
/// (4 Gb dies, one rank of x16: JESD79-4, JESD79-5; the rest from memory).
fn made(mib: u64, generation: Option<Generation>) -> bool {
    let least = match generation {
        Some(Generation::Ddr4 | Generation::Ddr5) => 2048,
        _ => 256,
    };
    let plain = mib.is_power_of_two() || (mib.is_multiple_of(3) && (mib / 3).is_power_of_two());
    plain && (least..=CAPACITY_MOST / 2).contains(&mib)
}

/// What a `CapacityMiB` means.
pub fn capacity(raw: u64, generation: Option<Generation>) -> Size {
    if made(raw, generation) {
        return Size::Plain(raw);
    }
    const MIB: u64 = 1 << 20;
    let exact = |n: u64, d: u64| n.is_multiple_of(d).then_some(n / d);
    let readings = [
        (raw.checked_mul(MIB).and_then(|b| exact(b, 1_000_000)), "MB of 10^6 bytes"),
        (exact(raw, 1000).and_then(|gb| gb.checked_mul(1024)), "1000 MiB to the GiB"),
        ((raw <= 2048).then(|| raw * 1024), "GiB"),
        ((raw > CAPACITY_MOST).then_some(raw).and_then(|kib| exact(kib, 1024)), "KiB"),
        ((raw > CAPACITY_MOST).then_some(raw).and_then(|bytes| exact(bytes, MIB)), "bytes"),
    ];
    let fitting = readings.into_iter().find_map(|(mib, how)| mib.filter(|m| made(*m, generation)).map(|m| (m, how)));
    match fitting {
        Some((mib, how)) => Size::Slip(mib, how),
        None if raw > CAPACITY_MOST => Size::Unlikely,
        None => Size::Plain(raw),
    }
}

/// A rate as it is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    pub rate: DataRate,
    /// What the figure was, where it is not the standard rate in MT/s.
    pub how: Option<&'static str>,
}

fn standard(generation: Option<Generation>) -> impl Iterator<Item = u32> {
    let all = [Generation::Ddr3, Generation::Ddr4, Generation::Ddr5];
    let of = all.into_iter().filter(move |g| generation.is_none_or(|told| told == *g));
    of.flat_map(|g| bins::rates(g).iter().map(|(mts, _)| *mts))
}

/// The standard rate that a figure rounds: firmware writes 2134, 2667 and 2934 too.
fn near(mts: u32, generation: Option<Generation>) -> Option<u32> {
    standard(generation).filter(|s| s.abs_diff(mts) <= 5).min_by_key(|s| s.abs_diff(mts))
}

/// What a speed means, with the rated rate where it is known; `None` for 0 and for what is no speed at all.
pub fn rate(raw: u32, generation: Option<Generation>, rated: Option<DataRate>) -> Option<Rate> {
    if !(100..=40_000).contains(&raw) {
        return None;
    }
    let told = |mts: u32, how| Some(Rate { rate: DataRate::from_mts(mts), how });
    let twice_rated = rated.filter(|r| (r.mts() * 2).abs_diff(raw) <= 10);
    match (near(raw, generation), twice_rated) {
        (_, Some(rated)) => told(rated.mts(), Some("twice the rate")),
        (Some(mts), _) => told(mts, None),
        _ => {
            let clock = near(raw * 2, generation).map(|mts| (mts, "the clock in MHz"));
            match clock.or_else(|| near(raw / 2, generation).map(|mts| (mts, "twice the rate"))) {
                Some((mts, how)) => told(mts, Some(how)),
                None => told(raw, Some("no standard rate")),
            }
        }
    }
}

/// Are these the total and data widths of a bus: a power of two, with no, 4/32 or 1/8 or 1/4 bits of ECC?
pub fn widths_fit(bus: u32, data: u32) -> bool {
    let whole = data.is_power_of_two() && (8..=4096).contains(&data);
    whole && [data, data / 8 * 9, data / 4 * 5].contains(&bus)
}

/// Widths that someone printed in or read as hexadecimal: 48 and 40 stand for 72 and 64.
pub fn widths_slip(bus: u32, data: u32) -> Option<(u32, u32)> {
    let as_hex = |n: u32| u32::from_str_radix(&n.to_string(), 16).ok();
    let from_hex = |n: u32| format!("{n:x}").parse().ok();
    let pairs = [as_hex(bus).zip(as_hex(data)), from_hex(bus).zip(from_hex(data))];
    pairs.into_iter().flatten().find(|(bus, data)| widths_fit(*bus, *data))
}

/// A maker's id as `ModuleManufacturerID` writes it: two bytes, the id first, then the continuation code, each with
/// or without its parity bit (DSP0268, JEP106). Some write them the other way round.
pub fn maker_id(text: &str) -> Option<MakerId> {
    let digits = text.trim().strip_prefix("0x").or_else(|| text.trim().strip_prefix("0X"))?;
    if digits.len() != 4 {
        return None;
    }
    let word = u16::from_str_radix(digits, 16).ok()?;
    let [first, second] = word.to_be_bytes().map(|b| b & 0x7f);
    // JEP106 has some 16 banks, so what is beyond 24 can't be a continuation code.
    let likely = |id: u8, continuations: u8| (1..=126).contains(&id) && continuations < 24;
    match (likely(first, second), likely(second, first)) {
        (true, _) => Some(MakerId { continuations: second, id: first }),
        (false, true) => Some(MakerId { continuations: first, id: second }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacities_are_read_in_the_unit_that_makes_a_module() {
        let ddr4 = Some(Generation::Ddr4);
        assert_eq!(capacity(15_625, ddr4), Size::Slip(16_384, "MB of 10^6 bytes"));
        assert_eq!(capacity(64_000, ddr4), Size::Slip(65_536, "1000 MiB to the GiB"));
        assert_eq!(capacity(16, ddr4), Size::Slip(16_384, "GiB"));
        assert_eq!(capacity(512, ddr4), Size::Slip(524_288, "GiB"));
        assert_eq!(capacity(512, None), Size::Plain(512));
        assert_eq!(capacity(16_777_216, None), Size::Slip(16_384, "KiB"));
        assert_eq!(capacity(17_179_869_184, None), Size::Slip(16_384, "bytes"));
        assert_eq!(capacity(491_520, None), Size::Plain(491_520));
        assert_eq!(capacity(98_304, ddr4), Size::Plain(98_304));
        assert_eq!(capacity(u64::MAX, None), Size::Unlikely);
    }

    #[test]
    fn rates_are_snapped_halved_or_doubled() {
        let told = |raw, generation, rated: Option<u32>| {
            rate(raw, generation, rated.map(DataRate::from_mts)).map(|r| (r.rate.mts(), r.how))
        };
        assert_eq!(told(2934, Some(Generation::Ddr4), None), Some((2933, None)));
        assert_eq!(told(1467, Some(Generation::Ddr4), None), Some((2933, Some("the clock in MHz"))));
        assert_eq!(told(9600, Some(Generation::Ddr5), None), Some((4800, Some("twice the rate"))));
        assert_eq!(told(8800, Some(Generation::Ddr5), Some(4400)), Some((4400, Some("twice the rate"))));
        assert_eq!(told(2500, Some(Generation::Ddr4), None), Some((2500, Some("no standard rate"))));
        assert_eq!((told(0, None, None), told(u32::MAX, None, None)), (None, None));
    }

    #[test]
    fn widths_in_hexadecimal_are_seen() {
        assert_eq!(widths_slip(48, 40), Some((72, 64)));
        assert_eq!(widths_slip(114, 100), Some((72, 64)));
        assert_eq!(widths_slip(64, 72), None);
        assert!(widths_fit(72, 64) && widths_fit(80, 64) && widths_fit(576, 512) && !widths_fit(72, 72));
    }

    #[test]
    fn makers_ids_come_in_both_orders() {
        let samsung = Some(MakerId { continuations: 0, id: 0x4e });
        assert_eq!((maker_id("0xce80"), maker_id("0xCE00"), maker_id("0x80CE")), (samsung, samsung, samsung));
        assert_eq!(maker_id("0x2C00"), Some(MakerId { continuations: 0, id: 0x2c }));
        assert_eq!(maker_id("0xCB04"), Some(MakerId { continuations: 4, id: 0x4b }));
        assert_eq!((maker_id("0x0000"), maker_id("vendorX"), maker_id("0x2C")), (None, None, None));
    }
}
