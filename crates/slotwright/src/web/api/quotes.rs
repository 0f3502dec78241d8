//! Quotes: made, shown, revised, taken back, turned into orders.

use super::answer::Made;
use super::call::Call;
use super::problem::Problem;
use crate::verbs::shop::calendar;
use crate::verbs::shop::order::OrderView;
use crate::verbs::shop::quote::{self, Offer, QuoteCloselyView, QuoteListView, QuoteView};
use crate::world;
use domain::quote::QuoteState;
use schemars::JsonSchema;
use serde::Deserialize;
use store::{QuoteFilter, Terms};

/// What a quote is made of. Name, margin, tax and terms are those of the server's `--shop`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuoteBody {
    /// The need document (TOML); a board that it names must be one that the server has.
    need: String,
    customer: String,
    /// The plan's number, from 1; the first where it is left out.
    #[schemars(range(min = 1))]
    plan: Option<u32>,
    /// Days for which it holds, other than the settings say.
    valid_days: Option<u16>,
    /// From what is free on the shelf.
    #[serde(default)]
    from_stock: bool,
}

/// What the next version is made of. What is left out is planned and priced as a new quote is.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviseBody {
    /// Another need document (TOML); that of the version before where it is left out.
    need: Option<String>,
    /// The plan's number, from 1; the first where it is left out.
    #[schemars(range(min = 1))]
    plan: Option<u32>,
    /// Days for which it holds, other than the settings say.
    valid_days: Option<u16>,
    /// From what is free on the shelf.
    #[serde(default)]
    from_stock: bool,
    /// The version that was looked at: refused where another is the newest.
    #[schemars(range(min = 1))]
    version: Option<u32>,
}

/// Why a quote is taken back.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WithdrawBody {
    #[serde(default)]
    why: String,
    /// The version that was looked at: refused where another is the newest.
    #[schemars(range(min = 1))]
    version: Option<u32>,
}

/// How a quote becomes an order.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuoteOrderBody {
    /// 0 goes first, 9 last; 5 where it is left out.
    #[schemars(range(min = 0, max = 9))]
    priority: Option<u8>,
    /// The day by which it is wanted, such as `2026-12-24`.
    due: Option<String>,
    /// At the quoted price, although prices or stock changed.
    #[serde(default)]
    anyway: bool,
    /// The version that was looked at: refused where another is the newest.
    #[schemars(range(min = 1))]
    version: Option<u32>,
}

pub fn list(call: &Call) -> Result<Made<QuoteListView>, Problem> {
    let (skip, most) = call.page();
    let state = call.query.some("state").and_then(QuoteState::parse);
    let filter = QuoteFilter { words: call.query.get("words").to_string(), state, skip, most };
    Ok(Made::of(quote::list(&call.store, &filter, call.who.at.day())?))
}

pub fn one(call: &Call) -> Result<Made<QuoteCloselyView>, Problem> {
    let version = call.query.some("version").and_then(|v| v.parse().ok());
    Ok(Made::of(quote::closely(&call.store, &call.name, version, call.who.at.day())?))
}

pub fn new(call: &Call, body: &QuoteBody) -> Result<Made<QuoteView>, Problem> {
    let offer = Offer {
        need: &body.need,
        customer: &body.customer,
        plan: usize::try_from(body.plan.unwrap_or(1)).unwrap_or(usize::MAX),
        shop: call.shop.clone(),
        valid_days: body.valid_days,
        from_stock: body.from_stock,
        today: world::today(),
    };
    Ok(Made::of(quote::new(&call.data, &call.store, offer, &call.who)?))
}

pub fn revise(call: &Call, body: &ReviseBody) -> Result<Made<QuoteView>, Problem> {
    let old = call.store.newest_quote(&call.name, body.version)?;
    let offer = Offer {
        need: body.need.as_deref().unwrap_or(&old.offer.need),
        customer: &old.offer.customer,
        plan: usize::try_from(body.plan.unwrap_or(1)).unwrap_or(usize::MAX),
        shop: call.shop.clone(),
        valid_days: body.valid_days,
        from_stock: body.from_stock,
        today: world::today(),
    };
    Ok(Made::of(quote::revise(&call.data, &call.store, &old, offer, &call.who)?))
}

pub fn withdraw(call: &Call, body: &WithdrawBody) -> Result<Made<QuoteView>, Problem> {
    Ok(Made::of(quote::withdraw(&call.store, (&call.name, body.version), &body.why, &call.who)?))
}

pub fn order(call: &Call, body: &QuoteOrderBody) -> Result<Made<OrderView>, Problem> {
    let due = body.due.as_deref().map(calendar::read_day).transpose()?;
    let terms = Terms { priority: body.priority.unwrap_or(5), due };
    let which = (call.name.as_str(), body.version);
    let view = quote::order(&call.data, &call.store, which, terms, body.anyway, &call.who)?;
    Ok(Made::at(view.version, view))
}
