//! `allocate`: arguments and text.

use super::Reply;
use super::table::{next, paragraph, table};
use crate::failure::Failure;
use crate::verbs::shop::accept::{self, AcceptedOrder, AcceptedView};
use crate::verbs::shop::allocate::{self, AllocationView, ServedView, UnservedView};
use crate::verbs::shop::calendar;
use crate::verbs::shop::pricing::Sale;
use crate::world::{self, Data};
use store::Store;

/// Who gets what, over all open orders at once: most orders by priority, then least cost, matched sets, oldest stock.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// Work out a proposal; little moves against the one before.
    Propose {
        /// Regardless of the proposal before.
        #[arg(long)]
        afresh: bool,
        #[arg(long)]
        json: bool,
    },
    /// Show a proposal; the newest, if none is named.
    Show {
        #[arg(value_name = "NUMBER")]
        number: Option<i64>,
        #[arg(long)]
        json: bool,
    },
    /// Choose the builds and promise the modules of a proposal: all that is left of it, or none.
    Accept {
        #[arg(value_name = "NUMBER")]
        number: i64,
        /// Only these orders.
        #[arg(long, value_name = "ORDER")]
        order: Vec<String>,
        #[arg(long)]
        json: bool,
    },
}

/// Proposes, shows or accepts.
///
/// # Errors
/// Nothing waits, there is no such proposal, or orders or modules were changed meanwhile.
pub fn run(args: &Args, data: &Data, store: &Store) -> Result<Reply, Failure> {
    let (view, json) = match &args.act {
        Act::Propose { afresh, json } => {
            let sale = Sale { shop: None, day: calendar::of(world::today()) };
            (allocate::propose(data, store, *afresh, sale, &world::who())?, json)
        }
        Act::Show { number, json } => (allocate::show(store, *number)?, json),
        Act::Accept { number, order, json } => {
            let view = accept::accept(store, *number, order, &world::who())?;
            return Reply::of(&view, *json, false, || accepted(&view));
        }
    };
    Reply::of(&view, *json, !view.unserved.is_empty(), || text(&view))
}

fn text(view: &AllocationView) -> String {
    let mut text = format!("allocation {}: {}\n", view.number, view.state);
    text.extend(view.reached.iter().map(|r| format!("  {r}\n")));
    text.push_str(&format!("{}\n", paragraph(&view.proof, 2, 4)));
    if !view.served.is_empty() {
        let row = |s: &ServedView| {
            let sets = if s.broken_sets == 0 { "matched".to_string() } else { format!("{} broken", s.broken_sets) };
            vec![
                s.order.clone(),
                s.priority.to_string(),
                s.customer.clone(),
                s.build.words.clone(),
                s.cost.clone(),
                sets,
            ]
        };
        let header = ["order", "priority", "customer", "gets", "cost", "sets"];
        text.push_str(&format!("\n{}", table(&header, &[1, 4], view.served.iter().map(row).collect())));
        for served in view.served.iter().filter(|s| !s.why.is_empty()) {
            text.push_str(&format!("\n{}\n", served.order));
            text.extend(served.why.iter().map(|w| format!("{}\n", paragraph(&format!("- {w}"), 2, 4))));
        }
    }
    for unserved in &view.unserved {
        text.push_str(&without(unserved));
    }
    if !view.purchase.is_empty() {
        let row = |l: &allocate::PurchaseLine| {
            let from = l.supplier.clone().unwrap_or_else(|| "the catalogue's price".to_string());
            vec![l.count.to_string(), l.module.clone(), from, l.each.clone(), l.sum.clone()]
        };
        let rows = view.purchase.iter().map(row).collect();
        text.push_str(&format!("\nto buy for those, {} in all:\n", view.purchase_price));
        text.push_str(&table(&["count", "module", "from", "each", "sum"], &[0, 3, 4], rows));
    }
    if !view.moves.is_empty() {
        text.push_str("\nagainst the proposal before:\n");
        text.extend(view.moves.iter().map(|m| format!("{}\n", paragraph(&format!("- {m}"), 2, 4))));
    }
    if ["proposed", "partly accepted"].contains(&view.state.as_str()) && !view.served.is_empty() {
        let what = if view.state == "proposed" { "it" } else { "the rest" };
        text.push_str(&format!("\naccept {what}: slotwright allocate accept {}\n", view.number));
    }
    text
}

fn accepted(view: &AcceptedView) -> String {
    let mut text = format!("allocation {}: {}\n\n", view.number, view.state);
    let row = |o: &AcceptedOrder| {
        vec![o.order.clone(), o.customer.clone(), o.build.clone(), o.modules.to_string(), o.price.to_string()]
    };
    let rows = view.orders.iter().map(row).collect();
    text.push_str(&table(&["order", "customer", "gets", "modules", "price"], &[3, 4], rows));
    text.push_str(&format!("orders: {}, modules: {}\n", view.orders.len(), view.modules));
    if !view.left.is_empty() {
        let left = format!(
            "not accepted yet: {}; accept the rest with `slotwright allocate accept {}`",
            view.left.join(", "),
            view.number
        );
        text.push_str(&format!("{}\n", paragraph(&left, 0, 2)));
    }
    if !view.without.is_empty() {
        let without = format!(
            "without modules: {}; `slotwright allocate show {}` says what to buy",
            view.without.join(", "),
            view.number
        );
        text.push_str(&format!("{}\n", paragraph(&without, 0, 2)));
    }
    text.push_str(&format!("\n{}", next(&view.next, Some(&view.next_command))));
    text
}

fn without(unserved: &UnservedView) -> String {
    let mut text = format!("\n{} ({}) goes without\n", unserved.order, unserved.customer);
    if let Some(build) = &unserved.nearest {
        text.push_str(&format!("{}\n", paragraph(&format!("lacking on the shelf for {build}:"), 2, 4)));
    }
    text.extend(unserved.lacks.iter().map(|l| format!("{}\n", paragraph(&format!("- {l}"), 2, 4))));
    if let Some(price) = &unserved.buy_price {
        let build = unserved.buy_build.as_deref().unwrap_or("it");
        text.push_str(&format!("{}\n", paragraph(&format!("to buy for {build}, {price}:"), 2, 4)));
        text.extend(unserved.buy.iter().map(|b| format!("{}\n", paragraph(&format!("- {b}"), 2, 4))));
    }
    if let Some(beside) = &unserved.buy_beside {
        text.push_str(&format!("{}\n", paragraph(&format!("- beside, from the shelf: {beside}"), 2, 4)));
    }
    text
}
