//! Parameters of an address: what each may be, for the document and for holding what is sent against it.

use super::problem::Problem;
use crate::web::query::Query;
use serde_json::{Value, json};

/// Most of a list in one answer.
pub const PAGE_MOST: u32 = 1000;

/// A parameter after the `?`; every one may be left out.
#[derive(Debug, Clone, Copy)]
pub struct Parameter {
    pub name: &'static str,
    pub says: &'static str,
    pub kind: Kind,
}

/// What it may be.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    Text,
    /// A whole number from, to, and where it is left out; without the last one it has none.
    Number(i64, i64, Option<i64>),
    /// `true` or `false`; false where it is left out.
    Flag,
    Word(&'static [&'static str]),
}

pub const WORDS: Parameter =
    Parameter { name: "words", says: "Every word must be found; nothing written finds all.", kind: Kind::Text };
pub const MOST: Parameter = Parameter {
    name: "most",
    says: "At most so many in this answer.",
    kind: Kind::Number(1, PAGE_MOST as i64, Some(100)),
};
pub const SKIP: Parameter =
    Parameter { name: "skip", says: "Leaves out so many.", kind: Kind::Number(0, u32::MAX as i64, Some(0)) };

impl Parameter {
    /// As OpenAPI has it.
    pub fn document(&self) -> Value {
        json!({ "name": self.name, "in": "query", "description": self.says, "schema": self.kind.schema() })
    }
    fn hold(&self, value: &str) -> Result<(), Problem> {
        let hint = match self.kind {
            Kind::Text if value.contains(char::is_control) => "leave control characters out".to_string(),
            Kind::Number(least, most, _) if !value.parse().is_ok_and(|n| (least..=most).contains(&n)) => {
                format!("give a whole number from {least} to {most}")
            }
            Kind::Flag if !["true", "false"].contains(&value) => "give true or false".to_string(),
            Kind::Word(words) if !words.contains(&value) => format!("give one of: {}", words.join(", ")),
            _ => return Ok(()),
        };
        Err(Problem::bad(format!("`{}` is `{}`, which it can't be", self.name, value.escape_debug()), hint))
    }
}

impl Kind {
    fn schema(self) -> Value {
        match self {
            Self::Text => json!({ "type": "string", "pattern": "^[^\\u0000-\\u001f\\u007f-\\u009f]*$" }),
            Self::Number(least, most, None) => json!({ "type": "integer", "minimum": least, "maximum": most }),
            Self::Number(least, most, Some(usual)) => {
                json!({ "type": "integer", "minimum": least, "maximum": most, "default": usual })
            }
            Self::Flag => json!({ "type": "boolean", "default": false }),
            Self::Word(words) => json!({ "type": "string", "enum": words }),
        }
    }
}

/// Holds what was asked against what may be: each name known, once, and of its kind.
///
/// # Errors
/// The first that is not.
pub fn hold(query: &Query, known: &[Parameter]) -> Result<(), Problem> {
    let mut seen = Vec::new();
    for (name, value) in query.pairs() {
        let Some(parameter) = known.iter().find(|p| p.name == name) else {
            let names: Vec<&str> = known.iter().map(|p| p.name).collect();
            let hint = if names.is_empty() { "leave it out".into() } else { format!("use: {}", names.join(", ")) };
            return Err(Problem::bad(format!("this address knows no `{}`", name.escape_debug()), hint));
        };
        if seen.contains(&name) {
            return Err(Problem::bad(format!("`{name}` is given twice"), "give it once"));
        }
        seen.push(name);
        parameter.hold(value)?;
    }
    Ok(())
}

/// A number that was asked, or what it is where it is left out.
pub fn number(query: &Query, parameter: &Parameter) -> Option<i64> {
    let Kind::Number(_, _, usual) = parameter.kind else { return None };
    query.some(parameter.name).and_then(|v| v.parse().ok()).or(usual)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_unknown_twice_or_of_another_kind_is_refused() {
        const FLAG: Parameter = Parameter { name: "all", says: "", kind: Kind::Flag };
        const WORD: Parameter = Parameter { name: "state", says: "", kind: Kind::Word(&["open"]) };
        let known = [WORDS, MOST, SKIP, FLAG, WORD];
        let hold = |text: &str| hold(&Query::parse(text), &known);
        assert!(hold("words=a+b&most=1000&skip=0&all=true&state=open").is_ok());
        for wrong in
            ["most=0", "most=1001", "most=", "skip=-1", "all=yes", "state=gone", "word=a", "most=1&most=2", "words=%00"]
        {
            assert_eq!(hold(wrong).unwrap_err().status, 400, "{wrong}");
        }
        assert_eq!(number(&Query::parse(""), &MOST), Some(100));
        assert_eq!(number(&Query::parse("most=7"), &MOST), Some(7));
    }
}
