//! Raw cards of server modules and the organisations seen on them, for labels and contents alike.

use domain::Generation;

/// Generation, letter of the kind (`R`, `L`), card, organisations; from labels and contents of genuine modules, so a card that
/// is missing or differs is worth a note, never an error. `2SRx4` stands for two package ranks of a stack of any height.
const CARDS: [(Generation, char, &str, &[&str]); 12] = [
    (Generation::Ddr4, 'R', "A", &["2Rx4", "2SRx4"]),
    (Generation::Ddr4, 'R', "B", &["2Rx4", "2SRx4"]),
    (Generation::Ddr4, 'R', "C", &["1Rx4"]),
    (Generation::Ddr4, 'R', "D", &["1Rx8"]),
    (Generation::Ddr4, 'R', "E", &["2Rx8"]),
    (Generation::Ddr4, 'L', "A", &["2SRx4"]),
    (Generation::Ddr4, 'L', "B", &["2SRx4"]),
    (Generation::Ddr4, 'L', "D", &["4Rx4", "4DRx4"]),
    (Generation::Ddr5, 'R', "A", &["2Rx4", "2SRx4"]),
    (Generation::Ddr5, 'R', "C", &["1Rx4"]),
    (Generation::Ddr5, 'R', "D", &["1Rx8"]),
    (Generation::Ddr5, 'R', "E", &["2Rx8"]),
];

/// The organisations seen on a card; `None` where it is not in the table.
pub fn seen_on(generation: Generation, letter: char, card: &str) -> Option<&'static [&'static str]> {
    CARDS.iter().find(|(g, l, c, _)| (*g, *l, *c) == (generation, letter, card)).map(|(.., seen)| *seen)
}

/// Is an organisation, such as `2S4Rx4`, one of those? Heights of stacks do not count.
pub fn is_one_of(organisation: &str, seen: &[&str]) -> bool {
    let (before, after) = organisation.split_once('S').unwrap_or((organisation, ""));
    let height = after.trim_start_matches(|c: char| c.is_ascii_digit());
    let plain = if after.is_empty() { organisation.to_string() } else { format!("{before}S{height}") };
    seen.contains(&plain.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_of_another_organisation_is_told_and_heights_do_not_count() {
        let on = |letter, card| seen_on(Generation::Ddr4, letter, card);
        assert!(!is_one_of("2Rx4", on('R', "C").unwrap()));
        assert!(is_one_of("2S4Rx4", on('R', "A").unwrap()) && is_one_of("2S2Rx4", on('L', "A").unwrap()));
        assert!(!is_one_of("1S2Rx4", on('R', "A").unwrap()) && !is_one_of("2DRx4", on('R', "A").unwrap()));
        assert!(is_one_of("4DRx4", on('L', "D").unwrap()) && is_one_of("4Rx4", on('L', "D").unwrap()));
        assert_eq!(on('U', "A"), None);
    }
}
