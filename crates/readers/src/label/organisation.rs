//! What an organisation implies: the density of its dies, and the raw cards that carry it.

use super::parts::{KindLetter, LabelParts, Ranks, Stacking};
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

/// Raw cards and the organisations seen on them: (generation, kind, card, organisations); from labels and dumps, so a
/// card that is missing or differs is worth a note, never an error.
const CARDS: [(Generation, KindLetter, &str, &[&str]); 12] = [
    (Generation::Ddr4, KindLetter::Registered, "A", &["2Rx4", "2SRx4"]),
    (Generation::Ddr4, KindLetter::Registered, "B", &["2Rx4"]),
    (Generation::Ddr4, KindLetter::Registered, "C", &["1Rx4"]),
    (Generation::Ddr4, KindLetter::Registered, "D", &["1Rx8"]),
    (Generation::Ddr4, KindLetter::Registered, "E", &["2Rx8"]),
    (Generation::Ddr4, KindLetter::LoadReduced, "A", &["2SRx4"]),
    (Generation::Ddr4, KindLetter::LoadReduced, "B", &["2SRx4"]),
    (Generation::Ddr4, KindLetter::LoadReduced, "D", &["4Rx4", "4DRx4"]),
    (Generation::Ddr5, KindLetter::Registered, "A", &["2Rx4"]),
    (Generation::Ddr5, KindLetter::Registered, "C", &["1Rx4"]),
    (Generation::Ddr5, KindLetter::Registered, "D", &["1Rx8"]),
    (Generation::Ddr5, KindLetter::Registered, "E", &["2Rx8"]),
];

/// The organisations seen on the raw card of a label; `None` where the card is absent or not in the table.
pub fn on_card(parts: &LabelParts) -> Option<&'static [&'static str]> {
    let card = parts.raw_card.as_ref()?.as_str();
    // No card of a DDR5 stack was seen.
    if parts.generation == Some(Generation::Ddr5) && parts.is_stacked() {
        return None;
    }
    CARDS
        .iter()
        .find(|(generation, kind, letter, _)| {
            Some(*generation) == parts.generation && Some(*kind) == parts.kind && *letter == card
        })
        .map(|(.., organisations)| *organisations)
}

/// Is the organisation one of those, which the card table writes without the height of a stack?
pub fn is_one_of(ranks: Ranks, organisations: &[&str]) -> bool {
    let plain = match ranks.stacking {
        Stacking::Mono => "R",
        Stacking::Dual => "DR",
        Stacking::Quad => "QR",
        Stacking::Single(_) => "SR",
    };
    organisations.iter().any(|seen| {
        let Some((&ranks_digit, rest)) = seen.as_bytes().split_first() else { return false };
        let (stack, width) = rest.split_at(plain.len().min(rest.len()));
        ranks_digit == b'0' + ranks.package_ranks && stack == plain.as_bytes() && width == width_text(ranks.width)
    })
}

fn width_text(width: u8) -> &'static [u8] {
    match width {
        4 => b"x4",
        8 => b"x8",
        16 => b"x16",
        _ => b"x32",
    }
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
