//! What an organisation implies: the density of its dies, and the raw cards that carry it.

use super::parts::LabelParts;
use crate::cards;
use domain::{Capacity, Generation};

/// Density of one die in Mbit: capacity = density / 8 × 64 data bits / device width × ranks (JESD21-C Annex L,
/// JESD400-5), where a rank of a 3DS stack is one die. `None` where it is no whole number.
pub fn die_mbit(capacity: Capacity, width: u8, ranks: u8) -> Option<u64> {
    let devices = u64::from(64 / width.max(1)) * u64::from(ranks);
    let mbit = capacity.mib().checked_mul(8)?;
    (devices > 0 && mbit % devices == 0).then(|| mbit / devices)
}

/// Die densities in Mbit that the SPD of a generation can name and that modules are known to be built from; from memory.
pub fn usual_densities(generation: Generation) -> &'static [u64] {
    match generation {
        Generation::Ddr3 => &[512, 1 << 10, 2 << 10, 4 << 10, 8 << 10],
        Generation::Ddr4 => &[4 << 10, 8 << 10, 16 << 10],
        Generation::Ddr5 => &[16 << 10, 24 << 10, 32 << 10],
    }
}

/// The organisations seen on the raw card of a label; `None` where the card is absent or not in the table.
pub fn on_card(parts: &LabelParts) -> Option<&'static [&'static str]> {
    cards::seen_on(parts.generation?, parts.kind?.letter(), parts.raw_card.as_ref()?.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn density_follows_from_capacity_and_organisation() {
        // Checked on SPD dumps: 64 GB 2Rx4 of 16 Gbit dies; 128 GB 2S4Rx4 of 8 Gbit; 128 GB 4DRx4 of 16 Gbit.
        assert_eq!(die_mbit(Capacity::from_gib(64), 4, 2), Some(16 * 1024));
        assert_eq!(die_mbit(Capacity::from_gib(128), 4, 8), Some(8 * 1024));
        assert_eq!(die_mbit(Capacity::from_gib(128), 4, 4), Some(16 * 1024));
        assert_eq!(die_mbit(Capacity::from_gib(96), 4, 2), Some(24 * 1024));
        assert_eq!(die_mbit(Capacity::from_mib(1), 4, 3), None);
    }
}
