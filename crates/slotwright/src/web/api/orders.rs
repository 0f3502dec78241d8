//! Orders: written down, planned, chosen, promised, picked, stamped, cancelled.

use super::answer::Made;
use super::call::Call;
use super::problem::Problem;
use crate::failure::Failure;
use crate::verbs::plan::PlansView;
use crate::verbs::shop::calendar;
use crate::verbs::shop::order::{self, Asked, OrderCloselyView, OrderListView, OrderView};
use crate::verbs::shop::order_acts::{self, PickedView, SwappedView};
use domain::order::{Order, Stage};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer};
use store::{OrderFilter, Swap};

/// What a customer asks for.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderBody {
    /// The need document (TOML); a board that it names must be one that the server has.
    need: String,
    customer: String,
    /// 0 goes first, 9 last; 5 where it is left out.
    #[schemars(range(min = 0, max = 9))]
    priority: Option<u8>,
    /// The day by which it is wanted, such as `2026-12-24`.
    due: Option<String>,
}

/// What becomes different; what is left out stays.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangeBody {
    /// 0 goes first, 9 last.
    #[schemars(range(min = 0, max = 9))]
    priority: Option<u8>,
    /// The day by which it is wanted, such as `2026-12-24`; null where it is not wanted by a day any more.
    #[serde(default, deserialize_with = "given")]
    due: Option<Option<String>>,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// A null that was written is something else than a name that was left out.
fn given<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Option<String>>, D::Error> {
    Option::deserialize(from).map(Some)
}

/// Which plan is chosen.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChooseBody {
    /// The plan's number, from 1.
    #[schemars(range(min = 1))]
    plan: u32,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// The order as it was looked at.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReserveBody {
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// What was picked.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PickBody {
    /// Serials or item numbers, as texts; all that still wait where it is left out.
    items: Option<Vec<String>>,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// What goes into which slot.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SwapBody {
    /// From 1.
    #[schemars(range(min = 1))]
    machine: u32,
    slot: String,
    /// What goes in: serial or item number, as a text.
    item: String,
    /// What comes out is faulty: it is set aside and not sold again.
    #[serde(default)]
    faulty: bool,
    why: String,
    /// Although it is of another sort.
    #[serde(default)]
    anyway: bool,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// A step to stamp.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepBody {
    stage: Step,
    /// A line for the record.
    #[serde(default)]
    note: String,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// A step that can be stamped; cancelling has an address of its own.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Step {
    Picked,
    Built,
    Verified,
    Shipped,
}

/// Why an order is cancelled.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CancelBody {
    why: String,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

pub fn list(call: &Call) -> Result<Made<OrderListView>, Problem> {
    let (skip, most) = call.page();
    let stage = call.query.some("stage").and_then(Stage::parse);
    let open = stage.is_none() && call.query.get("closed") != "true";
    let filter = OrderFilter { words: call.query.get("words").to_string(), stage, open, skip, most };
    Ok(Made::of(order::list(&call.store, &filter)?))
}

pub fn one(call: &Call) -> Result<Made<OrderCloselyView>, Problem> {
    let view = order::closely(&call.data, &call.store, &call.name)?;
    Ok(Made::at(view.order.version, view))
}

pub fn new(call: &Call, body: &OrderBody) -> Result<Made<OrderView>, Problem> {
    let due = body.due.as_deref().map(calendar::read_day).transpose()?;
    let asked = Asked { need: &body.need, customer: &body.customer, priority: body.priority.unwrap_or(5), due };
    made(order::new(&call.data, &call.store, &asked, &call.who))
}

pub fn change(call: &Call, body: &ChangeBody) -> Result<Made<OrderView>, Problem> {
    if body.priority.is_none() && body.due.is_none() {
        return Err(Problem::wrong("it is not said what changes", "give priority, due, or both"));
    }
    let due = match &body.due {
        Some(Some(day)) => Some(Some(calendar::read_day(day)?)),
        Some(None) => Some(None),
        None => None,
    };
    made(order_acts::revise(&call.store, &seen(call, body.version)?, body.priority, due, &call.who))
}

pub fn plans(call: &Call) -> Result<Made<PlansView>, Problem> {
    let searched = order::plans(&call.data, &call.store, &call.name)?;
    Ok(Made::of(searched.show(&searched.numbered(false)).view))
}

pub fn choose(call: &Call, body: &ChooseBody) -> Result<Made<OrderView>, Problem> {
    let plan = usize::try_from(body.plan).unwrap_or(usize::MAX);
    made(order_acts::choose(&call.data, &call.store, &seen(call, body.version)?, (plan, None), call.sale()?, &call.who))
}

pub fn reserve(call: &Call, body: &ReserveBody) -> Result<Made<OrderView>, Problem> {
    made(order_acts::reserve(&call.data, &call.store, &seen(call, body.version)?, &call.who))
}

pub fn pick(call: &Call, body: &PickBody) -> Result<Made<PickedView>, Problem> {
    let version = call.seen(body.version)?;
    let view = order_acts::pick(&call.store, &call.name, version, body.items.as_deref(), &call.who)?;
    Ok(Made::at(view.order.version, view))
}

pub fn swap(call: &Call, body: &SwapBody) -> Result<Made<SwappedView>, Problem> {
    let order = seen(call, body.version)?;
    let item = order::item(&call.store, &body.item)?;
    let swap =
        Swap { machine: body.machine, slot: body.slot.clone(), item, faulty: body.faulty, why: body.why.clone() };
    let view = order_acts::swap(&call.data, &call.store, &order, &swap, body.anyway, &call.who)?;
    Ok(Made::at(view.version, view))
}

pub fn step(call: &Call, body: &StepBody) -> Result<Made<OrderView>, Problem> {
    let stage = match body.stage {
        Step::Picked => Stage::Picked,
        Step::Built => Stage::Built,
        Step::Verified => Stage::Verified,
        Step::Shipped => Stage::Shipped,
    };
    step_to(call, body.version, stage, &body.note)
}

pub fn cancel(call: &Call, body: &CancelBody) -> Result<Made<OrderView>, Problem> {
    step_to(call, body.version, Stage::Cancelled, &body.why)
}

fn step_to(call: &Call, version: Option<i64>, to: Stage, note: &str) -> Result<Made<OrderView>, Problem> {
    made(order_acts::step(&call.store, &seen(call, version)?, to, note, &call.who))
}

fn seen(call: &Call, version: Option<i64>) -> Result<Order, Problem> {
    Ok(order_acts::seen(&call.store, &call.name, call.seen(version)?)?)
}

fn made(view: Result<OrderView, Failure>) -> Result<Made<OrderView>, Problem> {
    let view = view?;
    Ok(Made::at(view.version, view))
}
