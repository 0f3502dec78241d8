//! Why a text holds no bytes.

/// Why a hex text can't be read. Lines count from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TextError {
    #[error("the text is empty")]
    Empty,
    #[error("the text has {length} bytes, more than any dump of contents")]
    TooLong { length: usize },
    /// Not one line holds bytes.
    #[error("no line holds bytes in hexadecimal; the first is line {line}: `{text}`")]
    NoBytes { line: usize, text: String },
    /// A record of Intel HEX that does not hold.
    #[error("line {line}: {reason}")]
    Record { line: usize, reason: String },
    /// An address far beyond any contents.
    #[error("line {line}: the address {address:X} is {} bytes or more past the first", super::MOST)]
    TooFar { line: usize, address: u64 },
}

impl TextError {
    /// What the person can do next.
    pub fn hint(&self) -> String {
        match self {
            Self::Empty => "paste the bytes, sixteen a line, such as `23 11 0C 01 …`".into(),
            Self::TooLong { .. } => "give one module's dump alone".into(),
            Self::NoBytes { .. } => {
                "write bytes as two hexadecimal digits each, with or without an address in front of the line".into()
            }
            Self::Record { .. } => "write the file again: a record was cut off or changed".into(),
            Self::TooFar { .. } => "give one module's dump alone, or take the line out".into(),
        }
    }
}
