//! Fields of a document that this version does not know: what was given, against what was understood of it.

use super::document::Document;
use domain::snapshot::Note;
use serde_json::Value;

/// Most notes of one document.
const MOST: usize = 20;

/// A note for each field that was not understood, up to a limit.
pub(super) fn notes(given: &Value, understood: &Document) -> Vec<Note> {
    let mut places = Vec::new();
    let Ok(known) = serde_json::to_value(understood) else { return Vec::new() };
    compare(given, &known, "", &mut places);
    places.truncate(MOST);
    let note = |place: String| Note {
        offset: None,
        place: Some(place),
        what: "a field that this version does not know".into(),
    };
    places.into_iter().map(note).collect()
}

fn compare(given: &Value, known: &Value, path: &str, places: &mut Vec<String>) {
    match (given, known) {
        (Value::Object(given), Value::Object(known)) => {
            for (key, value) in given {
                let place = format!("{path}/{key}");
                match known.get(key) {
                    Some(known) => compare(value, known, &place, places),
                    None if blank(value) => {}
                    None => places.push(place),
                }
            }
        }
        (Value::Array(given), Value::Array(known)) => {
            for (i, (given, known)) in given.iter().zip(known).enumerate() {
                compare(given, known, &format!("{path}/{i}"), places);
            }
        }
        _ => {}
    }
}

/// Values that are not written, so that their absence says nothing.
fn blank(value: &Value) -> bool {
    match value {
        Value::Null | Value::Bool(false) => true,
        Value::Array(all) => all.is_empty(),
        Value::Object(all) => all.is_empty(),
        _ => false,
    }
}
