//! Physical quantities as types: a unit is part of the type, never a suffix on an integer.

mod capacity;
mod rate;
mod small;

pub use capacity::Capacity;
pub use rate::{Bandwidth, DataRate};
pub use small::{DieDensity, Height, Length, Minutes, Voltage, Watts};

/// Why a text is not the quantity it should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// No number at the start of the text.
    #[error("`{0}` does not start with a number")]
    NoNumber(String),
    /// A comma inside the number.
    #[error("`{0}` has a comma in its number")]
    Comma(String),
    /// A number without its unit, or with one that does not measure this.
    #[error("`{text}` has {found}, but {what} is written in {expected}")]
    Unit { text: String, found: String, what: &'static str, expected: &'static str },
    /// The number is negative, not finite, or beyond the range of the type.
    #[error("`{text}` is out of range: {what} goes from {least} to {most}")]
    Range { text: String, what: &'static str, least: &'static str, most: &'static str },
    /// The number needs finer steps than the quantity has.
    #[error("`{text}` is finer than {step}")]
    Step { text: String, step: &'static str },
}

impl QuantityError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> String {
        match self {
            Self::NoNumber(_) => "write a number and a unit, such as \"700 GiB\"".into(),
            Self::Comma(_) => "write a point before the decimals, and nothing between thousands".into(),
            Self::Unit { expected, .. } => format!("use one of: {expected}"),
            Self::Range { least, most, .. } => format!("give a value from {least} to {most}"),
            Self::Step { step, .. } => format!("round to {step}"),
        }
    }
}

/// Splits `"700 GiB"` into its number and the unit behind it.
fn number_and_unit(text: &str) -> Result<(f64, &str), QuantityError> {
    let trimmed = text.trim();
    let end = trimmed
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || *c == '.' || (*i == 0 && (*c == '-' || *c == '+'))))
        .map_or(trimmed.len(), |(i, _)| i);
    let number: f64 = trimmed[..end].parse().map_err(|_| QuantityError::NoNumber(text.to_string()))?;
    if trimmed[end..].starts_with(',') {
        return Err(QuantityError::Comma(text.to_string()));
    }
    Ok((number, trimmed[end..].trim()))
}

fn unit_error(text: &str, unit: &str, what: &'static str, expected: &'static str) -> QuantityError {
    QuantityError::Unit {
        text: text.to_string(),
        found: if unit.is_empty() { "no unit".to_string() } else { format!("the unit `{unit}`") },
        what,
        expected,
    }
}
