//! Photos, logs, snapshots and records: kept with an item or an order, listed, given back.

use super::answer::Made;
use super::call::Call;
use super::problem::Problem;
use crate::verbs::shop::evidence::{self, AttachmentListView, AttachmentView, File};
use base64::prelude::{BASE64_STANDARD, Engine as _};
use domain::item::Subject;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A file to be kept; with the 16 MiB of a body it may have 12 MiB.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AttachBody {
    /// The file's name, without a folder.
    #[schemars(length(min = 1, max = 200))]
    name: String,
    /// Its bytes in base64 (RFC 4648, section 4, with padding).
    #[schemars(extend("contentEncoding" = "base64"))]
    content: String,
}

/// A file that is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ContentView {
    #[serde(flatten)]
    pub attachment: AttachmentView,
    /// Its bytes in base64 (RFC 4648, section 4, with padding).
    #[schemars(extend("contentEncoding" = "base64"))]
    pub content: String,
}

impl AttachBody {
    /// What it holds.
    ///
    /// # Errors
    /// It is no base64.
    pub fn bytes(&self) -> Result<Vec<u8>, Problem> {
        BASE64_STANDARD.decode(&self.content).map_err(|e| {
            let detail = format!("the content of `{}` is no base64: {e}", self.name.escape_debug());
            Problem::wrong(detail, "send the file's bytes in base64 with padding, in one line")
        })
    }
    /// With what it holds.
    pub fn file<'a>(&'a self, bytes: &'a [u8]) -> File<'a> {
        File { name: &self.name, bytes }
    }
}

fn item(call: &Call) -> Result<Subject, Problem> {
    Ok(Subject::Item(call.store.item(call.item()?)?.id.0))
}

fn order(call: &Call) -> Result<Subject, Problem> {
    Ok(Subject::Order(call.store.order_by_number(&call.name)?.id.0))
}

pub fn of_item(call: &Call) -> Result<Made<AttachmentListView>, Problem> {
    Ok(Made::of(evidence::attached(&call.store, item(call)?)?))
}

pub fn of_order(call: &Call) -> Result<Made<AttachmentListView>, Problem> {
    Ok(Made::of(evidence::attached(&call.store, order(call)?)?))
}

pub fn to_item(call: &Call, body: &AttachBody) -> Result<Made<AttachmentView>, Problem> {
    keep(call, item(call)?, body)
}

pub fn to_order(call: &Call, body: &AttachBody) -> Result<Made<AttachmentView>, Problem> {
    keep(call, order(call)?, body)
}

fn keep(call: &Call, subject: Subject, body: &AttachBody) -> Result<Made<AttachmentView>, Problem> {
    Ok(Made::of(evidence::attach(&call.store, subject, body.file(&body.bytes()?), &call.who)?))
}

pub fn get_of_item(call: &Call) -> Result<Made<ContentView>, Problem> {
    content(call, item(call)?)
}

pub fn get_of_order(call: &Call) -> Result<Made<ContentView>, Problem> {
    content(call, order(call)?)
}

fn content(call: &Call, subject: Subject) -> Result<Made<ContentView>, Problem> {
    let named = match (call.query.some("named"), evidence::attached(&call.store, subject)?.attachments.as_slice()) {
        (Some(named), _) => named.to_string(),
        (None, [only]) => only.sha256.clone(),
        (None, []) => return Err(Problem::absent("nothing is attached")),
        (None, _) => return Err(Problem::wrong("more than one file is attached", "say which by named=SUM")),
    };
    let (attachment, content) = evidence::content(&call.store, subject, &named)?;
    Ok(Made::of(ContentView { attachment, content: BASE64_STANDARD.encode(&content.bytes) }))
}
