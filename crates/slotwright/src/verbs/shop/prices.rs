//! Price lists and margins: what modules are sold at from a day on.

use super::calendar;
use super::offer::Modules;
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use crate::verbs::read;
use crate::world::Data;
use domain::item::Who;
use domain::quote::{Margin, Price, PriceList};
use domain::shop::Percent;
use domain::{Condition, Day, Money};
use schemars::JsonSchema;
use serde::Serialize;
use store::Store;

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

const COLUMNS: [&str; 4] = ["label", "condition", "price", "supplier"];

/// Takes in a table with the columns label, condition, price and, if wanted, supplier: all of it or nothing. Says how many.
///
/// # Errors
/// Every row that is wrong, with its line and text; a list of that name and day is there.
pub fn take(
    data: &Data,
    store: &Store,
    name: &str,
    text: &str,
    days: (Day, Option<Day>),
    who: &Who,
) -> Result<usize, Failure> {
    let prices = table(data, name, text)?;
    let Some(first) = prices.first() else {
        return Err(fault(format!("`{name}` has no rows"), "write one row for each label and condition"));
    };
    let currency = first.each.currency();
    let list = PriceList { name: name.to_string(), valid_from: days.0, valid_until: days.1, currency, prices };
    store.take_prices(&list, who)?;
    Ok(list.prices.len())
}

fn fault(why: String, hint: &str) -> Failure {
    Failure::Shop { why, hint: hint.to_string() }
}

fn table(data: &Data, name: &str, text: &str) -> Result<Vec<Price>, Failure> {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(read::delimiter(text.lines().next().unwrap_or_default()))
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let unread =
        |e: csv::Error| fault(format!("`{name}`: {e}"), "save it as text in UTF-8 with as many cells in each row");
    let header = reader.headers().map_err(unread)?.clone();
    let lacking = COLUMNS[..3].iter().find(|c| !header.iter().any(|h| h.eq_ignore_ascii_case(c)));
    if let Some(column) = lacking {
        return Err(fault(
            format!("`{name}`, line 1: there is no column `{column}`"),
            "use label, condition, price, supplier",
        ));
    }
    let mut known = Modules::new(data.library.catalog());
    let (mut prices, mut faults) = (Vec::new(), Vec::new());
    for record in reader.records() {
        let record = record.map_err(unread)?;
        let cell = |name: &str| {
            let at = header.iter().position(|c| c.eq_ignore_ascii_case(name));
            at.and_then(|i| record.get(i)).unwrap_or_default()
        };
        let [label, condition, each, supplier] = COLUMNS.map(cell);
        match price(&mut known, label, condition, each, supplier) {
            Ok(price) => prices.push(price),
            Err(why) => faults.push(format!("line {}: {why}", record.position().map_or(0, csv::Position::line))),
        }
    }
    if faults.is_empty() {
        return Ok(prices);
    }
    let why = format!("`{name}`: no price was taken in\n  {}", faults.join("\n  "));
    Err(fault(why, "mend these rows and give the whole table again"))
}

fn price(known: &mut Modules<'_>, label: &str, condition: &str, each: &str, supplier: &str) -> Result<Price, String> {
    let module = known.get(label).ok_or_else(|| format!("`{label}` is no module of the catalogue, and no label"))?;
    let condition = Condition::parse(condition).ok_or_else(|| format!("`{condition}` is neither new nor used"))?;
    let each = Money::parse(each).map_err(|e| format!("{e} ({})", e.hint()))?;
    let supplier = Some(supplier.to_string()).filter(|s| !s.is_empty());
    Ok(Price { label: module.label.clone(), condition, each, supplier })
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
    writer.write_record(COLUMNS).map_err(|e| failed(e.to_string()))?;
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
