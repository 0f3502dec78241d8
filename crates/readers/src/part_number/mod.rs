//! Part numbers of the three large module makers, by their published schemes: what they tell, and what they do not.
//!
//! DDR3 and DDR4 by the makers' ordering tables; DDR5 worked out from parts seen, where no table is public.

mod cursor;
mod error;
mod facts;
mod hynix;
mod hynix_ddr5;
mod micron;
mod micron_ddr5;
mod samsung;

pub use error::PartError;

use crate::label::nearest::ALIKE;
use cursor::Cursor;
use domain::ModuleReading;
use facts::Facts;
use std::collections::BTreeMap;

/// Longest text that is looked at, in characters; the SPD of DDR5 has room for 30.
pub const LONGEST: usize = 40;

/// A part number that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartReading {
    /// What the number tells; the rest stays open.
    pub reading: ModuleReading,
    /// The maker's scheme, and how it is known.
    pub scheme: &'static str,
    /// What the number does not tell, in words.
    pub untold: Vec<&'static str>,
    /// What is not certain in the reading; sentences without a full stop.
    pub notes: Vec<String>,
}

/// Reads a part number; text behind a blank is taken as the customer's own.
///
/// # Errors
/// [`PartError`] for a number of no public scheme, and for one that is not in its maker's form, with the nearest number
/// where one slip or two explain it.
pub fn read(text: &str) -> Result<PartReading, PartError> {
    read_strictly(text).map_err(|error| {
        let nearest = if matches!(error, PartError::Empty | PartError::TooLong { .. }) { None } else { nearest(text) };
        error.with_nearest(nearest)
    })
}

fn read_strictly(text: &str) -> Result<PartReading, PartError> {
    let trimmed = text.trim();
    let length = trimmed.chars().count();
    if trimmed.is_empty() {
        return Err(PartError::Empty);
    }
    if length > LONGEST {
        return Err(PartError::TooLong { length });
    }
    let (number, more) = trimmed.split_once(char::is_whitespace).unwrap_or((trimmed, ""));
    let number = number.to_ascii_uppercase();
    let mut facts = decode(&number)?;
    if !more.is_empty() {
        facts.notes.push(format!("`{}` behind the number is the customer's own", more.trim()));
    }
    Ok(facts.finish(trimmed))
}

fn decode(number: &str) -> Result<Facts, PartError> {
    let bytes = number.as_bytes();
    let mut cursor = Cursor::new(bytes);
    match bytes {
        [b'M', b'3' | b'4', b'0'..=b'9', b'0'..=b'9', b'A'..=b'Z', ..] => samsung::read(&mut cursor),
        [b'H', b'M', b'C', b'G' | b'T', ..] => hynix_ddr5::read(&mut cursor),
        [b'H', b'M', b'A' | b'T', ..] => hynix::read(&mut cursor),
        [b'M', b'T', b'C', b'0'..=b'9', ..] => micron_ddr5::read(&mut cursor),
        [b'M', b'T', b'A' | b'0'..=b'9', ..] => micron::read(&mut cursor),
        // SPD contents leave out `MTA`.
        [b'0'..=b'9', ..] => micron::read(&mut cursor).map_err(|_| PartError::no_scheme(number)),
        _ => Err(PartError::no_scheme(number)),
    }
}

/// The one part number that one look-alike character, or two, turn this into.
fn nearest(text: &str) -> Option<String> {
    let chars: Vec<char> = text.trim().to_ascii_uppercase().chars().collect();
    let slips: Vec<(usize, char)> = chars
        .iter()
        .enumerate()
        .flat_map(|(at, c)| ALIKE.iter().filter(move |(found, _)| found == c).map(move |(_, meant)| (at, *meant)))
        .collect();
    let with = |changes: &[(usize, char)]| {
        let mut text = chars.clone();
        for (at, meant) in changes {
            text[*at] = *meant;
        }
        text.into_iter().collect::<String>()
    };
    let pairs = slips.iter().enumerate().flat_map(|(i, a)| slips[i + 1..].iter().map(move |b| [*a, *b]));
    only(slips.iter().map(|s| with(&[*s]))).or_else(|| only(pairs.filter(|[a, b]| a.0 != b.0).map(|pair| with(&pair))))
}

/// The only one of these texts that reads and tells capacity, ranks and rate.
fn only(texts: impl Iterator<Item = String>) -> Option<String> {
    let mut found = BTreeMap::new();
    for text in texts {
        let Ok(part) = read_strictly(&text) else { continue };
        let reading = &part.reading;
        if reading.capacity.is_some() && reading.package_ranks.is_some() && reading.rate.is_some() {
            found.insert(text, ());
        }
    }
    if found.len() == 1 { found.pop_first().map(|(text, ())| text) } else { None }
}
