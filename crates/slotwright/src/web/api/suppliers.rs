//! What was bought, what of it failed, and what went back.

use super::answer::Made;
use super::attachments::AttachBody;
use super::call::Call;
use super::problem::Problem;
use crate::verbs::shop::supplier::{self, BatchListView, BatchView, FailureListView, FailureView, RatesView};
use crate::verbs::shop::{calendar, evidence};
use domain::failure::{CountedBy, FailureId};
use schemars::JsonSchema;
use serde::Deserialize;
use store::Sending;

/// That a module failed.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FailBody {
    /// What it did.
    reason: String,
    /// The record of its diagnosis, which is attached to the item.
    record: Option<AttachBody>,
}

/// Until when a delivery can go back.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WarrantyBody {
    /// The last day, such as `2027-05-31`.
    until: String,
}

/// Modules that go back to one supplier.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SendBody {
    /// Numbers of failures.
    #[schemars(length(min = 1, max = 1000))]
    failures: Vec<i64>,
    /// The supplier's number of the return.
    reference: String,
    #[serde(default)]
    note: String,
    /// Although the warranty is over.
    #[serde(default)]
    late: bool,
}

/// What became of a failure.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CloseBody {
    to: Closed,
    /// Such as the number of the credit note.
    #[serde(default)]
    note: String,
}

/// How a failure ends.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Closed {
    Replaced,
    Credited,
    Refused,
    Scrapped,
    /// Nothing is wrong with it after all.
    Sound,
}

pub fn fail(call: &Call, body: &FailBody) -> Result<Made<FailureView>, Problem> {
    let bytes = body.record.as_ref().map(AttachBody::bytes).transpose()?;
    let record = body.record.as_ref().zip(bytes.as_deref()).map(|(record, bytes)| record.file(bytes));
    Ok(Made::of(evidence::fail(&call.store, call.item()?, &body.reason, record, &call.who)?))
}

pub fn failures(call: &Call) -> Result<Made<FailureListView>, Problem> {
    let (skip, most) = call.page();
    Ok(Made::of(supplier::failures(&call.store, call.query.get("closed") == "true", skip, most)?))
}

pub fn rates(call: &Call) -> Result<Made<RatesView>, Problem> {
    let by = match call.query.get("by") {
        "batch" => CountedBy::Batch,
        "model" => CountedBy::Model,
        _ => CountedBy::Supplier,
    };
    Ok(Made::of(supplier::rates(&call.store, by)?))
}

pub fn batches(call: &Call) -> Result<Made<BatchListView>, Problem> {
    Ok(Made::of(supplier::batches(&call.store, call.query.some("supplier"))?))
}

pub fn warranty(call: &Call, body: &WarrantyBody) -> Result<Made<BatchView>, Problem> {
    let batch = call.number("batch")?.to_string();
    Ok(Made::of(supplier::warranty(&call.store, &batch, calendar::read_day(&body.until)?, &call.who)?))
}

pub fn send(call: &Call, body: &SendBody) -> Result<Made<FailureListView>, Problem> {
    let sending = Sending {
        failures: body.failures.iter().copied().map(FailureId).collect(),
        reference: body.reference.trim().to_string(),
        note: body.note.trim().to_string(),
        late: body.late,
    };
    Ok(Made::of(supplier::send(&call.store, &sending, &call.who)?))
}

pub fn close(call: &Call, body: &CloseBody) -> Result<Made<FailureView>, Problem> {
    let to = match body.to {
        Closed::Replaced => "replaced",
        Closed::Credited => "credited",
        Closed::Refused => "refused",
        Closed::Scrapped => "scrapped",
        Closed::Sound => "sound",
    };
    Ok(Made::of(supplier::close(&call.store, call.number("failure")?, to, &body.note, &call.who)?))
}
