//! The shop's HTTP API for other programs, under `/api/v1`: JSON in and out, a bearer token always.
//!
//! `serve` (who asks, how much) → a row of `table` → its work from [`Call`](call::Call) to a view. The router and the OpenAPI
//! document are both made of that table, so that they can't differ.

mod allocations;
mod answer;
mod attachments;
mod call;
mod document;
mod orders;
mod parameter;
mod problem;
mod quotes;
mod serve;
mod stock;
mod suppliers;
mod table;

pub use serve::{refused, routed};

/// Does an address belong to the API?
pub fn is_here(path: &str) -> bool {
    path == "/api" || path.starts_with("/api/")
}
