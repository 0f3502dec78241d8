//! Raw cards: the letters of their codes, and their revisions.

use super::sections::Sections;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_skip_those_that_look_like_figures() {
        assert_eq!((LETTERS[8], LETTERS[19], LETTERS[30], SECOND[0]), ("J", "Y", "AL", "AM"));
        assert!(LETTERS.iter().chain(&SECOND).all(|l| !l.contains(['I', 'O', 'Q', 'S', 'X', 'Z'])));
        assert_eq!((revision(2, 7), revision(3, 0), revision(3, 1)), (2, 3, 4));
    }
}
