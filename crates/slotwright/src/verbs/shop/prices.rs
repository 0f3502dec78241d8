//! Price lists and margins: what modules are sold at from a day on.

use super::{calendar, price_table};
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use crate::world::Data;
use domain::Day;
use domain::item::Who;
use domain::quote::{Margin, Price, PriceList};
use domain::shop::Percent;
use schemars::JsonSchema;
use serde::Serialize;
use store::{KeptList, Store, StoreError};

/// The prices that hold on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PriceListView {
    /// `2026-11-25`
    pub day: String,
    pub prices: Vec<PriceView>,
}

/// What modules of one label are sold at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PriceView {
    pub label: String,
    pub condition: String,
    pub each: MoneyView,
    /// Whom it can be bought from; null for what the shop itself asks.
    pub supplier: Option<String>,
}

/// A price list that was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PricesTakenView {
    pub prices: usize,
    pub valid_from: String,
    pub valid_until: Option<String>,
}

/// Price lists, those that begin last on top.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ListsView {
    pub lists: Vec<ListView>,
}

/// A price list that was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ListView {
    pub name: String,
    pub valid_from: String,
    pub valid_until: Option<String>,
    pub currency: String,
    /// How many.
    pub prices: u32,
    /// `holds`, `corrected` (another took its place) or `withdrawn`.
    pub state: String,
}

/// Margins, by class, the newest first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MarginListView {
    pub margins: Vec<MarginView>,
}

/// A margin that was set.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MarginView {
    /// Such as `used` or `new ddr5`.
    pub class: String,
    /// `12.5 %`
    pub percent: String,
    pub valid_from: String,
}

impl MarginView {
    /// As it was set.
    pub fn new(margin: &Margin) -> Self {
        Self {
            class: margin.class.clone(),
            percent: margin.percent.to_string(),
            valid_from: calendar::day(margin.valid_from),
        }
    }
}

/// The prices that hold on a day.
///
/// # Errors
/// The store's.
pub fn on(store: &Store, day: Day) -> Result<PriceListView, Failure> {
    let view = |price: Price| PriceView {
        label: price.label,
        condition: price.condition.to_string(),
        each: MoneyView::new(price.each),
        supplier: price.supplier,
    };
    Ok(PriceListView { day: calendar::day(day), prices: store.prices_on(day)?.into_iter().map(view).collect() })
}

/// When a price list holds, and whether it takes the place of one that is there.
#[derive(Debug, Clone, Copy)]
pub struct Holding {
    pub from: Day,
    /// The last day; `None` where that is open.
    pub until: Option<Day>,
    pub correct: bool,
}

/// Takes in a table with the columns label, condition, price and, if wanted, supplier: all of it or nothing. Says how many.
///
/// # Errors
/// Every row that is wrong, with its line and text; a list of that name and day is there.
pub fn take(data: &Data, store: &Store, name: &str, text: &str, when: Holding, who: &Who) -> Result<usize, Failure> {
    let prices = price_table::read(data, name, text)?;
    let Some(first) = prices.first() else {
        return Err(fault(format!("`{name}` has no rows"), "write one row for each label and condition"));
    };
    let currency = first.each.currency();
    let list = PriceList { name: name.to_string(), valid_from: when.from, valid_until: when.until, currency, prices };
    store.take_prices(&list, when.correct, who).map_err(|e| match e {
        StoreError::NotNow { .. } => fault(
            format!("a price list `{name}` from {} on is there already", calendar::day(when.from)),
            "where this one is right, add --correct and it takes the place of that one, which stays in the history",
        ),
        other => other.into(),
    })?;
    Ok(list.prices.len())
}

/// Takes a list back.
///
/// # Errors
/// There is none of that name and day that holds, or it is not said why.
pub fn withdraw(store: &Store, name: &str, from: Day, why: &str, who: &Who) -> Result<(), Failure> {
    if why.trim().is_empty() {
        return Err(fault("there is no reason given".to_string(), "say why: it stands in the list's history"));
    }
    Ok(store.withdraw_prices(name, from, why.trim(), who)?)
}

/// Every price list.
///
/// # Errors
/// The store's.
pub fn lists(store: &Store) -> Result<ListsView, Failure> {
    let view = |l: KeptList| ListView {
        name: l.name,
        valid_from: calendar::day(l.valid_from),
        valid_until: l.valid_until.map(calendar::day),
        currency: l.currency.to_string(),
        prices: l.prices,
        state: l.state,
    };
    Ok(ListsView { lists: store.price_lists()?.into_iter().map(view).collect() })
}

/// Every margin that was set.
///
/// # Errors
/// The store's.
pub fn margins(store: &Store) -> Result<MarginListView, Failure> {
    Ok(MarginListView { margins: store.margins()?.iter().map(MarginView::new).collect() })
}

fn fault(why: String, hint: &str) -> Failure {
    Failure::Shop { why, hint: hint.to_string() }
}

/// Sets the margin of a class from a day on.
///
/// # Errors
/// It is no percentage, or no class: `new` or `used`, then a generation, then a kind.
pub fn margin(store: &Store, class: &str, percent: &str, from: Day, who: &Who) -> Result<Margin, Failure> {
    let percent = Percent::parse(percent)
        .ok_or_else(|| fault(format!("`{percent}` is no percentage"), "write 0 to 1000 with at most two decimals"))?;
    let class = domain::quote::read_class(class).map_err(|(word, wanted)| {
        let at = if word.is_empty() { "at its end".to_string() } else { format!("at `{word}`") };
        fault(
            format!("`{}` is no class of modules: {at} it needs {wanted}", class.trim()),
            "write new or used, then a generation and a kind where they are meant, such as \"new ddr5 rdimm\"",
        )
    })?;
    let margin = Margin { class, valid_from: from, percent };
    store.set_margin(&margin, who)?;
    Ok(margin)
}

/// The prices that hold on a day, as a table that `take` reads again.
///
/// # Errors
/// The store's.
pub fn export(store: &Store, day: Day) -> Result<String, Failure> {
    let failed = |why: String| fault(why, "try again");
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(price_table::COLUMNS).map_err(|e| failed(e.to_string()))?;
    for price in store.prices_on(day)? {
        let (each, supplier) = (price.each.to_string(), price.supplier.unwrap_or_default());
        let cells = [price.label.as_str(), price.condition.word(), &each, &supplier];
        writer.write_record(cells).map_err(|e| failed(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

/// A day as written, or the one given.
///
/// # Errors
/// It is no day.
pub fn day_or(text: Option<&str>, otherwise: Day) -> Result<Day, Failure> {
    text.map_or(Ok(otherwise), calendar::read_day)
}
