//! `quote`: what a customer was offered, in numbered versions, and the order that one becomes.

use super::buying::Suppliers;
use super::chosen::ChosenBuild;
use super::order::OrderView;
use super::quote_paper::{QuotePaper, name};
use super::{calendar, offer, quote_changes};
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use crate::verbs::plan;
use crate::verbs::sheet::{Selling, SheetView};
use crate::world::Data;
use catalog::Input;
use domain::item::Who;
use domain::quote::{Quote, QuoteState};
use domain::{Day, Lot, Need};
use draw::sheet::Sheet;
use schemars::JsonSchema;
use serde::Serialize;
use store::{QuoteFilter, Store, Terms};

/// One version of a quote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuoteView {
    pub number: String,
    /// From 1.
    pub version: u32,
    pub customer: String,
    /// `open`, `ordered`, `superseded` or `withdrawn`.
    pub state: String,
    /// `2026-11-25`
    pub issued: String,
    /// The last day on which it holds.
    pub valid_until: String,
    /// Is it past that day?
    pub expired: bool,
    pub machines: u32,
    /// For all machines, before tax.
    pub net: MoneyView,
    /// For all machines, with tax.
    pub total: MoneyView,
    pub build: ChosenBuild,
    /// The number of the order that it became.
    pub order: Option<String>,
    /// What comes next, as a sentence.
    pub next: String,
    /// That as a command line, after the program's name; null where nothing comes next.
    pub next_command: Option<String>,
    pub at: String,
    pub by: String,
}

/// A quote closely.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuoteCloselyView {
    #[serde(flatten)]
    pub quote: QuoteView,
    /// The need file's text.
    pub need: String,
    /// Was it planned from the shelf, rather than from what can be bought?
    pub from_stock: bool,
    /// What stands on its paper.
    pub paper: SheetView,
    /// Every version, the first on top.
    pub versions: Vec<QuoteView>,
    /// What is different from the version before; empty for the first.
    pub changes: Vec<String>,
}

/// Quotes, each by its newest version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuoteListView {
    pub quotes: Vec<QuoteView>,
    /// How many there are in all.
    pub found: u64,
}

impl QuoteView {
    /// As the store has it, seen on a day.
    ///
    /// # Errors
    /// Its build was written by another program.
    pub fn new(quote: &Quote, today: Day) -> Result<Self, Failure> {
        let offer = &quote.offer;
        let (next, next_command) = next(quote, today);
        Ok(Self {
            next: next.to_string(),
            next_command,
            number: quote.number.clone(),
            version: quote.version,
            customer: offer.customer.clone(),
            state: quote.state.to_string(),
            issued: calendar::day(offer.issued),
            valid_until: calendar::day(offer.valid_until),
            expired: quote.is_expired(today),
            machines: offer.machines,
            net: MoneyView::new(offer.net),
            total: MoneyView::new(offer.total),
            build: ChosenBuild::read(&offer.build)?,
            order: quote.order.clone(),
            at: calendar::moment(quote.who.at),
            by: quote.who.name.clone(),
        })
    }
}

fn next(quote: &Quote, today: Day) -> (&'static str, Option<String>) {
    let number = &quote.number;
    match (quote.state, &quote.order) {
        (QuoteState::Open, _) if quote.is_expired(today) => {
            ("its last day is over: revise it", Some(format!("quote revise {number}")))
        }
        (QuoteState::Open, _) => {
            ("give its paper to the customer, and order it when they agree", Some(format!("quote order {number}")))
        }
        (QuoteState::Ordered, Some(order)) => ("see to its order", Some(format!("order show {order}"))),
        _ => ("nothing: it is closed", None),
    }
}

/// What a quote is planned from: the shelf, or what can be bought on a day.
///
/// # Errors
/// The store's.
pub fn lots(data: &Data, store: &Store, need: &Need, from_stock: bool, day: Day) -> Result<Vec<Lot>, Failure> {
    if from_stock {
        return Ok(offer::within(data, need, offer::lots(data, store)?));
    }
    Ok(Suppliers::on(data, store, day)?.lots(data, need))
}

/// Quotes.
///
/// # Errors
/// The store's.
pub fn list(store: &Store, filter: &QuoteFilter, today: Day) -> Result<QuoteListView, Failure> {
    let page = store.quotes(filter)?;
    let quotes = page.list.iter().map(|q| QuoteView::new(q, today)).collect::<Result<_, _>>()?;
    Ok(QuoteListView { quotes, found: page.found })
}

