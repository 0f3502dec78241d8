//! The text of the 2-D code on DDR5 labels: `(L)label(S)serial(P)part number(M)maker's own`.

use super::{LabelError, LabelReading};
use crate::maker;
use crate::serial::{self, LongSerial};
use domain::ModuleReading;
use domain::reading::Oddity;

/// Longest text that is looked at, in characters.
const LONGEST: usize = 400;

/// What a code says, field by field; a field that is not there is `None`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CodeReading {
    /// `(L)` as it stands, without blanks around it.
    pub label_text: Option<String>,
    /// `(L)` read as a label.
    pub label: Option<Result<LabelReading, LabelError>>,
    /// `(S)` as it stands.
    pub serial_text: Option<String>,
    /// `(S)` taken apart, where it has the 18 digits of the standard's form.
    pub serial: Option<LongSerial>,
    /// `(P)`: the part number.
    pub part_number: Option<String>,
    /// `(M)`: the maker's own text.
    pub maker_text: Option<String>,
    /// Fields with other keys, in capitals, in their order: `(c)` was seen.
    pub others: Vec<(char, String)>,
    /// Keys that stand twice with different texts.
    pub oddities: Vec<Oddity>,
}

/// Why a code can't be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// No `(L)`, `(S)`, `(P)` or `(M)` with a text behind it.
    #[error("no field of a 2-D code is in the text: none of (L), (S), (P), (M) has anything behind it")]
    NoField,
    /// Longer than any code.
    #[error("the text has {length} characters, a 2-D code at most {LONGEST}")]
    TooLong { length: usize },
}

impl CodeError {
    /// What the person can do next.
    pub fn hint(&self) -> String {
        match self {
            Self::NoField => "scan the square code on the label again, or give the printed label alone".into(),
            Self::TooLong { .. } => "give one code alone, one a line".into(),
        }
    }
}

/// Reads a scanned code; keys in any case.
///
/// # Errors
/// [`CodeError`] where no known key has a text.
pub fn read(text: &str) -> Result<CodeReading, CodeError> {
    let length = text.chars().count();
    if length > LONGEST {
        return Err(CodeError::TooLong { length });
    }
    let mut code = CodeReading::default();
    for (at, key, value) in fields(text) {
        code.take(at, key, value);
    }
    let CodeReading { label_text, serial_text, part_number, maker_text, .. } = &code;
    if [label_text, serial_text, part_number, maker_text].iter().all(|f| f.is_none()) {
        return Err(CodeError::NoField);
    }
    code.label = code.label_text.as_deref().map(super::read);
    code.serial = code.serial_text.as_deref().and_then(serial::read);
    Ok(code)
}

/// Writes a code; [`read`] of it gives the same reading, save that a field which stood twice is written once.
pub fn write(code: &CodeReading) -> String {
    let known = [('L', &code.label_text), ('S', &code.serial_text), ('P', &code.part_number), ('M', &code.maker_text)];
    let known = known.into_iter().filter_map(|(key, text)| Some((key, text.as_ref()?)));
    let others = code.others.iter().map(|(key, text)| (*key, text));
    known.chain(others).map(|(key, text)| format!("({key}){text}")).collect()
}

/// Byte offset, key in capitals and text of every field.
fn fields(text: &str) -> Vec<(usize, char, &str)> {
    let bytes = text.as_bytes();
    let starts: Vec<usize> = (0..bytes.len().saturating_sub(2))
        .filter(|i| bytes[*i] == b'(' && bytes[*i + 1].is_ascii_alphabetic() && bytes[*i + 2] == b')')
        .collect();
    let ends = starts.iter().skip(1).copied().chain(std::iter::once(text.len()));
    let pairs = starts.iter().copied().zip(ends);
    pairs
        .filter_map(|(start, end)| {
            let key = char::from(*bytes.get(start + 1)?).to_ascii_uppercase();
            Some((start, key, text.get(start + 3..end)?.trim()))
        })
        .filter(|(.., value)| !value.is_empty())
        .collect()
}

impl CodeReading {
    fn take(&mut self, at: usize, key: char, value: &str) {
        let place = match key {
            'L' => &mut self.label_text,
            'S' => &mut self.serial_text,
            'P' => &mut self.part_number,
            'M' => &mut self.maker_text,
            other => {
                self.others.push((other, value.to_string()));
                return;
            }
        };
        match place {
            Some(first) if first != value => {
                let seen = format!("({key}) stands twice: `{first}` and `{value}`; the first is taken");
                self.oddities.push(Oddity { name: "code-field-twice", offset: Some(at), seen });
            }
            Some(_) => {}
            None => *place = Some(value.to_string()),
        }
    }

    /// What the code tells of the module: its label's fields, maker, date and serial, part number.
    pub fn reading(&self) -> ModuleReading {
        let mut reading = match &self.label {
            Some(Ok(label)) => label.reading(),
            _ => ModuleReading::default(),
        };
        if let (Some(Err(error)), Some(text)) = (&self.label, &self.label_text) {
            let nearest = error.nearest().map_or(String::new(), |n| format!("; it may mean `{n}`"));
            let seen = format!("`{text}`: {error}{nearest}");
            reading.oddities.push(Oddity { name: "label-unreadable", offset: None, seen });
        }
        if let Some(serial) = &self.serial {
            reading.maker = serial.maker.map(maker::by_id);
            reading.location = Some(serial.location);
            reading.made = serial.made;
            reading.serial = Some(serial.serial.clone().into());
            reading.oddities.extend(serial.oddities.iter().cloned());
        } else if let Some(text) = &self.serial_text {
            reading.serial = Some(text.clone().into());
            let short = text.len() == 8 && text.bytes().all(|b| b.is_ascii_hexdigit());
            if !short {
                let seen = format!("(S) `{text}` has not the 18 hexadecimal digits of the standard's form");
                reading.oddities.push(Oddity { name: "serial-not-in-form", offset: None, seen });
            }
        }
        reading.part_number = self.part_number.clone().map(Into::into);
        reading.oddities.extend(self.oddities.iter().cloned());
        reading
    }
}
