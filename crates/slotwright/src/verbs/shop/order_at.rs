//! What is done to an order as somebody looked at it: at that version, or not at all.

use super::chosen::ChosenBuild;
use super::order::{self, OrderView};
use super::question::{self, Offered};
use super::stock::ItemView;
use crate::failure::Failure;
use crate::verbs::plan::Searched;
use crate::world::Data;
use domain::item::Who;
use domain::order::{Order, Stage};
use schemars::JsonSchema;
use serde::Serialize;
use store::{Store, StoreError, Swap};

/// What was picked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PickedView {
    /// Modules that were named.
    pub picked: usize,
    /// Modules that still wait; with the last one the order is picked.
    pub left: u32,
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

/// Chooses the plan of that number, from 1.
///
/// # Errors
/// As [`order::choose`], and the order was changed since `order` was read.
pub fn choose(data: &Data, store: &Store, order: &Order, plan: usize, who: &Who) -> Result<OrderView, Failure> {
    let searched = Searched::new(order::need_from_shelf(data, store, order)?);
    let (view, plan) = searched.pick(plan, false)?;
    let build = ChosenBuild::new(&view, &plan).write()?;
    OrderView::new(&store.choose_build(order.id, Some(order.version), &build, plan.price_all, who)?)
}

/// Promises exact modules for the chosen build.
///
/// # Errors
/// As [`order::reserve`], and the order was changed since `order` was read.
pub fn reserve(data: &Data, store: &Store, order: &Order, who: &Who) -> Result<OrderView, Failure> {
    if order.stage != Stage::Chosen {
        let (order, from) = (order.number.clone(), order.stage);
        return Err(StoreError::Stage { order, from, to: Stage::Reserved }.into());
    }
    let (Some(build), Some(price)) = (&order.build, order.price) else {
        return order::reserve(data, store, &order.number, who);
    };
    let claims = question::alone(data, store, order, Offered { build: ChosenBuild::read(build)?, price })?;
    OrderView::new(&store.reserve(order.id, Some(order.version), &claims, who)?)
}

/// Marks modules as picked, by serial or item number, or all that wait; with the last one the order is picked.
///
/// # Errors
/// One of them is not of this order; none is picked then.
pub fn pick(store: &Store, number: &str, named: Option<&[String]>, who: &Who) -> Result<PickedView, Failure> {
    let items = named.map_or_else(|| order::to_pick(store, number), |named| Ok(named.to_vec()))?;
    let left = order::pick(store, number, &items, who)?;
    let mut order = store.order_by_number(number)?;
    if left == 0 && order.stage == Stage::Reserved {
        order = store.advance(order.id, None, Stage::Picked, "", who)?;
    }
    Ok(PickedView { picked: items.len(), left, order: OrderView::new(&order)? })
}

/// Exchanges a module at the bench.
///
/// # Errors
/// As [`order::swap`].
pub fn swap(
    data: &Data,
    store: &Store,
    number: &str,
    swap: &Swap,
    anyway: bool,
    who: &Who,
) -> Result<SwappedView, Failure> {
    let item = order::swap(data, store, number, swap, anyway, who)?;
    let order = store.order_by_number(number)?.number;
    Ok(SwappedView { order, machine: swap.machine, slot: swap.slot.clone(), item: ItemView::new(&item) })
}
