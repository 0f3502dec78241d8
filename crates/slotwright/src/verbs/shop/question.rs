//! The store's orders and shelf as a question for the allocation, and its answer as modules for slots.

use super::buying::Suppliers;
use super::chosen::{ChosenBuild, sort};
use super::offer::Modules;
use crate::failure::Failure;
use crate::world::Data;
use domain::allocation::{Choice, Demand, Held, Offer, Piece, Problem};
use domain::item::{FreeItem, ItemId};
use domain::order::{Claim, Order, Priced};
use domain::{Currency, Money};
use engine::allocate::{self, Answer, Effort};
use std::collections::BTreeMap;
use store::Store;

/// A question, with the names of what it counts.
pub struct Question {
    pub problem: Problem,
    /// By sort.
    pub sorts: Vec<String>,
    /// By order, its options.
    pub options: BTreeMap<i64, Vec<Offered>>,
    /// By offer of the problem, who sells it; `None` for the catalogue.
    pub sellers: Vec<Option<String>>,
}

/// An option of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offered {
    pub build: ChosenBuild,
    pub priced: Priced,
}

struct Names(Vec<String>, BTreeMap<String, u32>);

impl Names {
    fn number(&mut self, name: &str) -> u32 {
        if let Some(known) = self.1.get(name) {
            return *known;
        }
        let number = u32::try_from(self.0.len()).unwrap_or(u32::MAX);
        self.0.push(name.to_string());
        self.1.insert(name.to_string(), number);
        number
    }
}

/// The shelf and these orders with these options as a question. Modules whose label can't be read stay out.
pub fn ask(
    data: &Data,
    free: &[FreeItem],
    orders: &[(Order, Vec<Offered>)],
    suppliers: &Suppliers,
) -> Result<Question, Failure> {
    let prices = orders.iter().flat_map(|(_, options)| options).map(|o| o.priced.price);
    let amounts = free.iter().map(|f| f.cost).chain(prices);
    let currency = amounts.map(Money::currency).next().ok_or_else(|| Failure::Shop {
        why: "there are no free modules and no plans to buy any".to_string(),
        hint: "take modules in, or look at the needs of the orders".to_string(),
    })?;
    let mut known = Modules::new(data.library.catalog());
    let (mut sorts, mut parts, mut dies) = (names(), names(), names());
    let mut stock = Vec::new();
    for item in free {
        let Some(module) = known.get(&item.label) else { continue };
        stock.push(Piece {
            key: item.id.0,
            sort: sorts.number(&sort(&module, item.condition)),
            // A part number without a die of its own stands for one: a part has one die in a question.
            part: parts.number(&format!("{}|{}|{}", item.label, item.part_number, item.die)),
            die: dies.number(&item.die),
            cost: item.cost,
            received: item.received.days(),
            count: item.count,
        });
    }
    let mut asked = Vec::new();
    for (order, options) in orders {
        let choice = |option: &Offered| {
            let mut counts: BTreeMap<(u16, u32), u32> = BTreeMap::new();
            for pick in &option.build.picks {
                *counts.entry((pick.socket, sorts.number(&pick.sort))).or_default() += 1;
            }
            let demand = |((group, sort), count): ((u16, u32), u32)| Demand { group, sort, count };
            Choice { other_cost: Money::from_minor(0, currency), demands: counts.into_iter().map(demand).collect() }
        };
        asked.push(domain::allocation::Order {
            key: order.id.0,
            priority: order.priority,
            machines: order.machines,
            options: options.iter().map(choice).collect(),
        });
    }
    let (offers, sellers) = offers(data, &sorts, currency, suppliers).into_iter().unzip();
    let options = orders.iter().map(|(o, options)| (o.id.0, options.clone())).collect();
    Ok(Question { problem: Problem { currency, orders: asked, stock, offers }, sorts: sorts.0, options, sellers })
}

fn names() -> Names {
    Names(Vec::new(), BTreeMap::new())
}

