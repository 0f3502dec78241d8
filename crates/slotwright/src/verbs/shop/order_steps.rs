//! Steps of an order at the bench: what is scanned is held against what is promised, and each step is stamped.

use super::order::{self, OrderView, PromiseView};
use crate::failure::Failure;
use domain::item::Who;
use domain::order::{Promise, Stage};
use store::Store;

/// What a scan of a module did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picked {
    /// The module's place in the order.
    pub module: PromiseView,
    /// Modules that still wait.
    pub left: u32,
    pub order: OrderView,
}

/// Marks one module as picked, named by its serial or its item number; with the last one the order is picked.
///
/// # Errors
/// It is not of this order, or was picked before.
pub fn pick(store: &Store, number: &str, name: &str, who: &Who) -> Result<Picked, Failure> {
    let order = store.order_by_number(number)?;
    let before = store.reservations(order.id)?;
    let left = order::pick(store, number, &[name.to_string()], who)?;
    let after = store.reservations(order.id)?;
    let was_held = |id| before.iter().any(|b| b.id == id && b.promise == Promise::Held);
    let picked = after.iter().find(|r| r.promise == Promise::Picked && was_held(r.id));
    let module = picked.map(order::promise).ok_or_else(|| Failure::Shop {
        why: format!("order {} was changed meanwhile", order.number),
        hint: "look at it again".to_string(),
    })?;
    let now = if left == 0 { store.advance(order.id, None, Stage::Picked, "", who)? } else { store.order(order.id)? };
    Ok(Picked { module, left, order: OrderView::new(&now)? })
}

/// Stamps a step. `version` is the one that somebody looked at, where it matters.
///
/// # Errors
/// The step does not follow, modules are not that far, or the order was changed meanwhile.
pub fn step(
    store: &Store,
    number: &str,
    version: Option<i64>,
    to: Stage,
    note: &str,
    who: &Who,
) -> Result<OrderView, Failure> {
    let order = store.order_by_number(number)?;
    if to == Stage::Cancelled && note.trim().is_empty() {
        return Err(Failure::Shop {
            why: "there is no reason given".to_string(),
            hint: "say why: it stands in the order's history".to_string(),
        });
    }
    let version = version.or(Some(order.version));
    OrderView::new(&store.advance(order.id, version, to, note.trim(), who)?)
}
