//! A snapshot as one JSON document, written and read: `"slotwright-snapshot": 1`, then the fields that
//! docs/guide/snapshot.md names. Reading is tolerant: an unknown field is a note, a newer version is refused.

mod document;
mod error;
mod from;
mod into;
pub mod parts;
mod unknown;

pub use document::Document;
pub use error::SnapshotError;

use domain::Snapshot;

/// The version that is written, and the newest that is read.
pub const VERSION: u32 = 1;
/// The key that says what the document is.
pub const KEY: &str = "slotwright-snapshot";

/// Does this text look like a snapshot document?
pub fn recognises(text: &str) -> bool {
    text.trim_start().starts_with('{') && text.contains("\"slotwright-snapshot\"")
}

/// Writes the document, with a newline at its end.
pub fn write(snapshot: &Snapshot) -> String {
    let document = Document::from(snapshot);
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

/// Reads a document.
///
/// # Errors
/// It is no JSON, no snapshot, of a newer version, or a field that is known has another shape than it should.
pub fn read(text: &str) -> Result<Snapshot, SnapshotError> {
    let text = text.trim_start_matches('\u{FEFF}');
    let value: serde_json::Value = serde_json::from_str(text).map_err(|e| error::not_json(&e))?;
    let Some(version) = value.get(KEY) else { return Err(SnapshotError::NotASnapshot) };
    match version.as_u64() {
        None | Some(0) => return Err(SnapshotError::Version { found: version.to_string() }),
        Some(newer) if newer > u64::from(VERSION) => return Err(SnapshotError::Newer { found: newer }),
        Some(_) => {}
    }
    let document: Document = serde_json::from_str(text).map_err(|e| error::shape(&e))?;
    let mut snapshot = into::snapshot(&document)?;
    snapshot.notes.extend(unknown::notes(&value, &document));
    Ok(snapshot)
}
