//! Allocations over all open orders: proposed, shown, accepted.

use super::answer::Made;
use super::call::Call;
use super::problem::Problem;
use crate::verbs::shop::accept::{self, AcceptedView};
use crate::verbs::shop::allocate::{self, AllocationView};
use schemars::JsonSchema;
use serde::Deserialize;

/// How a proposal is made.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProposeBody {
    /// Regardless of the proposal before.
    #[serde(default)]
    afresh: bool,
}

/// What of a proposal is accepted.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AcceptBody {
    /// Only these orders; all that are left of it where it is left out.
    #[schemars(length(min = 1))]
    orders: Option<Vec<String>>,
}

pub fn propose(call: &Call, body: &ProposeBody) -> Result<Made<AllocationView>, Problem> {
    Ok(Made::of(allocate::propose(&call.data, &call.store, body.afresh, call.sale()?, &call.who)?))
}

pub fn newest(call: &Call) -> Result<Made<AllocationView>, Problem> {
    match call.store.newest_allocation()? {
        Some(kept) => Ok(Made::of(allocate::show(&call.store, Some(kept.number))?)),
        None => Err(Problem::absent("there is no proposal")),
    }
}

pub fn one(call: &Call) -> Result<Made<AllocationView>, Problem> {
    Ok(Made::of(allocate::show(&call.store, Some(call.number("allocation")?))?))
}

pub fn accept(call: &Call, body: &AcceptBody) -> Result<Made<AcceptedView>, Problem> {
    let number = call.number("allocation")?;
    let orders = body.orders.clone().unwrap_or_default();
    if body.orders.is_some() && orders.is_empty() {
        return Err(Problem::wrong("the list of orders is empty", "name some, or leave the list out for all of them"));
    }
    Ok(Made::of(accept::accept(&call.store, number, &orders, &call.who)?))
}
