//! Why a label can't be read: which field, in which column, what was expected, and what it may have meant.

use std::fmt;

/// A field of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    Capacity,
    Organisation,
    Generation,
    Rate,
    Grade,
    Kind,
    CasLatency,
    RawCard,
    SpdRevision,
    Tail,
}

impl Field {
    /// Its name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Capacity => "capacity",
            Self::Organisation => "organisation",
            Self::Generation => "generation",
            Self::Rate => "rate",
            Self::Grade => "speed grade",
            Self::Kind => "module letter",
            Self::CasLatency => "CAS latency",
            Self::RawCard => "raw card",
            Self::SpdRevision => "SPD revision",
            Self::Tail => "text behind the label",
        }
    }
    /// What may stand there.
    pub fn expected(self) -> &'static str {
        match self {
            Self::Capacity => "a capacity with its unit, such as `64GB`",
            Self::Organisation => "ranks and device width, such as `2Rx4`, `4DRx4` or `2S4Rx4`",
            Self::Generation => "`PC3`, `PC3L`, `PC4` or `PC5`",
            Self::Rate => {
                "a rate of that generation in MT/s, such as `2933`, or its bandwidth in MB/s, such as `23400`"
            }
            Self::Grade => "a speed grade letter of that generation, such as `Y` in `2933Y` or `B` in `4800B`",
            Self::Kind => "`R`, `L`, `E`, `U`, `S` or `T`, or `M` for DDR5",
            Self::CasLatency => "the CAS latency in clocks, such as `17`",
            Self::RawCard => "a raw card letter and its revision, such as `B2`",
            Self::SpdRevision => "the SPD revision in digits, such as `12` or `1010`",
            Self::Tail => "letters, digits and dashes only",
        }
    }
}

impl fmt::Display for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// Why a text is not the label of a module that this tool handles. Columns count characters from 1.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LabelError {
    /// The text is empty.
    #[error("the label is empty")]
    Empty,
    /// The text is longer than any label.
    #[error("the text has {length} characters, a label at most {most}")]
    TooLong { length: usize, most: usize },
    /// A field is not there.
    #[error("the {field} is missing at column {column}")]
    Missing { field: Field, column: usize, nearest: Option<String> },
    /// A field is there, but can't be read.
    #[error("the {field} at column {column} can't be read: `{found}`")]
    Unreadable { field: Field, column: usize, found: String, nearest: Option<String> },
    /// A notebook or other small module.
    #[error("`{found}` at column {column} is the letter of a small-outline module, which fits no server slot")]
    NotServer { column: usize, found: String },
    /// A non-volatile module, whose label has forms of its own.
    #[error("`{found}` at column {column} names a non-volatile module, which is never counted as DRAM")]
    Nonvolatile { column: usize, found: String },
}

impl LabelError {
    /// The field that failed, where one did.
    pub fn field(&self) -> Option<Field> {
        match self {
            Self::Missing { field, .. } | Self::Unreadable { field, .. } => Some(*field),
            Self::NotServer { .. } | Self::Nonvolatile { .. } => Some(Field::Kind),
            Self::Empty | Self::TooLong { .. } => None,
        }
    }
    /// Where it failed, in characters from 1.
    pub fn column(&self) -> usize {
        match self {
            Self::Missing { column, .. }
            | Self::Unreadable { column, .. }
            | Self::NotServer { column, .. }
            | Self::Nonvolatile { column, .. } => *column,
            Self::Empty | Self::TooLong { .. } => 1,
        }
    }
    /// How many characters from there can't be read; 0 where something is missing.
    pub fn length(&self) -> usize {
        if let Self::Unreadable { found, .. } = self { found.chars().count() } else { 0 }
    }
    /// The label that it may have meant, where one slip or two explain it.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            Self::Missing { nearest, .. } | Self::Unreadable { nearest, .. } => nearest.as_deref(),
            _ => None,
        }
    }
    /// What the person can do next.
    pub fn hint(&self) -> String {
        match self {
            Self::Empty => "copy the line that starts with the capacity, such as `64GB 2Rx4 PC4-2933Y-RB2-12`".into(),
            Self::TooLong { .. } => "give one label alone".into(),
            Self::NotServer { .. } => "check that the module is a full-size one".into(),
            Self::Nonvolatile { .. } => {
                "set it aside: it may hold a customer's data, to be erased by the maker's procedure before resale"
                    .into()
            }
            Self::Missing { field, nearest, .. } | Self::Unreadable { field, nearest, .. } => match nearest {
                Some(nearest) => {
                    format!("did you mean `{nearest}`? expected {}", field.expected())
                }
                None => format!("expected {}", field.expected()),
            },
        }
    }
}
