//! Raw cards: the letters of their codes, their revisions, and the organisations that they are known to carry.

use super::sections::Sections;
use domain::Generation;
use domain::reading::RawCard;

/// Letters of codes 0 to 30 (Annex L; A to E checked on modules, the rest from memory); 31 is a card of no reference.
const LETTERS: [&str; 31] = [
    "A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", "M", "N", "P", "R", "T", "U", "V", "W", "Y", "AA", "AB",
    "AC", "AD", "AE", "AF", "AG", "AH", "AJ", "AK", "AL",
];
/// Letters of the second set (from memory).
const SECOND: [&str; 31] = [
    "AM", "AN", "AP", "AR", "AT", "AU", "AV", "AW", "AY", "BA", "BB", "BC", "BD", "BE", "BF", "BG", "BH", "BJ", "BK",
    "BL", "BM", "BN", "BP", "BR", "BT", "BU", "BV", "BW", "BY", "CA", "CB",
];

/// The raw card; `None` where the contents say that the board follows no reference card.
pub fn raw_card(sections: &Sections) -> Option<RawCard> {
    let (code, second, revision) = match sections {
        Sections::Ddr3 { outline: o, .. } => (o.card, o.card_extended, revision(o.card_revision, o.card_more)),
        Sections::Ddr4 { outline: o, .. } => (o.card, o.card_extended, revision(o.card_revision, o.card_more)),
        Sections::Ddr5 { common: c, .. } => (c.card, 0, c.card_revision),
    };
    let letters = if second == 1 { SECOND } else { LETTERS };
    let letter = letters.get(usize::from(code))?;
    Some(RawCard { letter: (*letter).to_string(), revision: revision.to_string() })
}

/// Revisions past 2 are counted on in another byte (checked on a card B revision 4).
fn revision(low: u8, more: u8) -> u8 {
    if low == 3 { 3 + more } else { low }
}

/// Organisations that a card of server modules was seen with, by generation, label letter and card; from labels and
/// contents of genuine modules. `S` stands for any 3DS stack.
const SEEN: &[(Generation, char, &str, &[&str])] = &[
    (Generation::Ddr4, 'R', "A", &["2Rx4", "S"]),
    (Generation::Ddr4, 'R', "B", &["2Rx4", "S"]),
    (Generation::Ddr4, 'R', "C", &["1Rx4"]),
    (Generation::Ddr4, 'R', "D", &["1Rx8"]),
    (Generation::Ddr4, 'R', "E", &["2Rx8"]),
    (Generation::Ddr4, 'L', "D", &["4Rx4", "4DRx4"]),
    (Generation::Ddr5, 'R', "A", &["2Rx4", "S"]),
    (Generation::Ddr5, 'R', "C", &["1Rx4"]),
    (Generation::Ddr5, 'R', "D", &["1Rx8"]),
    (Generation::Ddr5, 'R', "E", &["2Rx8"]),
];

/// The organisations that a card was seen with, where this one is none of them.
pub fn unusual(
    generation: Generation,
    letter: char,
    card: &str,
    organisation: &str,
) -> Option<&'static [&'static str]> {
    let seen =
        SEEN.iter().find(|(g, l, c, _)| (*g, *l, *c) == (generation, letter, card)).map(|(_, _, _, seen)| *seen)?;
    let found = seen.iter().any(|s| *s == organisation || (*s == "S" && organisation.contains('S')));
    (!found).then_some(seen)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_skip_those_that_look_like_figures() {
        assert_eq!((LETTERS[8], LETTERS[19], LETTERS[30], SECOND[0]), ("J", "Y", "AL", "AM"));
        assert!(LETTERS.iter().chain(&SECOND).all(|l| !l.contains(['I', 'O', 'Q', 'S', 'X', 'Z'])));
        assert_eq!((revision(2, 7), revision(3, 0), revision(3, 1)), (2, 3, 4));
    }

    #[test]
    fn a_card_of_another_organisation_is_told() {
        assert_eq!(unusual(Generation::Ddr4, 'R', "C", "2Rx4"), Some(&["1Rx4"][..]));
        assert_eq!(unusual(Generation::Ddr4, 'R', "A", "2S4Rx4"), None);
        assert_eq!(unusual(Generation::Ddr4, 'L', "A", "2Rx4"), None);
    }
}