/// Every quote by its newest version as a table, the newest quote on top.
///
/// # Errors
/// The store's.
pub fn export(store: &Store, words: &str, state: Option<QuoteState>, today: Day) -> Result<String, Failure> {
    const PAGE: u32 = 1000;
    let failed = |why: String| Failure::Shop { why, hint: "try again".to_string() };
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header =
        ["quote", "version", "state", "customer", "issued", "valid until", "machines", "net", "total", "currency"];
    writer.write_record(header).map_err(|e| failed(e.to_string()))?;
    let mut filter = QuoteFilter { words: words.to_string(), state, skip: 0, most: PAGE };
    loop {
        let page = list(store, &filter, today)?.quotes;
        for q in &page {
            let (version, machines) = (q.version.to_string(), q.machines.to_string());
            let cells: [&str; 10] = [
                &q.number,
                &version,
                &q.state,
                &q.customer,
                &q.issued,
                &q.valid_until,
                &machines,
                &q.net.amount,
                &q.total.amount,
                &q.net.currency,
            ];
            writer.write_record(cells).map_err(|e| failed(e.to_string()))?;
        }
        if page.len() < PAGE as usize {
            break;
        }
        filter.skip += PAGE;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

/// One version closely, the newest if none is named.
///
/// # Errors
/// There is none.
pub fn closely(store: &Store, number: &str, version: Option<u32>, today: Day) -> Result<QuoteCloselyView, Failure> {
    let quote = store.quote(number, version)?;
    let versions = store.quote_versions(number)?;
    let paper = QuotePaper::read(&quote.offer.paper)?;
    let before = versions.iter().find(|v| v.version + 1 == quote.version);
    Ok(QuoteCloselyView {
        changes: before.map_or_else(|| Ok(Vec::new()), |before| quote_changes::between(before, &quote))?,
        quote: QuoteView::new(&quote, today)?,
        need: quote.offer.need.clone(),
        from_stock: paper.from_stock,
        paper: paper.sheet,
        versions: versions.iter().map(|q| QuoteView::new(q, today)).collect::<Result<_, _>>()?,
    })
}

/// The paper of a version as it was given out, the newest if none is named.
///
/// # Errors
/// There is none, or what the store holds of it can't be read.
pub fn sheet(data: &Data, store: &Store, number: &str, version: Option<u32>) -> Result<Sheet, Failure> {
    let quote = store.quote(number, version)?;
    QuotePaper::read(&quote.offer.paper)?.print(data, &quote)
}

/// What is different today from what the quote says: modules that are gone, prices that changed.
///
/// # Errors
/// The need names what is not known any more, or the store's.
pub fn changes(data: &Data, store: &Store, quote: &Quote, today: Day) -> Result<Vec<String>, Failure> {
    let paper = QuotePaper::read(&quote.offer.paper)?;
    let need = plan::read_text(&data.library, &Input::text("need", quote.offer.need.as_str()))?;
    let lots = lots(data, store, &need, paper.from_stock, today)?;
    paper.changes(&lots, &Selling::on(data, store, today)?, quote.offer.machines, quote.offer.net)
}

/// How a quote becomes an order.
#[derive(Debug, Clone, Copy)]
pub struct Ordering {
    pub terms: Terms,
    /// At the quoted price, whatever changed since.
    pub anyway: bool,
    /// The day of the calendar, which may be later than that of the terms.
    pub today: Day,
}

/// Turns the newest version into an order, which must be the one that somebody looked at, where one is named. What changed
/// since is refused, unless `anyway`; the quoted price holds then. So is a day of the past, where the quote's last day is over.
///
/// # Errors
/// It is past its last day or before its first, not open, revised meanwhile, or something changed.
pub fn order(
    data: &Data,
    store: &Store,
    (number, version): (&str, Option<u32>),
    how: Ordering,
    who: &Who,
) -> Result<OrderView, Failure> {
    // What is ordered is this very version: the store refuses it where another takes its place from here on.
    let quote = store.newest_quote(number, version)?;
    let day = how.terms.day;
    let holds = !quote.is_expired(day) && day >= quote.offer.issued;
    if quote.state == QuoteState::Open && holds && !how.anyway {
        let mut changes = changes(data, store, &quote, day)?;
        if quote.is_expired(how.today) {
            let (last, said) = (calendar::day(quote.offer.valid_until), calendar::day(day));
            changes.push(format!("its last day, {last}, is over; {said} is a day of the past"));
        }
        if !changes.is_empty() {
            return Err(Failure::QuoteMoved { quote: name(&quote), changes });
        }
    }
    OrderView::looked(data, store, &store.order_quote(quote.id, how.terms, who)?)
}

/// Takes an open quote back.
///
/// # Errors
/// There is no such quote, it is not open, or somebody revised it since `version`.
pub fn withdraw(
    store: &Store,
    (number, version): (&str, Option<u32>),
    why: &str,
    who: &Who,
) -> Result<QuoteView, Failure> {
    QuoteView::new(&store.withdraw_quote(number, version, why.trim(), who)?, who.at.day())
}
