//! Quotes in their versions, and what modules are sold at: price lists and margins, each from a day on.

use crate::db::{Store, changing, looking};
use crate::error::StoreError;
use crate::stock::Page;
use domain::item::Who;
use domain::order::{Order, QuoteId};
use domain::quote::{Margin, NewQuote, Price, PriceList, Quote, QuoteState};
use domain::{Currency, Day};

/// Which quotes to list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteFilter {
    /// Part of a customer's name or of a number.
    pub words: String,
    pub state: Option<QuoteState>,
    pub skip: u32,
    pub most: u32,
}

/// What an order has that its quote does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// 0 goes first, 9 last.
    pub priority: u8,
    pub due: Option<Day>,
    /// The day on which it is ordered, where the shop is; the history has the moment.
    pub day: Day,
}

/// A price list that was taken in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptList {
    pub name: String,
    pub valid_from: Day,
    /// The last day on which it holds; `None` where that is open.
    pub valid_until: Option<Day>,
    pub currency: Currency,
    /// How many.
    pub prices: u32,
    /// `holds`, `corrected` or `withdrawn`.
    pub state: String,
}

impl Store {
    /// Writes down the first version of a quote and gives it a number.
    ///
    /// # Errors
    /// It has no customer, ends before it begins, or its figures are out of range.
    pub fn new_quote(&self, quote: &NewQuote, who: &Who) -> Result<Quote, StoreError> {
        changing!(self, quotes::create(quote, who))
    }
    /// Writes down the next version; the one before, which was `version`, is superseded.
    ///
    /// # Errors
    /// The quote is ordered or withdrawn, or somebody else revised it.
    pub fn revise_quote(&self, number: &str, version: u32, quote: &NewQuote, who: &Who) -> Result<Quote, StoreError> {
        changing!(self, quotes::revise(number, version, quote, who))
    }
    /// One version of a quote, the newest if none is named; `Q-00042`, `q-42` and `42` are the same.
    ///
    /// # Errors
    /// There is none.
    pub fn quote(&self, number: &str, version: Option<u32>) -> Result<Quote, StoreError> {
        looking!(self, quotes::one(number, version))
    }
    /// A version by its number in the store.
    ///
    /// # Errors
    /// There is none.
    pub fn quote_by_id(&self, id: QuoteId) -> Result<Quote, StoreError> {
        looking!(self, quotes::by_id(id))
    }
    /// All versions of a quote, the first on top.
    ///
    /// # Errors
    /// There is no such quote.
    pub fn quote_versions(&self, number: &str) -> Result<Vec<Quote>, StoreError> {
        looking!(self, quotes::versions(number))
    }
    /// The newest version of every quote, the newest quote on top.
    ///
    /// # Errors
    /// The database's.
    pub fn quotes(&self, filter: &QuoteFilter) -> Result<Page<Quote>, StoreError> {
        looking!(self, quotes::list(filter))
    }
    /// The newest version of a quote, which must be `version` where that is named.
    ///
    /// # Errors
    /// There is no such quote, or somebody revised it since `version`.
    pub fn newest_quote(&self, number: &str, version: Option<u32>) -> Result<Quote, StoreError> {
        looking!(self, quotes::newest(number, version))
    }
    /// Takes an open quote back.
    ///
    /// # Errors
    /// It is not open, or somebody revised it since `version`.
    pub fn withdraw_quote(
        &self,
        number: &str,
        version: Option<u32>,
        why: &str,
        who: &Who,
    ) -> Result<Quote, StoreError> {
        changing!(self, quotes::withdraw(number, version, why, who))
    }
    /// Turns a version into an order with its need, build and net price chosen.
    ///
    /// # Errors
    /// It is past its last day, not open, or a later version took its place.
    pub fn order_quote(&self, id: QuoteId, terms: Terms, who: &Who) -> Result<Order, StoreError> {
        changing!(self, quotes::order(id, terms, who))
    }
    /// Takes in a price list: all of it, or nothing. Gives its number. With `correct` it takes the place of the one of its name and
    /// day, which stays in the store.
    ///
    /// # Errors
    /// It is empty, names a module twice, mixes currencies, or one of that name and day is there; none is there to be corrected.
    pub fn take_prices(&self, list: &PriceList, correct: bool, who: &Who) -> Result<i64, StoreError> {
        changing!(self, prices::take(list, correct, who))
    }
    /// Takes a price list back: its prices hold no more, and it stays in the store.
    ///
    /// # Errors
    /// There is none of that name and day that holds.
    pub fn withdraw_prices(&self, name: &str, from: Day, why: &str, who: &Who) -> Result<(), StoreError> {
        changing!(self, prices::withdraw(name, from, why, who))
    }
    /// Every price list, those that begin last on top.
    ///
    /// # Errors
    /// The database's.
    pub fn price_lists(&self) -> Result<Vec<KeptList>, StoreError> {
        looking!(self, prices::lists())
    }
    /// Every margin that was set, by class, the newest first.
    ///
    /// # Errors
    /// The database's.
    pub fn margins(&self) -> Result<Vec<Margin>, StoreError> {
        looking!(self, prices::margins())
    }
    /// What holds on a day: of each label, condition and supplier the price from the newest list.
    ///
    /// # Errors
    /// The database's.
    pub fn prices_on(&self, day: Day) -> Result<Vec<Price>, StoreError> {
        looking!(self, prices::on(day))
    }
    /// Sets a margin from a day on; one of that class and day is replaced.
    ///
    /// # Errors
    /// The class is empty.
    pub fn set_margin(&self, margin: &Margin, who: &Who) -> Result<(), StoreError> {
        changing!(self, prices::set_margin(margin, who))
    }
    /// The margin of each class that holds on a day.
    ///
    /// # Errors
    /// The database's.
    pub fn margins_on(&self, day: Day) -> Result<Vec<Margin>, StoreError> {
        looking!(self, prices::margins_on(day))
    }
}
