//! What processors' own names tell.

use crate::decode::At;
use crate::error::Fault;
use crate::reading::Reading;
use crate::shape::names::{NameRow, NamesFile};
use domain::{Attach, Processor, ProcessorName};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The longest pattern, in characters.
const LONGEST: usize = 100;

/// The names of a file, a person's own first.
pub(crate) fn names(
    reading: &mut Reading,
    file: &NamesFile,
    known: &BTreeMap<String, Arc<Processor>>,
) -> Vec<ProcessorName> {
    let mut names = Vec::new();
    for (name, family) in &file.processors.0 {
        let Some(pattern) = pattern(reading, name) else { continue };
        let Some(processor) = known.get(family.trim()) else {
            reading.unknown(family, "processor", known.keys().map(String::as_str));
            continue;
        };
        let channels = processor.controllers.checked_mul(processor.channels_per_controller);
        names.push(ProcessorName { pattern, channels, attach: Attach::Direct, family: Some(processor.id.clone()) });
    }
    for row in &file.name {
        names.extend(told(reading, row));
    }
    names
}

fn told(reading: &mut Reading, row: &NameRow) -> Vec<ProcessorName> {
    let channels = row.channels.as_ref().and_then(|c| reading.ranged(c, "the channels of a processor", 1, 32));
    let attach = match &row.on {
        None => Some(Attach::Direct),
        Some(word) => {
            let attach = Attach::parse(word);
            if attach.is_none() {
                reading.unknown(word, "thing to hang slots on", Attach::ALL.iter().map(|(_, w)| *w));
            }
            attach
        }
    };
    let Some(attach) = attach else { return Vec::new() };
    let patterns = row.like.iter().filter_map(|like| pattern(reading, like));
    patterns.map(|pattern| ProcessorName { pattern, channels, attach, family: None }).collect()
}

fn pattern(reading: &mut Reading, at: &At<String>) -> Option<String> {
    let text = at.value.split_whitespace().collect::<Vec<_>>().join(" ");
    let letters = text.chars().any(|c| c.is_alphanumeric() || c == '#');
    if letters && text.chars().count() <= LONGEST {
        return Some(text);
    }
    let fault = Fault::contradiction(at.span, "a processor's name has letters or digits, and at most 100 characters");
    reading.report(fault.hint("write it as the machine reports it, such as `slotwright draft` shows it"));
    None
}
