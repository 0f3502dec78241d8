//! What is done to an order: as somebody looked at it, or not at all. Each step is stamped.

use super::calendar;
use super::chosen::{self, ChosenBuild};
use super::exchanges;
use super::order::{self, OrderView, PromiseView};
use super::pricing::{Pricing, Sale};
use super::question::{self, Offered};
use super::stock::ItemView;
use crate::failure::Failure;
use crate::verbs::plan::Searched;
use crate::world::Data;
use domain::Day;
use domain::item::{ItemId, Who};
use domain::order::{Order, Priced, Promise, Reservation, Stage};
use schemars::JsonSchema;
use serde::Serialize;
use store::{Revision, Store, StoreError, Swap};

/// What was picked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PickedView {
    /// Modules that were picked now.
    pub picked: usize,
    /// Modules that still wait; with the last one the order is picked.
    pub left: u32,
    /// Those that were picked now, each with its place.
    pub modules: Vec<PromiseView>,
    pub order: OrderView,
}

/// A module that was exchanged at the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SwappedView {
    pub order: String,
    /// From 1.
    pub machine: u32,
    pub slot: String,
    /// What is in the slot now.
    pub item: ItemView,
    /// Where it is of another sort than was chosen: what is there, in the place of what.
    pub other: Option<String>,
    /// What the check of this machine finds, with all that was exchanged in it, beyond what it finds in the chosen build.
    pub findings: Vec<String>,
    /// The order's stage after that: what was verified is only built again.
    pub stage: String,
    /// The order's version after that.
    pub version: i64,
}

/// The order of that number, at that version where one is named.
///
/// # Errors
/// There is none, or somebody changed it since.
pub fn seen(store: &Store, number: &str, version: Option<i64>) -> Result<Order, Failure> {
    let order = store.order_by_number(number)?;
    if version.is_some_and(|v| v != order.version) {
        return Err(StoreError::Changed { what: "order", which: order.number }.into());
    }
    Ok(order)
}

/// Chooses the plan of that number, from 1; an earlier choice and what was promised for it go. Where a person saw the plan
/// before, it must still be what [`chosen::seen`] said of it. The price is what the customer pays by the shop's prices of the day of
/// the sale.
///
/// # Errors
/// There is no such plan or it is another by now, the order is past that, or was changed since `order` was read.
pub fn choose(
    data: &Data,
    store: &Store,
    order: &Order,
    (plan, saw): (usize, Option<&str>),
    sale: Sale,
    who: &Who,
) -> Result<OrderView, Failure> {
    let searched = Searched::new(order::need_from_shelf(data, store, order)?);
    let (view, plan) = searched.pick(plan, false)?;
    chosen::as_seen(&view, saw)?;
    let build = ChosenBuild::new(&view, &plan).write()?;
    let priced = Pricing::on(data, store, sale)?.priced(&view, &plan, order.machines)?;
    OrderView::new(&store.choose_build(order.id, Some(order.version), &build, priced, who)?)
}

/// Promises exact modules for the chosen build: matched sets first, then the oldest stock, as an allocation of this order alone.
///
/// # Errors
/// No build is chosen, modules are missing, somebody else was faster, or the order was changed since `order` was read.
pub fn reserve(data: &Data, store: &Store, order: &Order, who: &Who) -> Result<OrderView, Failure> {
    let Some((build, price)) = order.build.as_ref().zip(order.price) else {
        let why = format!("no build is chosen for order {}", order.number);
        return Err(
            StoreError::NotNow { why, hint: "choose one of the plans that `slotwright order plans` shows" }.into()
        );
    };
    if order.stage != Stage::Chosen {
        let (order, from) = (order.number.clone(), order.stage);
        return Err(StoreError::Stage { order, from, to: Stage::Reserved }.into());
    }
    let priced = Priced { price, cost: order.cost };
    let claims = question::alone(data, store, order, Offered { build: ChosenBuild::read(build)?, priced })?;
    OrderView::new(&store.reserve(order.id, Some(order.version), &claims, who)?)
}

/// Marks modules as picked, each by its serial or its item number, or all that wait; with the last one the order is picked.
///
/// # Errors
/// One of them is not of this order, and none is picked then; or the order was changed since `version`.
pub fn pick(
    store: &Store,
    number: &str,
    version: Option<i64>,
    named: Option<&[String]>,
    who: &Who,
) -> Result<PickedView, Failure> {
    let order = seen(store, number, version)?;
    let before = store.reservations(order.id)?;
    let waits = |r: &Reservation| r.promise == Promise::Held;
    let items = match named {
        Some(named) => named.iter().map(|n| of_order(&before, n, &order.number)).collect::<Result<_, _>>()?,
        None => before.iter().filter(|r| waits(r)).map(|r| r.item.id).collect::<Vec<_>>(),
    };
    let picked = store.pick(order.id, version, &items, who)?;
    let was_held = |id| before.iter().any(|b| b.id == id && waits(b));
    let after = store.reservations(order.id)?;
    let mut now: Vec<_> = after.iter().filter(|r| r.promise == Promise::Picked && was_held(r.id)).collect();
    // What somebody else picked at the same time is not ours to tell.
    now.retain(|r| items.contains(&r.item.id));
    let modules: Vec<PromiseView> = now.into_iter().map(order::promise).collect();
    Ok(PickedView { picked: items.len(), left: picked.left, modules, order: OrderView::new(&picked.order)? })
}

