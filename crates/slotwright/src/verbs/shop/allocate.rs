//! `allocate`: who gets what, over all open orders at once; proposed, and accepted as a whole or order by order.

use super::allocate_words::{beside, lacks, moves, passed, proof, reached};
use super::buying::Suppliers;
use super::chosen::ChosenBuild;
use super::fronts;
use super::pricing::{Pricing, Sale};
use super::question::{self, Offered, Question, name};
use crate::failure::Failure;
use crate::world::Data;
use domain::Money;
use domain::allocation::{Earlier, EarlierOrder, Held};
use domain::item::Who;
use domain::order::{Claim, Order, OrderId, Priced, Stage};
use engine::allocate::{Answer, Short};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use store::{OrderFilter, Store};

/// A proposal for all open orders.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AllocationView {
    /// Its number in the store.
    pub number: i64,
    /// `proposed`, `accepted`, `partly accepted` or `withdrawn`.
    pub state: String,
    pub served: Vec<ServedView>,
    pub unserved: Vec<UnservedView>,
    /// What to buy so that the others can be served too.
    pub purchase: Vec<PurchaseLine>,
    pub purchase_price: String,
    /// What was reached, level by level.
    pub reached: Vec<String>,
    /// How far from the best it can be at most.
    pub proof: String,
    /// Against the proposal before this one.
    pub moves: Vec<String>,
}

/// An order that gets its modules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ServedView {
    pub order: String,
    pub order_id: i64,
    /// The order's version that this was worked out from.
    pub version: i64,
    pub customer: String,
    pub priority: u8,
    pub machines: u32,
    pub build: ChosenBuild,
    /// The order's price in cents, for all machines.
    pub price_minor: i64,
    pub currency: String,
    /// What its modules cost the shop.
    pub cost: String,
    /// The same in cents, where the price is something else.
    #[serde(default)]
    pub cost_minor: Option<i64>,
    /// 0 where each processor has modules of one part number.
    pub broken_sets: u32,
    /// Why not a cheaper build.
    pub why: Vec<String>,
    pub modules: Vec<AssignedView>,
}

/// A module for a slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct AssignedView {
    /// From 1.
    pub machine: u32,
    pub slot: String,
    pub item: i64,
}

/// An order that goes without.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct UnservedView {
    pub order: String,
    pub customer: String,
    pub priority: u8,
    /// The build that misses the fewest modules on the shelf.
    pub nearest: Option<String>,
    /// What that build lacks, and who has it.
    pub lacks: Vec<String>,
    /// The build that is cheapest to complete by buying; it may be another one than the nearest.
    pub buy_build: Option<String>,
    /// What that build takes from what the shelf has left.
    pub buy_beside: Option<String>,
    /// What to buy for it; empty where buying does not help.
    pub buy: Vec<String>,
    pub buy_price: Option<String>,
}

/// Modules to buy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct PurchaseLine {
    pub count: u32,
    pub module: String,
    /// The cheapest supplier by the price lists that hold; null where the price is the catalogue's.
    #[serde(default)]
    pub supplier: Option<String>,
    pub each: String,
    pub sum: String,
}

/// Works out who gets what and keeps it as a proposal; few things move against the newest open proposal, unless `afresh`. Orders
/// are priced, and what is to be bought, as on the day of the sale.
///
/// # Errors
/// An order's need can't be read any more, or the store's.
pub fn propose(data: &Data, store: &Store, afresh: bool, sale: Sale, who: &Who) -> Result<AllocationView, Failure> {
    let orders = waiting(store)?;
    if orders.is_empty() {
        return Err(Failure::Shop {
            why: "no order waits for modules".to_string(),
            hint: "write one down with `slotwright order new`".to_string(),
        });
    }
    let before = if afresh { None } else { newest(store)? };
    let mut asked = Vec::new();
    let day = sale.day;
    let fronts = fronts::options(data, store, &orders, day, &Pricing::on(data, store, sale)?)?;
    for (order, mut options) in orders.into_iter().zip(fronts) {
        let had = before.iter().flat_map(|b| &b.served).find(|s| s.order_id == order.id.0);
        if let (Stage::Asked, Some(had)) = (order.stage, had)
            && !options.iter().any(|o| o.build.picks == had.build.picks)
        {
            options.push(Offered { build: had.build.clone(), priced: priced(had)? });
        }
        asked.push((order, options));
    }
    let suppliers = Suppliers::on(data, store, day)?;
    let question = question::ask(data, &store.free_items()?, &asked, &suppliers)?;
    let earlier = before.as_ref().map(|b| as_earlier(b, &question));
    let answer = question::answer(&question, earlier.as_ref())?;
    let orders: Vec<Order> = asked.into_iter().map(|(order, _)| order).collect();
    let mut view = view(&question, &answer, &orders);
    let ids: Vec<OrderId> = view.served.iter().map(|s| OrderId(s.order_id)).collect();
    view.number = store.propose(&serde_json::to_string(&view)?, &ids, who)?;
    Ok(view)
}

