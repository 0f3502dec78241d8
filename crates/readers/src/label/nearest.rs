//! Looks for the label that was meant: one or two look-alike characters, or one field that is missing.

use super::error::{Field, LabelError};
use super::meaning::LabelReading;
use super::organisation::on_card;
use super::{read_strictly, write};
use std::collections::BTreeSet;

/// Characters that print or scan alike: (found, meant).
const ALIKE: [(char, char); 11] = [
    ('O', '0'),
    ('I', '1'),
    ('L', '1'),
    ('S', '5'),
    ('B', '8'),
    ('Z', '2'),
    ('A', '4'),
    ('8', 'B'),
    ('0', 'O'),
    ('4', 'A'),
    ('7', 'T'),
];

/// Longest text in which two slips are looked for; the search grows with the square of the length.
const TWO_SLIPS_MOST: usize = 64;

/// Adds the nearest label to an error where exactly one is found.
pub fn offer(text: &str, mut error: LabelError) -> LabelError {
    let (field, column) = match &error {
        LabelError::Missing { field, column, .. } | LabelError::Unreadable { field, column, .. } => (*field, *column),
        _ => return error,
    };
    let missing = matches!(error, LabelError::Missing { .. });
    let found = if missing { filled_in(text, field, column) } else { None };
    let found = found.or_else(|| respelt(text));
    if let LabelError::Missing { nearest, .. } | LabelError::Unreadable { nearest, .. } = &mut error {
        *nearest = found;
    }
    error
}

/// The one label that some of these texts read as.
fn only(texts: impl Iterator<Item = String>, sound: impl Fn(&LabelReading) -> bool) -> Option<String> {
    let mut labels = BTreeSet::new();
    for text in texts {
        if let Ok(reading) = read_strictly(&text)
            && sound(&reading)
        {
            labels.insert(write(&reading));
        }
    }
    if labels.len() == 1 { labels.pop_first() } else { None }
}

/// One character read for another, then two.
fn respelt(text: &str) -> Option<String> {
    let chars: Vec<char> = text.chars().collect();
    let slips: Vec<(usize, char)> = chars
        .iter()
        .enumerate()
        .flat_map(|(at, c)| {
            let c = c.to_ascii_uppercase();
            ALIKE.iter().filter(move |(found, _)| *found == c).map(move |(_, meant)| (at, *meant))
        })
        .collect();
    let with = |changes: &[(usize, char)]| {
        let mut text = chars.clone();
        for (at, meant) in changes {
            text[*at] = *meant;
        }
        text.into_iter().collect::<String>()
    };
    let sound = |reading: &LabelReading| reading.notes.is_empty();
    let one = only(slips.iter().map(|s| with(&[*s])), sound);
    if one.is_some() || chars.len() > TWO_SLIPS_MOST {
        return one;
    }
    let pairs = slips.iter().enumerate().flat_map(|(i, a)| slips[i + 1..].iter().map(move |b| (*a, *b)));
    only(pairs.filter(|(a, b)| a.0 != b.0).map(|(a, b)| with(&[a, b])), sound)
}

/// One field put where it is missing: the organisation that the raw card tells, or a unit, or the dash before `R`.
fn filled_in(text: &str, field: Field, column: usize) -> Option<String> {
    let at = text.char_indices().nth(column.saturating_sub(1)).map_or(text.len(), |(i, _)| i);
    let (before, after) = text.split_at(at);
    let with = |word: &str| format!("{before} {word} {after}");
    match field {
        Field::Organisation => {
            let usual = ["1Rx8", "1Rx4", "2Rx8", "2Rx4", "4DRx4"];
            only(usual.iter().map(|o| with(o)), |reading| reading.notes.is_empty() && on_card(&reading.parts).is_some())
        }
        Field::Kind => {
            // `PC4-2400R`: the letter meant the kind, not the grade.
            let letter = before.trim_end().chars().next_back()?;
            let cut = before.trim_end().len() - letter.len_utf8();
            let split = format!("{}-{letter}{after}", &before[..cut]);
            only(std::iter::once(split), |reading| reading.parts.grade.is_none())
        }
        _ => None,
    }
}