fn of_order(promised: &[Reservation], name: &str, number: &str) -> Result<ItemId, Failure> {
    let kept = super::intake::serial_of(name);
    let serial = |r: &&Reservation| {
        r.item.serial.as_deref().is_some_and(|s| s.eq_ignore_ascii_case(name.trim()) || s.eq_ignore_ascii_case(&kept))
    };
    let by_number = |r: &&Reservation| name.trim().parse() == Ok(r.item.id.0);
    let mut bound = promised.iter().filter(|r| r.promise.binds());
    let found = bound.clone().find(serial).or_else(|| bound.find(by_number));
    found.map(|r| r.item.id).ok_or_else(|| Failure::Shop {
        why: format!("`{}` is no module that is promised to order {number}", name.trim()),
        hint: format!("put it back; `slotwright order show {number}` lists what to pick"),
    })
}

/// Exchanges a module at the bench for one of the sort that was chosen; `anyway` lets another sort or condition in, if it goes into
/// the slot at all. What was verified goes back to the bench.
///
/// # Errors
/// The slot holds nothing of this order, what goes in is of another sort or can't be had, or the order was changed meanwhile.
pub fn swap(
    data: &Data,
    store: &Store,
    order: &Order,
    swap: &Swap,
    anyway: bool,
    who: &Who,
) -> Result<SwappedView, Failure> {
    if swap.why.trim().is_empty() {
        return Err(unsaid("say why: it stands in the history of both modules"));
    }
    let chosen = order.build.as_deref().map(ChosenBuild::read).transpose()?;
    let promised = store.reservations(order.id)?;
    let old = promised.iter().find(|r| r.promise.binds() && r.machine == swap.machine && r.slot == swap.slot);
    let mut other = None;
    if let Some(old) = old {
        let new = store.item(swap.item)?;
        let ((old_sort, old_module), (is, module)) =
            (exchanges::sort_of(data, &old.item), exchanges::sort_of(data, &new));
        let pick = chosen.as_ref().and_then(|c| c.picks.iter().find(|p| p.slot == swap.slot));
        let was = pick.map_or(old_sort, |p| p.sort.clone());
        if let Some((old, new)) = old_module.zip(module)
            && old.generation != new.generation
        {
            return Err(Failure::Shop {
                why: format!(
                    "slot {} takes {}, and item {} is {is}: it does not go in",
                    swap.slot, old.generation, swap.item
                ),
                hint: "take one of the same sort".to_string(),
            });
        }
        if was != is {
            if !anyway {
                return Err(Failure::OtherSort { slot: swap.slot.clone(), was, item: swap.item.0, is });
            }
            other = Some(format!("{is} in the place of {was}"));
        }
    }
    let (item, now) = store.swap(order.id, Some(order.version), swap, who)?;
    let findings = match &chosen {
        Some(chosen) => {
            let exchanged = exchanges::of(data, chosen, &store.reservations(order.id)?);
            exchanges::findings(data, chosen, &exchanged, swap.machine)
        }
        None => Vec::new(),
    };
    Ok(SwappedView {
        order: now.number,
        machine: swap.machine,
        slot: swap.slot.clone(),
        item: ItemView::new(&item),
        other,
        findings,
        stage: now.stage.to_string(),
        version: now.version,
    })
}

/// Stamps a step.
///
/// # Errors
/// The step does not follow, modules are not that far, a cancellation has no reason, or the order was changed since it was read.
pub fn step(store: &Store, order: &Order, to: Stage, note: &str, who: &Who) -> Result<OrderView, Failure> {
    if to == Stage::Cancelled && note.trim().is_empty() {
        return Err(unsaid("say why: it stands in the order's history"));
    }
    OrderView::new(&store.advance(order.id, Some(order.version), to, note.trim(), who)?)
}

/// Changes priority and due day, each where it is given; `due` of `Some(None)` takes the day away.
///
/// # Errors
/// The order is closed, the priority is out of range, the day is past, nothing would be different, or it was changed since it was read.
pub fn revise(
    store: &Store,
    order: &Order,
    priority: Option<u8>,
    due: Option<Option<Day>>,
    who: &Who,
) -> Result<OrderView, Failure> {
    let day = |d: Option<Day>| d.map_or_else(|| "no day".to_string(), calendar::day);
    let of_priority = priority.filter(|p| *p != order.priority);
    let of_due = due.filter(|d| *d != order.due);
    order::to_come(of_due.flatten(), who)?;
    let words: Vec<String> = [
        of_priority.map(|p| format!("priority {} to {p}", order.priority)),
        of_due.map(|d| format!("wanted by {} to {}", day(order.due), day(d))),
    ]
    .into_iter()
    .flatten()
    .collect();
    let revision = Revision { priority, due, words: words.join("; ") };
    OrderView::new(&store.revise_order(order.id, Some(order.version), &revision, who)?)
}

fn unsaid(hint: &str) -> Failure {
    Failure::Shop { why: "there is no reason given".to_string(), hint: hint.to_string() }
}
