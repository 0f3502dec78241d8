//! `allocate accept`: a proposal is accepted as a whole, order by order, or what is left of it.

use super::allocate::{self, AssignedView, ServedView};
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use domain::item::{ItemId, Who};
use domain::order::{Claim, OrderId};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeSet;
use store::{Assigned, Store};

/// What was accepted of a proposal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AcceptedView {
    /// The proposal's number.
    pub number: i64,
    /// `accepted`, or `partly accepted` where orders of it still wait.
    pub state: String,
    /// Orders that have their build and their modules now.
    pub orders: Vec<AcceptedOrder>,
    /// Modules that are promised to them.
    pub modules: usize,
    /// Orders that the proposal serves and that were not accepted yet.
    pub left: Vec<String>,
    /// Orders that go without; the proposal says what they lack and what to buy.
    pub without: Vec<String>,
    /// What comes next, as a sentence.
    pub next: String,
    /// That as a command line, after the program's name.
    pub next_command: String,
}

/// An order that has its modules now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AcceptedOrder {
    pub order: String,
    pub customer: String,
    /// What it gets, in a few words.
    pub build: String,
    /// For all its machines.
    pub modules: usize,
    /// For all its machines.
    pub price: MoneyView,
}

/// Accepts what is left of a proposal, or the orders that are named: builds are chosen and modules promised, all or none.
///
/// # Errors
/// An order or a module was changed meanwhile; nothing is accepted then.
pub fn accept(store: &Store, number: i64, named: &[String], who: &Who) -> Result<AcceptedView, Failure> {
    let view = allocate::show(store, Some(number))?;
    let waits = open(store, number)?;
    let mut wanted = BTreeSet::new();
    for name in named {
        let order = store.order_by_number(name)?;
        if !view.served.iter().any(|s| s.order_id == order.id.0) {
            return Err(Failure::Shop {
                why: format!("proposal {number} has no modules for order {}", order.number),
                hint: format!("`slotwright allocate show {number}` says what it lacks"),
            });
        }
        wanted.insert(order.id.0);
    }
    let take =
        |s: &&ServedView| if named.is_empty() { waits.contains(&s.order_id) } else { wanted.contains(&s.order_id) };
    let taken: Vec<&ServedView> = view.served.iter().filter(take).collect();
    let assigned = taken.iter().map(|s| assigned(s)).collect::<Result<Vec<_>, Failure>>()?;
    store.accept(number, &assigned, who)?;
    let waits = open(store, number)?;
    let first = taken.first().map_or("", |s| s.order.as_str());
    Ok(AcceptedView {
        number,
        state: store.allocation(number)?.state,
        modules: taken.iter().map(|s| s.modules.len()).sum(),
        left: view.served.iter().filter(|s| waits.contains(&s.order_id)).map(|s| s.order.clone()).collect(),
        without: view.unserved.iter().map(|u| u.order.clone()).collect(),
        next: "pick the modules of each order by its list".to_string(),
        next_command: format!("order sheet {first} pick-list"),
        orders: taken.into_iter().map(accepted).collect::<Result<_, _>>()?,
    })
}

/// Orders of a proposal that were not accepted yet.
fn open(store: &Store, number: i64) -> Result<BTreeSet<i64>, Failure> {
    let states = store.allocated(number)?;
    Ok(states.into_iter().filter(|(_, state)| state == "proposed").map(|(order, _)| order.0).collect())
}

fn accepted(served: &ServedView) -> Result<AcceptedOrder, Failure> {
    Ok(AcceptedOrder {
        order: served.order.clone(),
        customer: served.customer.clone(),
        build: served.build.words.clone(),
        modules: served.modules.len(),
        price: MoneyView::new(allocate::priced(served)?.price),
    })
}

fn assigned(served: &ServedView) -> Result<Assigned, Failure> {
    let claim = |m: &AssignedView| Claim { item: ItemId(m.item), machine: m.machine, slot: m.slot.clone() };
    Ok(Assigned {
        order: OrderId(served.order_id),
        version: served.version,
        build: served.build.write()?,
        priced: allocate::priced(served)?,
        claims: served.modules.iter().map(claim).collect(),
    })
}