/// Orders that wait for modules, in the order in which they go.
fn waiting(store: &Store) -> Result<Vec<Order>, Failure> {
    let mut orders = Vec::new();
    for stage in [Stage::Asked, Stage::Chosen] {
        let mut skip = 0;
        loop {
            let filter = OrderFilter { words: String::new(), stage: Some(stage), open: true, skip, most: 1000 };
            let page = store.orders(&filter)?.list;
            skip += 1000;
            let last = page.len() < 1000;
            orders.extend(page);
            if last {
                break;
            }
        }
    }
    orders.sort_by_key(|o| (o.priority, o.id));
    Ok(orders)
}

pub(super) fn priced(served: &ServedView) -> Result<Priced, Failure> {
    let currency = domain::Currency::parse(&served.currency).ok_or_else(|| Failure::Shop {
        why: format!("`{}` is no currency", served.currency),
        hint: "allocate afresh".to_string(),
    })?;
    let money = |minor| Money::from_minor(minor, currency);
    Ok(Priced { price: money(served.price_minor), cost: served.cost_minor.map(money) })
}

/// The newest proposal, where there is one.
///
/// # Errors
/// What the store holds of it can't be read.
pub fn newest(store: &Store) -> Result<Option<AllocationView>, Failure> {
    store.newest_allocation()?.map(|kept| read(&kept)).transpose()
}

/// A proposal by its number; the newest, if none is named.
///
/// # Errors
/// There is none.
pub fn show(store: &Store, number: Option<i64>) -> Result<AllocationView, Failure> {
    let kept = match number {
        Some(number) => Some(store.allocation(number)?),
        None => store.newest_allocation()?,
    };
    let kept = kept.ok_or_else(|| Failure::Shop {
        why: "there is no proposal".to_string(),
        hint: "make one with `slotwright allocate propose`".to_string(),
    })?;
    read(&kept)
}

/// Orders of a proposal that could still be accepted: nobody changed them since.
///
/// # Errors
/// The store's.
pub fn acceptable(store: &Store, view: &AllocationView) -> Result<Vec<String>, Failure> {
    if !["proposed", "partly accepted"].contains(&view.state.as_str()) {
        return Ok(Vec::new());
    }
    let waiting: BTreeSet<(OrderId, i64)> = store.waiting_of(view.number)?.into_iter().collect();
    let open = view.served.iter().filter(|s| waiting.contains(&(OrderId(s.order_id), s.version)));
    Ok(open.map(|s| s.order.clone()).collect())
}

fn read(kept: &store::Allocation) -> Result<AllocationView, Failure> {
    let mut view: AllocationView = serde_json::from_str(&kept.answer)?;
    view.number = kept.number;
    view.state.clone_from(&kept.state);
    Ok(view)
}

fn as_earlier(before: &AllocationView, question: &Question) -> Earlier {
    let numbers: BTreeMap<&str, u32> = question.sorts.iter().zip(0..).map(|(name, i)| (name.as_str(), i)).collect();
    let order = |served: &ServedView| {
        // One that is no longer waiting is told as gone.
        let Some(options) = question.options.get(&served.order_id) else {
            return Some(EarlierOrder { key: served.order_id, choice: 0, held: Vec::new() });
        };
        let choice = options.iter().position(|o| o.build.picks == served.build.picks)?;
        let mut held: BTreeMap<Held, u32> = BTreeMap::new();
        for module in &served.modules {
            let pick = served.build.picks.iter().find(|p| p.slot == module.slot)?;
            let sort = *numbers.get(pick.sort.as_str())?;
            let key = Held { machine: module.machine - 1, group: pick.socket, sort, piece: module.item, count: 1 };
            *held.entry(key).or_default() += 1;
        }
        let held = held.into_iter().map(|(held, count)| Held { count, ..held }).collect();
        Some(EarlierOrder { key: served.order_id, choice, held })
    };
    Earlier { orders: before.served.iter().filter_map(order).collect() }
}

