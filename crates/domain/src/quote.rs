//! Quotes: what a customer was offered, in numbered versions; and what modules are sold at.

use crate::day::Day;
use crate::item::{Who, words};
use crate::module::{Generation, Kind};
use crate::money::{Currency, Money};
use crate::order::QuoteId;
use crate::shop::Percent;
use crate::stock::Condition;

words! {
    /// What became of a version of a quote.
    QuoteState {
        /// Waits for the customer's word.
        Open = "open",
        Ordered = "ordered",
        /// A later version took its place.
        Superseded = "superseded",
        Withdrawn = "withdrawn",
    }
}

/// A version of a quote before it is written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewQuote {
    pub customer: String,
    /// The need file's text.
    pub need: String,
    /// The chosen build, a document of the app.
    pub build: String,
    /// What stands on the paper, a document of the app.
    pub paper: String,
    pub machines: u32,
    /// For all machines, before tax.
    pub net: Money,
    /// For all machines, with tax.
    pub total: Money,
    pub issued: Day,
    /// The last day on which it holds.
    pub valid_until: Day,
}

/// One version of a quote.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    pub id: QuoteId,
    /// Such as `Q-00042`; all versions share it.
    pub number: String,
    /// From 1.
    pub version: u32,
    pub offer: NewQuote,
    pub state: QuoteState,
    /// The number of the order that it became.
    pub order: Option<String>,
    pub who: Who,
}

impl Quote {
    /// Is it past its last day on that day?
    pub fn is_expired(&self, today: Day) -> bool {
        self.offer.valid_until < today
    }
}

/// What one module of a label costs, from a price list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Price {
    pub label: String,
    pub condition: Condition,
    pub each: Money,
    /// Whom it can be bought from; `None` for what the shop itself asks.
    pub supplier: Option<String>,
}

/// Prices that hold from a day on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PriceList {
    pub name: String,
    pub valid_from: Day,
    /// The last day on which they hold; `None` where that is open.
    pub valid_until: Option<Day>,
    pub currency: Currency,
    pub prices: Vec<Price>,
}

/// What is put on top of the cost of a class of modules, from a day on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Margin {
    /// Such as `used`, `new ddr5` or `new ddr5 rdimm`.
    pub class: String,
    pub valid_from: Day,
    pub percent: Percent,
}

/// The classes that a module is in, the most special first.
pub fn classes(condition: Condition, generation: Generation, kind: Kind) -> [String; 3] {
    let generation = generation.to_string().to_lowercase();
    let kind = kind.to_string().to_lowercase();
    [format!("{condition} {generation} {kind}"), format!("{condition} {generation}"), condition.to_string()]
}

/// Reads a class: new or used, then a generation, then a kind, where they are meant; gives it as [`classes`] writes it.
///
/// # Errors
/// The word that is wrong there, and what stands in its place.
pub fn read_class(text: &str) -> Result<String, (String, &'static str)> {
    let mut words = text.split_whitespace();
    let first = words.next().unwrap_or_default();
    let condition = Condition::parse(first).ok_or_else(|| (first.to_string(), "new or used"))?;
    let mut class = condition.to_string();
    if let Some(word) = words.next() {
        let generation = Generation::parse(word).ok_or_else(|| (word.to_string(), "a generation such as DDR5"))?;
        class = format!("{class} {}", generation.to_string().to_lowercase());
    }
    if let Some(word) = words.next() {
        let kind = Kind::parse(word).ok_or_else(|| (word.to_string(), "a kind such as RDIMM"))?;
        class = format!("{class} {}", kind.to_string().to_lowercase());
    }
    words.next().map_or(Ok(class), |more| Err((more.to_string(), "nothing more")))
}

/// The margin of the most special of these classes that has one.
pub fn margin_of(margins: &[Margin], classes: &[String]) -> Option<Percent> {
    classes.iter().find_map(|c| margins.iter().find(|m| m.class == *c)).map(|m| m.percent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_of_a_module_is_read_and_nothing_else() {
        for (generation, _) in Generation::ALL {
            for (kind, _) in Kind::ALL {
                for class in classes(Condition::New, generation, kind) {
                    assert_eq!(read_class(&class.to_uppercase()).as_deref(), Ok(class.as_str()));
                }
            }
        }
        assert_eq!(read_class(" Used  DDR4 ").as_deref(), Ok("used ddr4"));
        let wrong = |text: &str| read_class(text).unwrap_err().0;
        assert_eq!((wrong(""), wrong("ddr5"), wrong("new drd5")), (String::new(), "ddr5".into(), "drd5".into()));
        assert_eq!((wrong("new rdimm"), wrong("new ddr5 soup")), ("rdimm".into(), "soup".into()));
        assert_eq!((wrong("new ddr5 rdimm 7"), wrong("installed")), ("7".into(), "installed".into()));
    }

    #[test]
    fn the_most_special_margin_wins() {
        let margin = |class: &str, hundredths| Margin {
            class: class.to_string(),
            valid_from: Day::from_days(0),
            percent: Percent::from_hundredths(hundredths),
        };
        let margins = [margin("new", 1000), margin("new ddr5", 800), margin("used", 4000)];
        let of = |c, g| margin_of(&margins, &classes(c, g, Kind::Rdimm)).map(Percent::hundredths);
        assert_eq!(of(Condition::New, Generation::Ddr5), Some(800));
        assert_eq!(of(Condition::New, Generation::Ddr4), Some(1000));
        assert_eq!(of(Condition::Used, Generation::Ddr5), Some(4000));
        assert_eq!(of(Condition::Installed, Generation::Ddr5), None);
    }
}
