//! `supplier`: what was bought from whom, what of it failed, and what went back.

use super::calendar;
use super::stock::ItemView;
use crate::failure::Failure;
use domain::failure::{CountedBy, Failed, FailureId, FailureState};
use domain::item::{BatchId, Who};
use domain::{Day, failure};
use schemars::JsonSchema;
use serde::Serialize;
use store::{Batch, Closing, Sending, Store};

/// Batches, each with what failed of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BatchListView {
    pub batches: Vec<BatchView>,
}

/// A purchase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BatchView {
    pub batch: i64,
    pub supplier: String,
    pub reference: String,
    /// `2026-11-25`
    pub bought: String,
    /// The last day on which it can go back; null where nobody said.
    pub warranty_until: Option<String>,
    /// Modules that came in, whatever became of them since.
    pub modules: u32,
    pub failed: u32,
}

/// How often modules failed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RatesView {
    /// `supplier`, `batch` or `model`.
    pub by: String,
    pub rates: Vec<RateView>,
}

/// How often modules of one supplier, batch or model failed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RateView {
    /// Empty for what was bought in no batch.
    pub name: String,
    pub received: u32,
    pub failed: u32,
    /// Replaced or credited by the supplier.
    pub made_good: u32,
    /// Failed of received, in percent.
    pub percent: f64,
    /// Where the true share lies at 95 % (score interval of Wilson, 1927), in percent.
    pub percent_least: f64,
    pub percent_most: f64,
}

/// Modules that failed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FailureListView {
    pub failures: Vec<FailureView>,
    /// Is there another page?
    pub more: bool,
}

/// A module that failed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FailureView {
    pub failure: i64,
    pub item: ItemView,
    /// The order whose machine showed it.
    pub order: Option<String>,
    pub at: String,
    pub who: String,
    pub reason: String,
    /// SHA-256 of the record of the diagnosis.
    pub record: Option<String>,
    /// `found`, `sent back`, `replaced`, `credited`, `refused`, `scrapped` or `sound`.
    pub state: String,
    pub supplier: Option<String>,
    pub batch: Option<String>,
    pub warranty_until: Option<String>,
    /// The supplier's number of the return.
    pub reference: String,
    pub note: String,
    pub closed: Option<String>,
    /// What comes next, as a sentence.
    pub next: String,
    /// That as a command line, after the program's name; null where nothing comes next.
    pub next_command: Option<String>,
}

impl BatchView {
    fn new(batch: &Batch) -> Self {
        Self {
            batch: batch.id.0,
            supplier: batch.bought.supplier.clone(),
            reference: batch.bought.reference.clone(),
            bought: calendar::day(batch.bought.on),
            warranty_until: batch.warranty_until.map(calendar::day),
            modules: batch.modules,
            failed: batch.failed,
        }
    }
}

impl FailureView {
    /// As the store has it.
    pub fn new(failure: &failure::Failure) -> Self {
        let (next, next_command) = next(failure);
        Self {
            next: next.to_string(),
            next_command,
            failure: failure.id.0,
            item: ItemView::new(&failure.item),
            order: failure.order.clone(),
            at: calendar::moment(failure.who.at),
            who: failure.who.name.clone(),
            reason: failure.reason.clone(),
            record: failure.record.clone(),
            state: failure.state.to_string(),
            supplier: failure.bought.as_ref().map(|b| b.0.clone()),
            batch: failure.bought.as_ref().map(|b| b.1.clone()),
            warranty_until: failure.warranty_until.map(calendar::day),
            reference: failure.reference.clone(),
            note: failure.note.clone(),
            closed: failure.closed.map(calendar::moment),
        }
    }
}

fn next(failure: &failure::Failure) -> (&'static str, Option<String>) {
    let id = failure.id;
    match failure.state {
        FailureState::Found if failure.bought.is_none() => {
            ("no supplier is known: scrap it by the safe way", Some(format!("supplier close {id} scrapped")))
        }
        FailureState::Found => {
            ("send it back under the supplier's number", Some(format!("supplier send {id} --reference NUMBER")))
        }
        FailureState::SentBack => {
            ("when the supplier answers, say what became of it", Some(format!("supplier close {id} replaced")))
        }
        FailureState::Refused => ("send it once more, or scrap it", Some(format!("supplier close {id} scrapped"))),
        FailureState::Replaced | FailureState::Credited | FailureState::Scrapped | FailureState::Sound => {
            ("nothing: it is closed", None)
        }
    }
}

