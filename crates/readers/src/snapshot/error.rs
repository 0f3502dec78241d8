//! Why a text is no snapshot that can be read.

/// The document can't be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SnapshotError {
    #[error("no JSON at line {line}, column {column}: {why}")]
    NotJson { line: usize, column: usize, why: String },
    #[error("this JSON is no snapshot: it has no field `slotwright-snapshot`")]
    NotASnapshot,
    #[error("`slotwright-snapshot` should be a version number from 1, but is {found}")]
    Version { found: String },
    #[error("this snapshot is of version {found}, and this program reads up to version 1")]
    Newer { found: u64 },
    #[error("line {line}, column {column}: {why}")]
    Shape { line: usize, column: usize, why: String },
    #[error("`{path}` is `{found}`, which is none of: {known}")]
    Word { path: String, found: String, known: String },
}

impl SnapshotError {
    /// What to do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NotJson { .. } => "look whether the file was cut short or edited; take the snapshot again",
            Self::NotASnapshot | Self::Version { .. } => "give a document that the verb `snapshot` has written",
            Self::Newer { .. } => {
                "use the version of this program that wrote it, or take the snapshot again with this one"
            }
            Self::Shape { .. } | Self::Word { .. } => "docs/schemas/snapshot.json says what each field holds",
        }
    }
}

/// serde_json's message without its own place.
fn why(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.rsplit_once(" at line ").map_or(text.clone(), |(why, _)| why.to_string())
}

pub(super) fn not_json(error: &serde_json::Error) -> SnapshotError {
    SnapshotError::NotJson { line: error.line(), column: error.column(), why: why(error) }
}

pub(super) fn shape(error: &serde_json::Error) -> SnapshotError {
    SnapshotError::Shape { line: error.line(), column: error.column(), why: why(error) }
}
