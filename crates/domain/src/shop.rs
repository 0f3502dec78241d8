//! The shop's own settings: who it is, and how it prices. Decimal arithmetic only.

use crate::money::Money;
use std::fmt;

/// A percentage in hundredths of a percent: 12.5 % is 1250.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Percent(u32);

impl Percent {
    /// From hundredths of a percent.
    pub const fn from_hundredths(hundredths: u32) -> Self {
        Self(hundredths)
    }
    /// In hundredths of a percent.
    pub const fn hundredths(self) -> u32 {
        self.0
    }
    /// Reads `"12.5"`, `"12.5 %"` or `"19%"`: at most two decimals, 0 to 1000.
    pub fn parse(text: &str) -> Option<Self> {
        let number = text.trim().trim_end_matches('%').trim_end();
        let (whole, part) = number.split_once('.').unwrap_or((number, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 4 || part.len() > 2 || !digits(whole) || !digits(part) {
            return None;
        }
        let hundredths = whole.parse::<u32>().ok()? * 100 + format!("{part:0<2}").parse::<u32>().ok()?;
        (hundredths <= 100_000).then_some(Self(hundredths))
    }
    /// This share of an amount, rounded to the minor unit, halves away from zero.
    pub fn of(self, amount: Money) -> Money {
        let product = i128::from(amount.minor()) * i128::from(self.0);
        let half = if product < 0 { -5_000 } else { 5_000 };
        let minor = i64::try_from((product + half) / 10_000).unwrap_or(i64::MAX);
        Money::from_minor(minor, amount.currency())
    }
    /// An amount with this share on top.
    pub fn on(self, amount: Money) -> Money {
        Money::from_minor(amount.minor().saturating_add(self.of(amount).minor()), amount.currency())
    }
}
impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = format!("{:02}", self.0 % 100);
        match decimals.trim_end_matches('0') {
            "" => f.pad(&format!("{} %", self.0 / 100)),
            part => f.pad(&format!("{}.{part} %", self.0 / 100)),
        }
    }
}

/// Who the shop is and how it prices.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shop {
    pub name: String,
    /// Lines of its address, and how to reach it.
    pub address: Vec<String>,
    /// On top of what modules cost.
    pub margin: Percent,
    /// The tax's name and its share of the net price; `None` where prices carry none.
    pub tax: Option<(String, Percent)>,
    /// Labour for one machine, where the shop charges it.
    pub labour: Option<Money>,
    /// Days for which a quote holds.
    pub validity_days: u16,
    /// Sentences at the end of every quote.
    pub terms: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percentages_are_exact_and_round_halves_away_from_zero() {
        let money = |text: &str| Money::parse(text).unwrap();
        assert_eq!(Percent::parse("12.5 %").unwrap().to_string(), "12.5 %");
        assert_eq!(Percent::parse("19%").unwrap().of(money("100 EUR")).decimal(), "19.00");
        assert_eq!(Percent::parse("12.5").unwrap().of(money("0.20 EUR")).decimal(), "0.03");
        assert_eq!(Percent::parse("7.25").unwrap().on(money("1234.56 EUR")).decimal(), "1324.07");
        assert_eq!(Percent::parse("0").unwrap().on(money("5 EUR")).decimal(), "5.00");
        for wrong in ["", "%", "1.234", "-3", "1e3", "1001", "12,5"] {
            assert_eq!(Percent::parse(wrong), None, "{wrong}");
        }
    }
}
