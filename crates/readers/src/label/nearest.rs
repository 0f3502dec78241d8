//! Looks for the label that was meant: separators left out, one or two look-alike characters, or one field missing.

use super::error::{Field, LabelError};
use super::meaning::LabelReading;
use super::organisation::on_card;
use super::{read_strictly, write};
use std::collections::BTreeMap;

/// Characters that print or scan alike: (found, meant).
pub const ALIKE: [(char, char); 18] = [
    ('O', '0'),
    ('Q', '0'),
    ('I', '1'),
    ('L', '1'),
    ('S', '5'),
    ('B', '8'),
    ('Z', '2'),
    ('A', '4'),
    ('G', '6'),
    ('8', 'B'),
    ('0', 'O'),
    ('1', 'L'),
    ('4', 'A'),
    ('5', 'S'),
    ('6', 'G'),
    ('7', 'T'),
    ('K', 'X'),
    ('%', 'X'),
];

/// Longest text in which two slips or two missing separators are looked for; the search grows with the square of the
/// length.
const TWO_MOST: usize = 64;

/// Adds the nearest label to an error where exactly one is found.
pub fn offer(text: &str, mut error: LabelError) -> LabelError {
    let (field, column) = match &error {
        LabelError::Missing { field, column, .. } | LabelError::Unreadable { field, column, .. } => (*field, *column),
        _ => return error,
    };
    let missing = matches!(error, LabelError::Missing { .. });
    let found = if missing { filled_in(text, field, column) } else { None };
    let found = found.or_else(|| if field == Field::Rate { other_generation(text) } else { None });
    let found = found.or_else(|| respelt(text));
    if let LabelError::Missing { nearest, .. } | LabelError::Unreadable { nearest, .. } = &mut error {
        *nearest = found;
    }
    error
}

/// The label that may have been meant by one that could be read.
pub fn beside(reading: &LabelReading) -> Option<String> {
    let text = write(reading);
    let parts = &reading.parts;
    if parts.nonvolatile.is_some() {
        return None;
    }
    if let Some(tail) = parts.tail.as_deref()
        && !parts.tail_is_usual()
    {
        let mut digits = parts.clone();
        digits.tail = Some(tail.chars().map(|c| if c == 'O' { '0' } else { c }).collect());
        let last = tail.char_indices().last()?.0;
        let one = ALIKE.iter().find(|(found, meant)| tail.ends_with(*found) && meant.is_ascii_digit());
        if let Some((_, meant)) = one {
            digits.tail = Some(format!("{}{meant}", &tail[..last]));
        }
        return digits.tail_is_usual().then(|| digits.to_string());
    }
    let at = text.find("PC")?;
    parts.ranks.is_none().then(|| filled_in(&text, Field::Organisation, at + 1)).flatten()
}

/// The one label that some of these texts read as, and the reading.
fn only(texts: impl Iterator<Item = String>, sound: impl Fn(&LabelReading) -> bool) -> Option<LabelReading> {
    let mut labels = BTreeMap::new();
    for text in texts {
        if let Ok(reading) = read_strictly(&text)
            && sound(&reading)
        {
            labels.insert(write(&reading), reading);
        }
    }
    if labels.len() == 1 { labels.pop_first().map(|(_, reading)| reading) } else { None }
}

fn spotless(reading: &LabelReading) -> bool {
    reading.oddities.is_empty() && reading.notes.is_empty() && reading.parts.tail_is_usual()
}

/// A label whose separators were left out, as where a line was split: one dash put in somewhere, then two.
pub fn respaced(text: &str) -> Option<LabelReading> {
    let text = text.trim();
    if text.chars().count() > TWO_MOST || !text.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    let chars: Vec<char> = text.chars().collect();
    let within = |i: &usize| chars[*i].is_ascii_alphanumeric() && chars[*i - 1].is_ascii_alphanumeric();
    let places: Vec<usize> = (1..chars.len()).filter(within).collect();
    let with = |dashes: &[usize]| -> String {
        let dash = |i: usize| dashes.contains(&i).then_some('-');
        chars.iter().enumerate().flat_map(|(i, c)| dash(i).into_iter().chain(std::iter::once(*c))).collect()
    };
    // `2400R` may mean the grade or the kind: that is for the person to say.
    let sound = |reading: &LabelReading| spotless(reading) && (reading.parts.grade.is_some() || reading.parts.bandwidth);
    only(places.iter().map(|p| with(&[*p])), sound).or_else(|| {
        let pairs = places.iter().enumerate().flat_map(|(i, a)| places[i + 1..].iter().map(move |b| [*a, *b]));
        only(pairs.map(|pair| with(&pair)), sound)
    })
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
    let one = only(slips.iter().map(|s| with(&[*s])), spotless);
    if one.is_some() || chars.len() > TWO_MOST {
        return one.map(|reading| write(&reading));
    }
    let pairs = slips.iter().enumerate().flat_map(|(i, a)| slips[i + 1..].iter().map(move |b| (*a, *b)));
    let two = only(pairs.filter(|(a, b)| a.0 != b.0).map(|(a, b)| with(&[a, b])), spotless);
    two.map(|reading| write(&reading))
}

/// A rate that another generation has: `PC4-10600R` for `PC3-10600R`.
fn other_generation(text: &str) -> Option<String> {
    let at = text.to_ascii_uppercase().find("PC")? + 2;
    let (before, after) = (text.get(..at)?, text.get(at + 1..)?);
    let texts = ['3', '4', '5'].iter().map(|digit| format!("{before}{digit}{after}"));
    only(texts, spotless).map(|reading| write(&reading))
}

/// One field put where it is missing: the organisation that the raw card tells, or the dash before `R`.
fn filled_in(text: &str, field: Field, column: usize) -> Option<String> {
    let at = text.char_indices().nth(column.saturating_sub(1)).map_or(text.len(), |(i, _)| i);
    let (before, after) = text.split_at(at);
    let found = match field {
        Field::Organisation => {
            let usual = ["1Rx8", "1Rx4", "2Rx8", "2Rx4", "4DRx4"];
            let texts = usual.iter().map(|o| format!("{before} {o} {after}"));
            only(texts, |reading| spotless(reading) && on_card(&reading.parts).is_some())
        }
        Field::Kind => {
            // `PC4-2400R`: the letter meant the kind, not the grade.
            let letter = before.trim_end().chars().next_back()?;
            let cut = before.trim_end().len() - letter.len_utf8();
            let split = format!("{}-{letter}{after}", &before[..cut]);
            only(std::iter::once(split), |reading| reading.parts.grade.is_none())
        }
        _ => None,
    };
    found.map(|reading| write(&reading))
}
