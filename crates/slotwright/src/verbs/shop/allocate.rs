//! `allocate`: who gets what, over all open orders at once; proposed, and accepted as a whole or order by order.

use super::chosen::ChosenBuild;
use super::fronts;
use super::question::{self, Offered, Question, name};
use crate::failure::Failure;
use crate::world::Data;
use domain::Money;
use domain::allocation::{Earlier, EarlierOrder, Held};
use domain::item::{ItemId, Who};
use domain::order::{Claim, Order, OrderId, Stage};
use engine::allocate::{Answer, Buy, Change, Passed, Proof, Reason, Short};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use store::{Assigned, OrderFilter, Store};

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
    pub each: String,
    pub sum: String,
}

/// Works out who gets what and keeps it as a proposal; few things move against the newest open proposal, unless `afresh`.
///
/// # Errors
/// An order's need can't be read any more, or the store's.
pub fn propose(data: &Data, store: &Store, afresh: bool, who: &Who) -> Result<AllocationView, Failure> {
    let orders = waiting(store)?;
    if orders.is_empty() {
        return Err(Failure::Shop {
            why: "no order waits for modules".to_string(),
            hint: "write one down with `slotwright order new`".to_string(),
        });
    }
    let before = if afresh { None } else { newest(store)? };
    let mut asked = Vec::new();
    let fronts = fronts::options(data, store, &orders)?;
    for (order, mut options) in orders.into_iter().zip(fronts) {
        let had = before.iter().flat_map(|b| &b.served).find(|s| s.order_id == order.id.0);
        if let (Stage::Asked, Some(had)) = (order.stage, had)
            && !options.iter().any(|o| o.build.picks == had.build.picks)
        {
            options.push(Offered { build: had.build.clone(), price: price(had)? });
        }
        asked.push((order, options));
    }
    let question = question::ask(data, &store.free_items()?, &asked)?;
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

fn price(served: &ServedView) -> Result<Money, Failure> {
    let currency = domain::Currency::parse(&served.currency).ok_or_else(|| Failure::Shop {
        why: format!("`{}` is no currency", served.currency),
        hint: "allocate afresh".to_string(),
    })?;
    Ok(Money::from_minor(served.price_minor, currency))
}

fn newest(store: &Store) -> Result<Option<AllocationView>, Failure> {
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

fn read(kept: &store::Allocation) -> Result<AllocationView, Failure> {
    let mut view: AllocationView = serde_json::from_str(&kept.answer)?;
    view.number = kept.number;
    view.state.clone_from(&kept.state);
    Ok(view)
}

/// Accepts a proposal as a whole, or for the orders that are named: builds are chosen and modules promised, all or none.
///
/// # Errors
/// An order or a module was changed meanwhile; nothing is accepted then.
pub fn accept(store: &Store, number: i64, named: &[String], who: &Who) -> Result<AllocationView, Failure> {
    let view = show(store, Some(number))?;
    let mut wanted = Vec::new();
    for name in named {
        wanted.push(store.order_by_number(name)?.id.0);
    }
    let chosen = view.served.iter().filter(|s| wanted.is_empty() || wanted.contains(&s.order_id));
    let assigned = chosen.map(assigned).collect::<Result<Vec<_>, Failure>>()?;
    if let Some(missing) = wanted.iter().find(|w| !assigned.iter().any(|a| a.order.0 == **w)) {
        return Err(Failure::Shop {
            why: format!("proposal {number} has no modules for order {}", store.order(OrderId(*missing))?.number),
            hint: format!("`slotwright allocate show {number}` says what it lacks"),
        });
    }
    store.accept(number, &assigned, who)?;
    show(store, Some(number))
}

fn assigned(served: &ServedView) -> Result<Assigned, Failure> {
    let claim = |m: &AssignedView| Claim { item: ItemId(m.item), machine: m.machine, slot: m.slot.clone() };
    Ok(Assigned {
        order: OrderId(served.order_id),
        version: served.version,
        build: served.build.write()?,
        price: price(served)?,
        claims: served.modules.iter().map(claim).collect(),
    })
}

fn as_earlier(before: &AllocationView, question: &Question) -> Earlier {
    let numbers: BTreeMap<&str, u32> = question.sorts.iter().zip(0..).map(|(name, i)| (name.as_str(), i)).collect();
    let order = |served: &ServedView| {
        let options = question.options.get(&served.order_id)?;
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
        // What a person chose keeps its price; else it is what the modules cost.
        let price = if order.stage == Stage::Chosen { option.price } else { s.cost };
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
            broken_sets: s.broken,
            why: why.collect(),
            modules: modules.into_iter().map(module).collect(),
        })
    });
    let offer = |index: usize, count: u32| {
        let offer = question.problem.offers.get(index)?;
        Some((name(&question.sorts, offer.sort).to_string(), count, offer.each))
    };
    let unserved = answer.unserved.iter().filter_map(|u| {
        let order = by_id.get(&u.order)?;
        let options = question.options.get(&u.order).map(Vec::as_slice).unwrap_or_default();
        let words = |choice: usize| options.get(choice).map(|o| o.build.words.clone());
        let lacks = if options.is_empty() {
            vec!["nothing that is known meets its need".to_string()]
        } else {
            u.short.iter().map(&short).collect()
        };
        let lines = u.buy.iter().flat_map(|b| &b.items).filter_map(|(i, n)| offer(*i, *n));
        Some(UnservedView {
            order: order.number.clone(),
            customer: order.customer.clone(),
            priority: order.priority,
            nearest: u.nearest.and_then(words),
            lacks,
            buy_build: u.buy.as_ref().and_then(|b| words(b.choice)),
            buy_beside: u.buy.as_ref().and_then(|b| beside(b, &question.sorts)),
            buy: lines.map(|(name, count, each)| format!("{count} x {name} at {each}")).collect(),
            buy_price: u.buy.as_ref().map(|b| b.price.to_string()),
        })
    });
    let purchase = answer.purchase.items.iter().filter_map(|(i, n)| offer(*i, *n));
    let line = |(module, count, each): (String, u32, Money)| PurchaseLine {
        count,
        module,
        each: each.to_string(),
        sum: each.times(i64::from(count)).to_string(),
    };
    AllocationView {
        number: 0,
        state: "proposed".to_string(),
        served: served.collect(),
        unserved: unserved.collect(),
        purchase: purchase.map(line).collect(),
        purchase_price: answer.purchase.price.to_string(),
        reached: reached(answer),
        proof: proof(answer),
        moves: moves(answer, &number),
    }
}