/// Modules to buy: what, how many, for how much each, of whom.
type Bought = (String, u32, Money, Option<String>);

fn to_buy(question: &Question, offer: usize, count: u32) -> Option<Bought> {
    let seller = question.sellers.get(offer).cloned().flatten();
    let offer = question.problem.offers.get(offer)?;
    Some((name(&question.sorts, offer.sort).to_string(), count, offer.each, seller))
}

fn bought((name, count, each, seller): Bought) -> String {
    let of = seller.map_or_else(String::new, |s| format!(" from {s}"));
    format!("{count} x {name} at {each}{of}")
}

/// What an order comes to with exact modules. What a person chose keeps its price; where the shop has set no prices, it is what
/// these modules cost.
fn settled(order: &Order, offered: Priced, cost: Money) -> Priced {
    let chosen = order.stage == Stage::Chosen;
    if offered.cost.is_some() || (chosen && order.quoted) {
        return Priced { price: offered.price, cost: Some(cost) };
    }
    Priced { price: if chosen { offered.price } else { cost }, cost: None }
}

fn purchase_line((module, count, each, supplier): Bought) -> PurchaseLine {
    PurchaseLine { count, module, supplier, each: each.to_string(), sum: each.times(i64::from(count)).to_string() }
}

fn view(question: &Question, answer: &Answer, orders: &[Order]) -> AllocationView {
    let by_id: BTreeMap<i64, &Order> = orders.iter().map(|o| (o.id.0, o)).collect();
    let number = |id: i64| by_id.get(&id).map_or_else(|| id.to_string(), |o| o.number.clone());
    let short = |s: &Short| lacks(s, &question.sorts, &number);
    let served = answer.served.iter().filter_map(|s| {
        let order = by_id.get(&s.order)?;
        let options = question.options.get(&s.order)?;
        let option = options.get(s.choice)?;
        let why = s.why.iter().filter_map(|p| passed(p, options, &short));
        let modules = question::claims(&option.build, &question.sorts, &s.pieces);
        let Priced { price, cost } = settled(order, option.priced, s.cost);
        let module = |c: Claim| AssignedView { machine: c.machine, slot: c.slot, item: c.item.0 };
        Some(ServedView {
            order: order.number.clone(),
            order_id: s.order,
            version: order.version,
            customer: order.customer.clone(),
            priority: order.priority,
            machines: order.machines,
            build: option.build.clone(),
            price_minor: price.minor(),
            currency: price.currency().to_string(),
            cost: s.cost.to_string(),
            cost_minor: cost.map(Money::minor),
            broken_sets: s.broken,
            why: why.collect(),
            modules: modules.into_iter().map(module).collect(),
        })
    });
    let unserved = answer.unserved.iter().filter_map(|u| {
        let order = by_id.get(&u.order)?;
        let options = question.options.get(&u.order).map(Vec::as_slice).unwrap_or_default();
        let words = |choice: usize| options.get(choice).map(|o| o.build.words.clone());
        let lacks = if options.is_empty() {
            vec!["nothing that is known meets its need".to_string()]
        } else {
            u.short.iter().map(&short).collect()
        };
        let lines = u.buy.iter().flat_map(|b| &b.items).filter_map(|(i, n)| to_buy(question, *i, *n));
        Some(UnservedView {
            order: order.number.clone(),
            customer: order.customer.clone(),
            priority: order.priority,
            nearest: u.nearest.and_then(words),
            lacks,
            buy_build: u.buy.as_ref().and_then(|b| words(b.choice)),
            buy_beside: u.buy.as_ref().and_then(|b| beside(b, &question.sorts)),
            buy: lines.map(bought).collect(),
            buy_price: u.buy.as_ref().map(|b| b.price.to_string()),
        })
    });
    let purchase = answer.purchase.items.iter().filter_map(|(i, n)| to_buy(question, *i, *n));
    AllocationView {
        number: 0,
        state: "proposed".to_string(),
        served: served.collect(),
        unserved: unserved.collect(),
        purchase: purchase.map(purchase_line).collect(),
        purchase_price: answer.purchase.price.to_string(),
        reached: reached(answer),
        proof: proof(answer),
        moves: moves(answer, &number),
    }
}