impl RateView {
    fn new(failed: &Failed) -> Self {
        let tenths = |share: f64| (share * 1000.0).round() / 10.0;
        let (least, most) = engine::share::range(failed.failed, failed.received);
        Self {
            name: failed.name.clone(),
            received: failed.received,
            failed: failed.failed,
            made_good: failed.made_good,
            percent: tenths(f64::from(failed.failed) / f64::from(failed.received.max(1))),
            percent_least: tenths(least),
            percent_most: tenths(most),
        }
    }
}

/// Batches, all, or those of one supplier.
///
/// # Errors
/// The store's.
pub fn batches(store: &Store, supplier: Option<&str>) -> Result<BatchListView, Failure> {
    let wanted = |b: &&Batch| supplier.is_none_or(|s| b.bought.supplier.eq_ignore_ascii_case(s.trim()));
    Ok(BatchListView { batches: store.batches()?.iter().filter(wanted).map(BatchView::new).collect() })
}

/// The newest batches, and how many there are in all.
///
/// # Errors
/// The store's.
pub fn newest(store: &Store, most: u32) -> Result<(BatchListView, u64), Failure> {
    let page = store.newest_batches(most)?;
    Ok((BatchListView { batches: page.list.iter().map(BatchView::new).collect() }, page.found))
}

/// The batch of that number, or of that supplier and reference: `Mill Lane/2026-07`.
fn batch(store: &Store, name: &str) -> Result<BatchId, Failure> {
    if let Ok(number) = name.trim().parse() {
        return Ok(store.batch(BatchId(number))?.id);
    }
    let (supplier, reference) = name.split_once('/').unwrap_or((name, ""));
    let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
    let all = store.batches()?;
    let found = all.iter().find(|b| same(&b.bought.supplier, supplier) && same(&b.bought.reference, reference));
    found.map(|b| b.id).ok_or_else(|| Failure::Shop {
        why: format!("there is no batch `{}`", name.trim()),
        hint: "name one as SUPPLIER/REFERENCE or by its number; `slotwright supplier batches` lists them".to_string(),
    })
}

/// Says until when a batch can go back.
///
/// # Errors
/// There is no such batch.
pub fn warranty(store: &Store, name: &str, until: Day, who: &Who) -> Result<BatchView, Failure> {
    Ok(BatchView::new(&store.set_warranty(
        batch(store, name)?,
        until,
        &format!("until {}", calendar::day(until)),
        who,
    )?))
}

/// How often modules failed, the most failures first.
///
/// # Errors
/// The store's.
pub fn rates(store: &Store, by: CountedBy) -> Result<RatesView, Failure> {
    let word = match by {
        CountedBy::Supplier => "supplier",
        CountedBy::Batch => "batch",
        CountedBy::Model => "model",
    };
    Ok(RatesView { by: word.to_string(), rates: store.failed(by)?.iter().map(RateView::new).collect() })
}

/// Modules that failed, the newest first; those with something left to do unless `all`.
///
/// # Errors
/// The store's.
pub fn failures(store: &Store, all: bool, skip: u32, most: u32) -> Result<FailureListView, Failure> {
    let mut found = store.failures(if all { "" } else { "open" }, None, skip, most.saturating_add(1))?;
    let more = found.len() > most as usize;
    found.truncate(most as usize);
    Ok(FailureListView { failures: found.iter().map(FailureView::new).collect(), more })
}

/// Sends failed modules back to their supplier: all, or none.
///
/// # Errors
/// They are of different suppliers, not held back, or past their warranty.
pub fn send(store: &Store, sending: &Sending, who: &Who) -> Result<FailureListView, Failure> {
    if sending.reference.trim().is_empty() {
        return Err(Failure::Shop {
            why: "the supplier's number of the return is missing".to_string(),
            hint: "ask the supplier for one, or give a number of your own".to_string(),
        });
    }
    let sent = store.send_back(sending, who)?;
    Ok(FailureListView { failures: sent.iter().map(FailureView::new).collect(), more: false })
}

/// Says what became of a failure.
///
/// # Errors
/// It is not that far, or closed.
pub fn close(store: &Store, id: i64, to: &str, note: &str, who: &Who) -> Result<FailureView, Failure> {
    let to = FailureState::parse(to).ok_or_else(|| Failure::Shop {
        why: format!("`{to}` is nothing that becomes of a failure"),
        hint: "use replaced, credited, refused, scrapped or sound".to_string(),
    })?;
    let closing = Closing { id: FailureId(id), to, note: note.trim().to_string() };
    Ok(FailureView::new(&store.close_failure(&closing, who)?))
}
