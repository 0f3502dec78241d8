//! Firmware levels compared as a board says.

use domain::board::FirmwareOrder;
use std::cmp::Ordering;

/// One stretch of a level: a number sorts before letters.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Piece {
    Number(u64),
    Letters(String),
}

/// Which of two levels is older.
pub fn compare(order: FirmwareOrder, left: &str, right: &str) -> Ordering {
    match order {
        FirmwareOrder::Text => left.trim().cmp(right.trim()),
        FirmwareOrder::Dotted => pieces(left).cmp(&pieces(right)),
    }
}

/// Stretches of digits and of letters; anything else parts them. Ending zeros count for nothing: `2.1` is `2.1.0`.
fn pieces(level: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut rest = level.trim_start_matches(|c: char| !c.is_ascii_alphanumeric());
    while let Some(first) = rest.chars().next() {
        let digits = first.is_ascii_digit();
        let ends = |c: char| !c.is_ascii_alphanumeric() || c.is_ascii_digit() != digits;
        let end = rest.find(ends).unwrap_or(rest.len());
        let piece = &rest[..end];
        pieces.push(match piece.parse() {
            Ok(number) => Piece::Number(number),
            Err(_) if digits => Piece::Number(u64::MAX),
            Err(_) => Piece::Letters(piece.to_ascii_lowercase()),
        });
        rest = rest[end..].trim_start_matches(|c: char| !c.is_ascii_alphanumeric());
    }
    while pieces.last() == Some(&Piece::Number(0)) {
        pieces.pop();
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dotted_levels_compare_by_number_and_text_levels_by_letter() {
        let dotted = |l, r| compare(FirmwareOrder::Dotted, l, r);
        assert_eq!(dotted("2.9", "2.10"), Ordering::Less);
        assert_eq!(dotted("2.10-b", "2.10-a"), Ordering::Greater);
        assert_eq!(dotted("2.1", "2.1.0"), Ordering::Equal);
        assert_eq!(dotted("v2.1", "V2.1"), Ordering::Equal);
        assert_eq!(dotted("2.1", "2.1a"), Ordering::Less);
        assert_eq!(dotted("99999999999999999999999", "1"), Ordering::Greater);
        assert_eq!(compare(FirmwareOrder::Text, "BW07", "BX01"), Ordering::Less);
    }
}
