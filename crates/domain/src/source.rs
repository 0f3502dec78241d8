//! Where a figure comes from, and how sure it is.

use std::fmt;

/// The id of an entry in the citation register (`data/sources.toml`).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub String);

impl SourceId {
    /// From its id.
    pub fn new(id: impl Into<String>) -> Self {
        Self(id.into())
    }
    /// Its id as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for SourceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// How a figure was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Read in the named source.
    Seen,
    /// Worked out from figures that were read.
    Derived,
    /// From memory, not seen.
    Memory,
    /// Common practice of the trade, no source.
    Practice,
    /// Invented for the demo.
    Invented,
}

impl Mark {
    /// All marks with their words.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Seen, "seen"),
        (Self::Derived, "derived"),
        (Self::Memory, "from memory"),
        (Self::Practice, "common practice, no source"),
        (Self::Invented, "invented"),
    ];
    /// Its words.
    pub fn words(self) -> &'static str {
        Self::ALL.iter().find(|(m, _)| *m == self).map_or("", |(_, w)| w)
    }
}

/// A value with where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cited<T> {
    pub value: T,
    pub source: SourceId,
    pub mark: Mark,
}

impl<T> Cited<T> {
    /// A value read in, or held to come from, `source`.
    pub fn new(value: T, source: SourceId, mark: Mark) -> Self {
        Self { value, source, mark }
    }
}

/// One entry of the citation register.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    pub id: SourceId,
    pub publisher: String,
    pub title: String,
    /// Edition, date or revision, as printed.
    pub edition: String,
    /// Page, clause or place within, as far as known.
    pub place: String,
    pub mark: Mark,
}
