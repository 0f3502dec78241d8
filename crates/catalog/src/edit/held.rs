//! A value as a form holds it.

/// A value that a field of a form can hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Held {
    Words(String),
    /// As it is written; `true` and `false` too.
    Number(String),
    List(Vec<Held>),
}

impl Held {
    /// In words, as a form's field shows it; lists with commas.
    pub fn words(&self) -> String {
        match self {
            Self::Words(words) | Self::Number(words) => words.clone(),
            Self::List(items) => items.iter().map(Self::words).collect::<Vec<_>>().join(", "),
        }
    }
    /// A list of lists, a line each.
    pub fn lines(&self) -> String {
        match self {
            Self::List(items) => items.iter().map(Self::words).collect::<Vec<_>>().join("\n"),
            _ => self.words(),
        }
    }
}
