//! Quotes: made, shown, revised, taken back, turned into orders.

use super::answer::Made;
use super::call::Call;
use super::problem::Problem;
use crate::verbs::shop::calendar;
use crate::verbs::shop::order::OrderView;
use crate::verbs::shop::quote::{self, Ordering, QuoteCloselyView, QuoteListView, QuoteView};
use crate::verbs::shop::quote_make::{self, Offer, QuoteMadeView, Revision, Saw};
use crate::verbs::shop::settings;
use crate::world;
use domain::Day;
use domain::quote::QuoteState;
use schemars::JsonSchema;
use serde::Deserialize;
use store::{QuoteFilter, Terms};

/// What a quote is made of. Name, margin, tax and terms are those of the server's `--shop`, else those that the store keeps.
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

/// What is other in the next version. What is left out stays as the version before has it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviseBody {
    /// Another need document (TOML).
    need: Option<String>,
    /// Another plan's number, from 1; the quoted build, or what is nearest to it, where it is left out.
    #[schemars(range(min = 1))]
    plan: Option<u32>,
    /// Other days for which it holds.
    valid_days: Option<u16>,
    /// From what is free on the shelf, or from what can be bought.
    from_stock: Option<bool>,
    /// The settings of the server's `--shop`, else those that the store keeps now, in the place of those that it was made with.
    #[serde(default)]
    settings_now: bool,
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

fn today() -> Day {
    calendar::of(world::today())
}

pub fn list(call: &Call) -> Result<Made<QuoteListView>, Problem> {
    let (skip, most) = call.page();
    let state = call.query.some("state").and_then(QuoteState::parse);
    let filter = QuoteFilter { words: call.query.get("words").to_string(), state, skip, most };
    Ok(Made::of(quote::list(&call.store, &filter, today())?))
}

pub fn one(call: &Call) -> Result<Made<QuoteCloselyView>, Problem> {
    let version = call.query.some("version").and_then(|v| v.parse().ok());
    Ok(Made::of(quote::closely(&call.store, &call.name, version, today())?))
}

pub fn new(call: &Call, body: &QuoteBody) -> Result<Made<QuoteMadeView>, Problem> {
    let offer = Offer {
        need: &body.need,
        customer: &body.customer,
        plan: usize::try_from(body.plan.unwrap_or(1)).unwrap_or(usize::MAX),
        shop: call.shop()?,
        valid_days: body.valid_days,
        from_stock: body.from_stock,
        today: world::today(),
    };
    Ok(Made::of(quote_make::new(&call.data, &call.store, offer, Saw::default(), &call.who)?))
}

pub fn revise(call: &Call, body: &ReviseBody) -> Result<Made<QuoteMadeView>, Problem> {
    let old = call.store.newest_quote(&call.name, body.version)?;
    let shop = if body.settings_now { Some(call.shop()?.ok_or_else(settings::none_kept)?) } else { None };
    let revision = Revision {
        need: body.need.as_deref(),
        plan: body.plan.map(|p| usize::try_from(p).unwrap_or(usize::MAX)),
        shop,
        valid_days: body.valid_days,
        from_stock: body.from_stock,
        today: world::today(),
    };
    Ok(Made::of(quote_make::revise(&call.data, &call.store, &old, &revision, Saw::default(), &call.who)?))
}

pub fn withdraw(call: &Call, body: &WithdrawBody) -> Result<Made<QuoteView>, Problem> {
    Ok(Made::of(quote::withdraw(&call.store, (&call.name, body.version), &body.why, &call.who)?))
}

pub fn order(call: &Call, body: &QuoteOrderBody) -> Result<Made<OrderView>, Problem> {
    let due = body.due.as_deref().map(calendar::read_day).transpose()?;
    let terms = Terms { priority: body.priority.unwrap_or(5), due, day: today() };
    let which = (call.name.as_str(), body.version);
    let how = Ordering { terms, anyway: body.anyway, today: terms.day };
    let view = quote::order(&call.data, &call.store, which, how, &call.who)?;
    Ok(Made::at(view.version, view))
}
