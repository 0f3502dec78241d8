//! Looks for the label that was meant: separators left out, look-alike characters, a slip of the keys, one field missing,
//! or words around the label.

use super::error::{Field, LabelError};
use super::meaning::LabelReading;
use super::organisation::on_card;
use super::speed::is_bin;
use super::{read_strictly, vocabulary, write};
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

/// Adds the nearest label to an error where exactly one is found.
pub fn offer(text: &str, mut error: LabelError) -> LabelError {
    let (field, column) = match &error {
        LabelError::Missing { field, column, .. } | LabelError::Unreadable { field, column, .. } => (*field, *column),
        _ => return error,
    };
    let missing = matches!(error, LabelError::Missing { .. });
    let found = if missing { filled_in(text, field, column) } else { None };
    let found = found.or_else(|| if field == Field::Rate { other_generation(text) } else { None });
    // What reads in part is spelt well enough: only a field is missing.
    let misspelt = read_strictly(text).is_err();
    let found = found.or_else(|| if misspelt { respelt(text, &error) } else { None });
    let found = found.or_else(|| if misspelt { retyped(text, &error) } else { None });
    let found = found.or_else(|| if misspelt { among_words(text) } else { None });
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
    if parts.raw_card_revision != parts.raw_card
        && let Some(letter) = parts.raw_card_revision.as_ref().and_then(|r| r.as_str().chars().next())
        && let Some((_, digit)) = ALIKE.iter().find(|(found, meant)| *found == letter && meant.is_ascii_digit())
    {
        let mut digits = parts.clone();
        digits.raw_card_revision = super::Letters::new(&digit.to_string());
        return Some(digits.to_string());
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

/// Is it a label as labels are: nothing in it contradicts, and the raw card's revision and the SPD revision look like ones?
fn spotless(reading: &LabelReading) -> bool {
    let parts = &reading.parts;
    let digits = |field: Option<super::Letters>| field.is_none_or(|f| f.as_str().bytes().all(|b| b.is_ascii_digit()));
    // A letter as the revision was seen as `RBB` alone; SPD revisions are 0.x and 1.x.
    let card = digits(parts.raw_card_revision) || parts.raw_card_revision == parts.raw_card;
    let revised = parts.spd_revision.is_none_or(|r| r.as_str().starts_with(['0', '1']));
    reading.oddities.is_empty() && parts.tail_is_usual() && card && revised
}

/// Characters before and behind the field in error that are looked at as well.
const AROUND: usize = 4;

/// The one label that the fewest changes lead to, two at most. A label is read from left to right, so that a change has
/// to be near the place where reading stops.
fn mended(
    text: &str,
    error: &LabelError,
    changed: &dyn Fn(&[char], usize) -> Vec<String>,
    sound: &dyn Fn(&LabelReading) -> bool,
) -> Option<LabelReading> {
    let near = |text: &str, error: &LabelError| -> Vec<String> {
        let chars: Vec<char> = text.chars().collect();
        let at = error.column().saturating_sub(1);
        let end = (at + error.length() + AROUND).min(chars.len());
        (at.saturating_sub(AROUND)..end).flat_map(|place| changed(&chars, place)).collect()
    };
    let once = near(text, error);
    only(once.iter().cloned(), sound).or_else(|| {
        let twice = once.iter().filter_map(|text| Some((text, read_strictly(text).err()?)));
        only(twice.flat_map(|(text, error)| near(text, &error)), sound)
    })
}

/// A label whose separators were left out, as where a line was split: one dash put in somewhere, or two.
pub fn respaced(text: &str, error: &LabelError) -> Option<LabelReading> {
    let changed = |chars: &[char], place: usize| -> Vec<String> {
        let (before, behind) = chars.split_at(place);
        let inside = [before.last(), behind.first()].iter().all(|c| c.is_some_and(char::is_ascii_alphanumeric));
        let with = || before.iter().chain(['-'].iter()).chain(behind).collect();
        inside.then(with).into_iter().collect()
    };
    // `2400R` may mean the grade or the kind: that is for the person to say.
    let sound =
        |reading: &LabelReading| spotless(reading) && (reading.parts.grade.is_some() || reading.parts.bandwidth);
    mended(text, error, &changed, &sound)
}

/// One character read for another, or two.
fn respelt(text: &str, error: &LabelError) -> Option<String> {
    let changed = |chars: &[char], place: usize| -> Vec<String> {
        let here = chars[place].to_ascii_uppercase();
        // The L of load-reduced modules stands behind a dash or a digit; behind a letter it would be a raw card that none has.
        let letter = place.checked_sub(1).and_then(|i| chars.get(i)).is_some_and(char::is_ascii_alphabetic);
        let fits = |meant: char| !(meant == 'L' && letter);
        let meant = ALIKE.iter().filter(|(found, meant)| *found == here && fits(*meant)).map(|(_, meant)| *meant);
        let with = |c: char| chars[..place].iter().chain([&c]).chain(&chars[place + 1..]).collect();
        meant.map(with).collect()
    };
    mended(text, error, &changed, &spotless).map(|reading| write(&reading)).or_else(|| {
        // All over the label: neither O nor Q nor I is a letter of it.
        let clear = |c: char| match c.to_ascii_uppercase() {
            'O' | 'Q' => '0',
            'I' => '1',
            _ => c,
        };
        let cleared: String = text.chars().map(clear).collect();
        match read_strictly(&cleared) {
            _ if cleared == text => None,
            Ok(reading) => spotless(&reading).then(|| write(&reading)),
            Err(error) => mended(&cleared, &error, &changed, &spotless).map(|reading| write(&reading)),
        }
    })
}

/// One word of a field for another that is a slip of the keys away, or the `R` left out before a raw card that tells it.
fn retyped(text: &str, error: &LabelError) -> Option<String> {
    let left_out = error.field() == Some(Field::Kind);
    let sound = |reading: &LabelReading| spotless(reading) && (!left_out || on_card(&reading.parts).is_some());
    only(vocabulary::replaced(text, error).into_iter(), sound).map(|reading| write(&reading))
}

/// The longest run of words that is a label with its capacity, where others stand around it.
fn among_words(text: &str) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let runs = (1..words.len()).rev().flat_map(|length| words.windows(length));
    let read = |run: &[&str]| read_strictly(&run.join(" ")).ok().filter(spotless);
    let whole = |reading: &LabelReading| reading.parts.capacity.is_some();
    runs.take(100).filter_map(read).find(whole).map(|reading| write(&reading))
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
            // But `2400T` is a grade, and hardly a small-outline module.
            let plain = |reading: &LabelReading| {
                let (kind, rate) = (reading.parts.kind.map(|k| k.letter()), reading.parts.rate);
                let grade = |g: domain::Generation| rate.is_some_and(|r| is_bin(g, r, "T"));
                reading.parts.grade.is_none() && !(kind == Some('T') && reading.parts.generation.is_some_and(grade))
            };
            only(std::iter::once(split), plain).or_else(|| {
                // Modules of one or two ranks of x4 devices are registered, nearly all of them (common practice, no source).
                let upper = text.to_ascii_uppercase();
                let plain = ["1RX4", "2RX4"].iter().any(|o| upper.split_whitespace().any(|w| w == *o));
                let registered = format!("{}-R{after}", before.trim_end());
                plain.then(|| only(std::iter::once(registered), spotless)).flatten()
            })
        }
        _ => None,
    };
    found.map(|reading| write(&reading))
}
