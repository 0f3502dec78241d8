//! What orders may get: the plans of their needs, searched once for orders whose need is written alike, several needs at a time.

use super::buying::Suppliers;
use super::chosen::ChosenBuild;
use super::offer;
use super::pricing::Pricing;
use super::question::Offered;
use crate::failure::Failure;
use crate::verbs::plan::{self, Searched};
use crate::world::Data;
use catalog::Input;
use domain::order::{Order, Priced, Stage};
use domain::{Day, Lot};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};
use store::Store;

/// What each order may get: its chosen build, else the plans of its need from the shelf and from what can be bought.
///
/// # Errors
/// The first order whose need or build can't be read any more, or the store's.
pub fn options(
    data: &Data,
    store: &Store,
    orders: &[Order],
    day: Day,
    pricing: &Pricing,
) -> Result<Vec<Vec<Offered>>, Failure> {
    let mut needs: Vec<&str> = Vec::new();
    let mut seen = BTreeSet::new();
    let open = orders.iter().filter(|o| chosen(o).is_none()).map(|o| o.need.as_str());
    needs.extend(open.filter(|need| seen.insert(*need)));
    let lots = if needs.is_empty() { Vec::new() } else { offer::lots(data, store)? };
    let suppliers = Suppliers::on(data, store, day)?;
    let fronts = side_by_side(&needs, |need| front(data, &lots, &suppliers, pricing, need));
    let mut fronts: BTreeMap<&str, Result<Vec<Offered>, Failure>> = needs.iter().copied().zip(fronts).collect();
    let mut of = |order: &Order| match (chosen(order), fronts.get(order.need.as_str())) {
        (Some((build, priced)), _) => Ok(vec![Offered { build: ChosenBuild::read(build)?, priced }]),
        (None, Some(Ok(front))) => Ok(front.clone()),
        (None, _) => fronts.remove(order.need.as_str()).unwrap_or_else(|| Ok(Vec::new())),
    };
    orders.iter().map(&mut of).collect()
}

/// The build that a person chose for an order, and what it comes to.
fn chosen(order: &Order) -> Option<(&str, Priced)> {
    let priced = order.price.map(|price| Priced { price, cost: order.cost });
    (order.stage == Stage::Chosen).then_some(order.build.as_deref().zip(priced)).flatten()
}

/// The plans of one need, first from the shelf, then from what can be bought; one of each that has the same in every slot.
fn front(
    data: &Data,
    lots: &[Lot],
    suppliers: &Suppliers,
    pricing: &Pricing,
    need: &str,
) -> Result<Vec<Offered>, Failure> {
    let mut bought = plan::read_text(&data.library, &Input::text("need", need))?;
    let mut from_shelf = bought.clone();
    from_shelf.lots = offer::within(data, &bought, lots.to_vec());
    bought.lots = suppliers.lots(data, &bought);
    let mut options = Vec::new();
    let mut seen = BTreeSet::new();
    for need in [from_shelf, bought] {
        let machines = need.machines;
        let searched = Searched::new(need);
        let planned = searched.show(&searched.numbered(false));
        for (view, plan) in planned.view.plans.iter().zip(&planned.plans) {
            let build = ChosenBuild::new(view, plan);
            let same: Vec<_> = build.picks.iter().map(|p| (p.slot.clone(), p.sort.clone())).collect();
            if seen.insert(same) {
                options.push(Offered { build, priced: pricing.priced(view, plan, machines)? });
            }
        }
    }
    Ok(options)
}

/// Does the same with every item on all processors; the results in the items' order.
fn side_by_side<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let worker = || {
        let mut done = Vec::new();
        while let Some((at, item)) =
            Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|at| Some((at, items.get(at)?)))
        {
            done.push((at, work(item)));
        }
        done
    };
    let count = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).min(items.len());
    let mut done: Vec<(usize, R)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..count).map(|_| scope.spawn(worker)).collect();
        let join = |w: std::thread::ScopedJoinHandle<'_, _>| w.join().unwrap_or_else(|p| std::panic::resume_unwind(p));
        workers.into_iter().flat_map(join).collect()
    });
    done.sort_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::side_by_side;

    #[test]
    fn results_come_in_the_order_of_the_items() {
        let items: Vec<u64> = (0..200).collect();
        let slow_first = |n: &u64| (0..(200 - n) * 100).fold(*n, |sum, i| sum ^ (i & 1)) & 0xff00 | n;
        assert_eq!(side_by_side(&items, slow_first), items);
        assert_eq!(side_by_side(&[] as &[u64], slow_first), [0_u64; 0]);
    }
}