/// Why not a cheaper option; that the shelf has none of a sort at all is no news.
fn passed(passed: &Passed, options: &[Offered], short: &impl Fn(&Short) -> String) -> Option<String> {
    let words = options.get(passed.choice).map_or("", |o| o.build.words.as_str());
    let reason = match &passed.reason {
        Reason::Missing(shorts) if shorts.iter().any(|s| s.free == 0 && s.taken.is_empty()) => return None,
        Reason::Missing(shorts) => shorts.iter().map(short).collect::<Vec<_>>().join("; "),
        Reason::Dearer(by) if by.minor() == 0 => "it would cost the same in modules".to_string(),
        Reason::Dearer(by) => format!("the cheap modules are with other orders, it would cost {by} more"),
    };
    Some(format!("not {words}: {reason}"))
}

/// Orders that a shortage names: those that took the most. In a large shop hundreds share a sort.
const TAKERS_MOST: usize = 5;

fn lacks(short: &Short, sorts: &[String], number: &impl Fn(i64) -> String) -> String {
    let (named, others) = short.taken.split_at(short.taken.len().min(TAKERS_MOST));
    let mut taken: Vec<String> = named.iter().map(|(order, n)| format!("{n} went to {}", number(*order))).collect();
    if !others.is_empty() {
        taken.push(format!("{} to {} orders more", others.iter().map(|(_, n)| n).sum::<u32>(), others.len()));
    }
    let taken = if taken.is_empty() { String::new() } else { format!(" ({})", taken.join(", ")) };
    format!("{} of {} {} missing{taken}", short.missing(), short.needed, name(sorts, short.sort))
}

/// What a purchase takes from the shelf besides, where it does.
fn beside(buy: &Buy, sorts: &[String]) -> Option<String> {
    let all: Vec<String> = buy.from_stock.iter().map(|(sort, n)| format!("{n} x {}", name(sorts, *sort))).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

fn reached(answer: &Answer) -> Vec<String> {
    let levels = &answer.levels;
    let tally =
        levels.served.iter().map(|t| format!("priority {}: {} of {} orders served", t.priority, t.served, t.asked));
    let rest = [format!("modules for {}", levels.cost), format!("broken sets: {}", levels.broken)];
    tally.chain(rest).collect()
}

fn proof(answer: &Answer) -> String {
    let bounds = &answer.bounds;
    match answer.proof {
        Proof::Complete => "proved best at all four levels: orders by priority, cost, sets, age".to_string(),
        Proof::Cost => {
            "proved: no more orders can be served, and none for less; sets and age may be better".to_string()
        }
        Proof::Served => {
            format!("proved: no more orders can be served; as many can't cost less than {}", bounds.cost)
        }
        Proof::Open => {
            let most: Vec<String> =
                bounds.served.iter().map(|t| format!("{} of priority {}", t.served, t.priority)).collect();
            format!("at most {} can be served; the cost bound is {}", most.join(", "), bounds.cost)
        }
    }
}

fn moves(answer: &Answer, number: &impl Fn(i64) -> String) -> Vec<String> {
    let Some(moves) = &answer.moves else { return Vec::new() };
    let moved = moves.orders.iter().map(|m| {
        let what = match m.what {
            Change::Came => "is served now",
            Change::Left => "is not served any more",
            Change::Gone => "is no longer waiting",
            Change::Choice => "gets another build",
            Change::Modules => "gets other modules",
        };
        format!("order {} {what}", number(m.order))
    });
    let free: Vec<u32> = moves.free.served.iter().map(|t| t.served).collect();
    let reached: Vec<u32> = answer.levels.served.iter().map(|t| t.served).collect();
    let afresh = (free > reached).then(|| {
        let all: Vec<String> =
            moves.free.served.iter().map(|t| format!("{} of priority {}", t.served, t.priority)).collect();
        format!("worked out afresh, {} would be served, and more would move", all.join(", "))
    });
    moved.chain(afresh).collect()
}
