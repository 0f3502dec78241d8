//! The words that may stand in a field, for a slip of the keys: one character left out, put in or changed, or two exchanged.

use super::error::{Field, LabelError};
use crate::bins;
use domain::Generation;

/// Texts in which the word at the error is replaced by one that is a slip away.
pub fn replaced(text: &str, error: &LabelError) -> Vec<String> {
    let (Some(field), true) = (error.field(), matches!(error, LabelError::Unreadable { .. })) else {
        return Vec::new();
    };
    let chars: Vec<char> = text.chars().collect();
    let parts = |c: &char| c.is_whitespace() || matches!(c, '-' | '_');
    let at = error.column().saturating_sub(1).min(chars.len());
    let start = chars[..at].iter().rposition(parts).map_or(0, |i| i + 1);
    let end = chars[at..].iter().position(parts).map_or(chars.len(), |i| at + i);
    let found: Vec<char> = chars[start..end].iter().map(char::to_ascii_uppercase).collect();
    let with = |word: String| [&chars[..start], &word.chars().collect::<Vec<_>>(), &chars[end..]].concat();
    let near = |word: &String| one_slip(&found, &word.to_ascii_uppercase().chars().collect::<Vec<_>>());
    words(field, &found).into_iter().filter(near).map(|word| with(word).into_iter().collect()).collect()
}

/// What can stand in a field, as far as labels are known to go; the module letter only as it is left out.
fn words(field: Field, found: &[char]) -> Vec<String> {
    match field {
        Field::Capacity => [1, 2, 4, 8, 16, 24, 32, 48, 64, 96, 128, 192, 256, 512]
            .iter()
            .flat_map(|gb| ["G", "GB"].map(|unit| format!("{gb}{unit}")))
            .collect(),
        Field::Organisation => {
            let ranks = ["1R", "2R", "4R", "8R", "4DR", "2S2R", "2S4R"];
            ranks.iter().flat_map(|r| ["x4", "x8", "x16"].map(|w| format!("{r}{w}"))).collect()
        }
        Field::Generation => ["PC3", "PC3L", "PC4", "PC5"].map(String::from).to_vec(),
        Field::Rate | Field::Grade => speeds(),
        Field::Kind => vec![format!("R{}", found.iter().collect::<String>())],
        _ => Vec::new(),
    }
}

/// Rates with their grades, and bandwidths with the letters of modules: `2933Y`, `4800B`, `12800R`.
fn speeds() -> Vec<String> {
    let graded = |table: &bins::Bins| -> Vec<String> {
        table.iter().flat_map(|(rate, grades)| grades.iter().map(move |(grade, _)| format!("{rate}{grade}"))).collect()
    };
    let ddr5 = bins::rates(Generation::Ddr5).iter().flat_map(|(rate, _)| ["B", "BN"].map(|g| format!("{rate}{g}")));
    let wide = bins::rates(Generation::Ddr3).iter().flat_map(|(rate, _)| {
        let bandwidth = super::speed::bandwidth(domain::DataRate::from_mts(*rate));
        ["R", "L", "E", "U"].map(|kind| format!("{bandwidth}{kind}"))
    });
    graded(bins::DDR4).into_iter().chain(ddr5).chain(wide).collect()
}

/// Is it one insertion, deletion, change or exchange of neighbours from one to the other?
fn one_slip(one: &[char], other: &[char]) -> bool {
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let same = short.iter().zip(long).take_while(|(a, b)| a == b).count();
    let (short, long) = (&short[same..], &long[same..]);
    match (short, long) {
        ([a, b, rest @ ..], [c, d, behind @ ..]) if short.len() == long.len() => {
            (a == d && b == c && rest == behind) || short[1..] == long[1..]
        }
        ([_], [_]) => true,
        (_, [_, behind @ ..]) => short == behind,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slip_is_one_and_not_two() {
        let slip = |a: &str, b: &str| one_slip(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>());
        for (found, meant) in [("240T", "2400T"), ("2993Y", "2933Y"), ("1R4", "1RX4"), ("P4C", "PC4"), ("PC44", "PC4")]
        {
            assert!(slip(found, meant) && slip(meant, found), "{found}");
        }
        for (found, other) in [("2400T", "2400T"), ("24T", "2400T"), ("2R4X", "1RX4"), ("PC", "PC3L")] {
            assert!(!slip(found, other), "{found}");
        }
    }
}