/// What can be bought of the sorts that are asked for, at the least price: of a supplier, else as the catalogue has it.
fn offers(data: &Data, sorts: &Names, currency: Currency, suppliers: &Suppliers) -> Vec<(Offer, Option<String>)> {
    let mut cheapest: BTreeMap<u32, Money> = BTreeMap::new();
    for module in data.library.catalog().modules.values() {
        for price in &module.prices {
            let Some(sort) = sorts.1.get(&sort(module, price.condition)) else { continue };
            if price.each.currency() == currency {
                let least = cheapest.entry(*sort).or_insert(price.each);
                *least = (*least).min(price.each);
            }
        }
    }
    let bought = sorts.1.iter().filter_map(|(name, number)| {
        let of_supplier = suppliers.cheapest(name, currency).map(|(each, supplier)| (each, Some(supplier.to_string())));
        let (each, seller) = of_supplier.or_else(|| cheapest.get(number).map(|each| (*each, None)))?;
        Some((Offer { sort: *number, each, limit: None }, seller))
    });
    let mut bought: Vec<_> = bought.collect();
    bought.sort_by_key(|(offer, _)| offer.sort);
    bought
}

/// Answers a question.
pub fn answer(question: &Question, earlier: Option<&domain::allocation::Earlier>) -> Result<Answer, Failure> {
    allocate::allocate(&question.problem, earlier, Effort::default())
        .map_err(|e| Failure::Shop { why: e.to_string(), hint: e.hint().to_string() })
}

/// Modules for the slots of a build, machine by machine; within a processor and sort in the order of the slots.
pub fn claims(build: &ChosenBuild, sorts: &[String], pieces: &[Held]) -> Vec<Claim> {
    let mut hands: BTreeMap<(u32, u16, &str), Vec<i64>> = BTreeMap::new();
    for held in pieces {
        let Some(name) = sorts.get(held.sort as usize) else { continue };
        let hand = hands.entry((held.machine, held.group, name)).or_default();
        hand.extend(std::iter::repeat_n(held.piece, held.count as usize));
    }
    let machines = pieces.iter().map(|p| p.machine).max().map_or(0, |m| m + 1);
    let mut claims = Vec::new();
    for machine in 0..machines {
        for pick in &build.picks {
            let hand = hands.get_mut(&(machine, pick.socket, pick.sort.as_str()));
            if let Some(piece) = hand.filter(|h| !h.is_empty()).map(|h| h.remove(0)) {
                claims.push(Claim { item: ItemId(piece), machine: machine + 1, slot: pick.slot.clone() });
            }
        }
    }
    claims
}

/// Exact modules for one order alone.
///
/// # Errors
/// What is free does not suffice.
pub fn alone(data: &Data, store: &Store, order: &Order, option: Offered) -> Result<Vec<Claim>, Failure> {
    let free = store.free_items()?;
    let build = option.build.clone();
    // Nothing is bought for one order alone, so that no supplier is asked.
    let question = ask(data, &free, &[(order.clone(), vec![option])], &Suppliers::default())?;
    let answer = answer(&question, None)?;
    match answer.served.first() {
        Some(served) => Ok(claims(&build, &question.sorts, &served.pieces)),
        None => {
            let short = answer.unserved.first().map_or_else(Vec::new, |u| u.short.clone());
            let words: Vec<String> = short
                .iter()
                .map(|s| format!("{} of {} {}", s.missing(), s.needed, name(&question.sorts, s.sort)))
                .collect();
            Err(Failure::Shop {
                why: format!("order {} can't be reserved: the shelf lacks {}", order.number, words.join(", ")),
                hint: "choose another plan, take modules in, or let an allocation weigh all orders".to_string(),
            })
        }
    }
}

/// The name of a sort.
pub fn name(sorts: &[String], sort: u32) -> &str {
    sorts.get(sort as usize).map_or("", String::as_str)
}
