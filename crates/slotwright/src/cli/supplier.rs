//! `supplier`: arguments and text.

use super::Reply;
use super::table::{next, paragraph, table};
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::supplier::{self, BatchListView, BatchView, FailureListView, FailureView, RateView, RatesView};
use crate::world;
use domain::failure::{CountedBy, FailureId};
use store::{Sending, Store};

/// Suppliers: what was bought from them, what of it failed, and what went back.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, Clone, Copy, clap::ValueEnum)]
enum By {
    Supplier,
    Batch,
    Model,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// List what was bought: supplier, reference, warranty, how many modules, how many failed.
    Batches {
        /// Only of this supplier.
        #[arg(value_name = "SUPPLIER")]
        supplier: Option<String>,
        #[arg(long)]
        json: bool,
    },
    /// Say until when a batch can go back.
    Warranty {
        #[arg(value_name = "SUPPLIER/REFERENCE")]
        batch: String,
        /// The last day, such as 2027-05-31.
        #[arg(value_name = "DAY")]
        until: String,
        #[arg(long)]
        json: bool,
    },
    /// How often modules fail, with the range in which the true share lies.
    Rates {
        #[arg(long, value_enum, default_value = "supplier")]
        by: By,
        #[arg(long)]
        json: bool,
    },
    /// List modules that failed: those with something left to do.
    Failures {
        /// Closed ones too.
        #[arg(long)]
        all: bool,
        #[arg(long, default_value_t = 100, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
        most: u32,
        #[arg(long, default_value_t = 0, value_name = "N")]
        skip: u32,
        #[arg(long)]
        json: bool,
    },
    /// Send failed modules back to their supplier: all, or none.
    Send {
        #[arg(required = true, value_name = "FAILURE")]
        failures: Vec<i64>,
        /// The supplier's number of the return.
        #[arg(long, value_name = "TEXT")]
        reference: String,
        #[arg(long, default_value = "", value_name = "TEXT")]
        note: String,
        /// Although the warranty is over.
        #[arg(long)]
        late: bool,
        #[arg(long)]
        json: bool,
    },
    /// Say what became of a failure: replaced, credited, refused, scrapped, or sound: nothing is wrong with it after all.
    Close {
        #[arg(value_name = "FAILURE")]
        failure: i64,
        #[arg(value_name = "WHAT")]
        to: String,
        #[arg(long, default_value = "", value_name = "TEXT")]
        note: String,
        #[arg(long)]
        json: bool,
    },
}

/// Does what was asked.
///
/// # Errors
/// There is no such batch or failure, or the step does not follow.
pub fn run(args: &Args, store: &Store) -> Result<Reply, Failure> {
    let who = world::who();
    match &args.act {
        Act::Batches { supplier, json } => {
            let view = supplier::batches(store, supplier.as_deref())?;
            Reply::of(&view, *json, false, || batches(&view))
        }
        Act::Warranty { batch, until, json } => {
            let view = supplier::warranty(store, batch, calendar::read_day(until)?, &who)?;
            Reply::of(&view, *json, false, || batches(&BatchListView { batches: vec![view.clone()] }))
        }
        Act::Rates { by, json } => {
            let by = match by {
                By::Supplier => CountedBy::Supplier,
                By::Batch => CountedBy::Batch,
                By::Model => CountedBy::Model,
            };
            let view = supplier::rates(store, by)?;
            Reply::of(&view, *json, false, || rates(&view))
        }
        Act::Failures { all, most, skip, json } => {
            let view = supplier::failures(store, *all, *skip, *most)?;
            Reply::of(&view, *json, false, || failures(&view))
        }
        Act::Send { failures: ids, reference, note, late, json } => {
            let sending = Sending {
                failures: ids.iter().map(|id| FailureId(*id)).collect(),
                reference: reference.trim().to_string(),
                note: note.trim().to_string(),
                late: *late,
            };
            let view = supplier::send(store, &sending, &who)?;
            Reply::of(&view, *json, false, || failures(&view))
        }
        Act::Close { failure, to, note, json } => said(&supplier::close(store, *failure, to, note, &who)?, *json),
    }
}

/// One failure in a sentence.
pub fn said(view: &FailureView, json: bool) -> Result<Reply, Failure> {
    Reply::of(view, json, false, || {
        let text = format!("failure {}: item {} ({}): {}", view.failure, view.item.item, view.item.label, view.state);
        format!("{}\n{}", paragraph(&text, 0, 2), next(&view.next, view.next_command.as_deref()))
    })
}

fn batches(view: &BatchListView) -> String {
    if view.batches.is_empty() {
        return "nothing was bought in a batch; `--batch SUPPLIER/REFERENCE` says so at the intake\n".to_string();
    }
    let row = |b: &BatchView| {
        vec![
            b.batch.to_string(),
            b.supplier.clone(),
            b.reference.clone(),
            b.bought.clone(),
            b.warranty_until.clone().unwrap_or_default(),
            b.modules.to_string(),
            b.failed.to_string(),
        ]
    };
    let header = ["batch", "supplier", "reference", "bought", "warranty until", "modules", "failed"];
    table(&header, &[0, 5, 6], view.batches.iter().map(row).collect())
}

fn rates(view: &RatesView) -> String {
    let row = |r: &RateView| {
        vec![
            if r.name.is_empty() { "(bought in no batch)".to_string() } else { r.name.clone() },
            r.received.to_string(),
            r.failed.to_string(),
            r.made_good.to_string(),
            format!("{:.1} %", r.percent),
            format!("{:.1} to {:.1} %", r.percent_least, r.percent_most),
        ]
    };
    let header = [view.by.as_str(), "came in", "failed", "made good", "share", "at 95 % sure"];
    table(&header, &[1, 2, 3, 4, 5], view.rates.iter().map(row).collect())
}

fn failures(view: &FailureListView) -> String {
    if view.failures.is_empty() {
        return "no module waits to go back\n".to_string();
    }
    let row = |f: &FailureView| {
        let bought = [f.supplier.clone(), f.batch.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
        vec![
            f.failure.to_string(),
            f.item.item.to_string(),
            f.item.label.clone(),
            f.item.serial.clone().unwrap_or_default(),
            f.state.clone(),
            bought,
            f.warranty_until.clone().unwrap_or_default(),
            f.reference.clone(),
            f.reason.clone(),
        ]
    };
    let header = ["failure", "item", "module", "serial", "state", "bought", "warranty until", "return", "reason"];
    let text = table(&header, &[0, 1], view.failures.iter().map(row).collect());
    if view.more { format!("{text}and more: --skip {}\n", view.failures.len()) } else { text }
}
