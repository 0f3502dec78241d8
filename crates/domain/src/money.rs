//! Money: whole minor units of a named currency, never a float.

use std::fmt;

/// A three-letter currency code (ISO 4217); two decimal places, as the currencies of this trade have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Reads a code such as `EUR`; small letters are accepted.
    pub fn parse(text: &str) -> Option<Self> {
        let bytes = text.trim().as_bytes();
        let code: [u8; 3] = bytes.try_into().ok()?;
        code.iter().all(u8::is_ascii_alphabetic).then(|| Self(code.map(|b| b.to_ascii_uppercase())))
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(std::str::from_utf8(&self.0).unwrap_or("???"))
    }
}

/// Why a text is not an amount of money, or a sum can't be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    /// Not `NUMBER CURRENCY`.
    #[error("`{0}` is not an amount of money")]
    Form(String),
    /// A comma that may part thousands or cents.
    #[error("`{0}` has a comma that may mean thousands or cents")]
    Comma(String),
    /// More than two decimal places.
    #[error("`{0}` has more than two decimal places")]
    Decimals(String),
    /// Negative, or more than the type holds.
    #[error("`{0}` is out of range: an amount goes from 0 to 1000000000")]
    Range(String),
    /// Two currencies in one sum.
    #[error("an amount in {left} meets one in {right}")]
    Mixed { left: Currency, right: Currency },
}

impl MoneyError {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Form(_) => "write an amount and a currency code, such as \"4000 EUR\" or \"89.50 EUR\"",
            Self::Comma(_) => "write no sign between thousands, and a point before the cents: 1234.50 EUR",
            Self::Decimals(_) => "round to whole cents",
            Self::Range(_) => "give an amount from 0 to 1000000000",
            Self::Mixed { .. } => "give all prices and the budget in one currency",
        }
    }
}

/// An amount of money in minor units (cents) of one currency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    /// From minor units.
    pub const fn from_minor(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }
    /// In minor units.
    pub const fn minor(self) -> i64 {
        self.minor
    }
    /// Its currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }
    /// The decimal figure without the currency: `"89.50"`.
    pub fn decimal(self) -> String {
        let sign = if self.minor < 0 { "-" } else { "" };
        let minor = self.minor.unsigned_abs();
        format!("{sign}{}.{:02}", minor / 100, minor % 100)
    }
    /// Reads `"4000 EUR"`, `"89.50 EUR"` or `"EUR 89.50"`, without ever passing through a float.
    ///
    /// # Errors
    /// Another form, more than two decimals, negative, or beyond 10^9.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let form = || MoneyError::Form(text.to_string());
        let trimmed = text.trim();
        let (number, currency) = if trimmed.starts_with(|c: char| c.is_ascii_alphabetic()) {
            let (c, n) = trimmed.split_at_checked(3).ok_or_else(form)?;
            (n, c)
        } else {
            let cut = trimmed.find(|c: char| c.is_ascii_alphabetic()).ok_or_else(form)?;
            trimmed.split_at(cut)
        };
        let currency = Currency::parse(currency).ok_or_else(form)?;
        let number = number.trim();
        if number.starts_with('-') {
            return Err(MoneyError::Range(text.to_string()));
        }
        // A comma before two digits can only stand before cents; before three it may part thousands, so that is not read.
        let comma = number.split_once(',').filter(|(_, c)| c.len() == 2 && !number.contains('.'));
        let (whole, cents) = comma.or_else(|| number.split_once('.')).unwrap_or((number, ""));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !(cents.is_empty() || digits(cents)) {
            if number.contains(',') {
                return Err(MoneyError::Comma(text.to_string()));
            }
            return Err(form());
        }
        if cents.len() > 2 {
            return Err(MoneyError::Decimals(text.to_string()));
        }
        let range = || MoneyError::Range(text.to_string());
        let whole: i64 = whole.parse().map_err(|_| range())?;
        let cents: i64 = format!("{cents:0<2}").parse().map_err(|_| form())?;
        if whole > 1_000_000_000 {
            return Err(range());
        }
        Ok(Self { minor: whole * 100 + cents, currency })
    }
    /// The sum of two amounts of one currency.
    ///
    /// # Errors
    /// [`MoneyError::Mixed`] where the currencies differ.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::Mixed { left: self.currency, right: other.currency });
        }
        Ok(Self { minor: self.minor.saturating_add(other.minor), currency: self.currency })
    }
    /// `n` times this amount.
    #[must_use]
    pub const fn times(self, n: i64) -> Self {
        Self { minor: self.minor.saturating_mul(n), currency: self.currency }
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} {}", self.decimal(), self.currency))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_reads_decimals_exactly() {
        assert_eq!(Money::parse("89.5 EUR").unwrap().minor(), 8950);
        assert_eq!(Money::parse("eur 0.07").unwrap().to_string(), "0.07 EUR");
        assert!(matches!(Money::parse("1.005 EUR"), Err(MoneyError::Decimals(_))));
        assert!(matches!(Money::parse("-1 EUR"), Err(MoneyError::Range(_))));
        assert!(Money::parse("12").is_err());
        let usd = Money::parse("1 USD").unwrap();
        assert!(Money::parse("1 EUR").unwrap().plus(usd).is_err());
    }
}
