//! Why a part number can't be read: no public scheme, or not in its maker's form.

/// Why a part number can't be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PartError {
    /// The text is empty.
    #[error("the part number is empty")]
    Empty,
    /// Longer than any part number.
    #[error("the text has {length} characters, a part number at most {}", super::LONGEST)]
    TooLong { length: usize },
    /// No scheme that is public starts so.
    #[error("no public scheme is known for the part number `{text}`")]
    NoScheme { text: String, nearest: Option<String> },
    /// It starts as a maker's numbers do, and goes on otherwise.
    #[error("`{found}` at column {column} is not {expected} in a part number of {maker}")]
    NotInForm { maker: &'static str, column: usize, found: String, expected: &'static str, nearest: Option<String> },
}

impl PartError {
    pub(super) fn no_scheme(text: &str) -> Self {
        Self::NoScheme { text: text.to_string(), nearest: None }
    }
    pub(super) fn with_nearest(mut self, found: Option<String>) -> Self {
        if let Self::NoScheme { nearest, .. } | Self::NotInForm { nearest, .. } = &mut self {
            *nearest = found;
        }
        self
    }
    /// Where it failed, in characters from 1.
    pub fn column(&self) -> usize {
        if let Self::NotInForm { column, .. } = self { *column } else { 1 }
    }
    /// The part number that it may have meant, where one slip or two explain it.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            Self::NoScheme { nearest, .. } | Self::NotInForm { nearest, .. } => nearest.as_deref(),
            _ => None,
        }
    }
    /// What the person can do next.
    pub fn hint(&self) -> String {
        if let Some(nearest) = self.nearest() {
            return format!("did you mean `{nearest}`? else read the module's SPD contents");
        }
        match self {
            Self::Empty => "give the number printed on the module, such as M393A4K40CB2-CTD".into(),
            Self::TooLong { .. } => "give one part number alone".into(),
            Self::NoScheme { .. } => {
                "only numbers of Samsung, SK hynix and Micron modules follow a public scheme: read the label or the \
                 SPD contents"
                    .into()
            }
            Self::NotInForm { .. } => "compare with the label; else read the module's SPD contents".into(),
        }
    }
}
