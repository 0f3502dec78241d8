//! Colour codes; each only underlines what a word already says.

/// Paints text, or leaves it as it is.
#[derive(Debug, Clone, Copy)]
pub struct Paint {
    on: bool,
}

impl Paint {
    /// Paints only if `on`.
    pub fn new(on: bool) -> Self {
        Self { on }
    }
    /// Is there colour?
    pub fn is_on(self) -> bool {
        self.on
    }
    fn with(self, code: &str, text: &str) -> String {
        if self.on { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_string() }
    }
    /// A heading or the thing that matters.
    pub fn strong(self, text: &str) -> String {
        self.with("1", text)
    }
    /// A severity's word, in its colour.
    pub fn severity(self, word: &str) -> String {
        let code = match word {
            "wrong" | "reject" => "1;31",
            "unsupported" | "suspect" => "1;35",
            "slower" => "1;33",
            "unproven" => "1;36",
            _ => "1",
        };
        self.with(code, word)
    }
}
