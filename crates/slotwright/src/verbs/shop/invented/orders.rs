//! The invented orders: most wait for modules, some are on their way through the shop, some are closed.

use super::{Chance, Days, InventedView, Wish};
use crate::failure::Failure;
use crate::verbs::shop::evidence::{self, File};
use crate::verbs::shop::order::{self, Asked};
use crate::verbs::shop::pricing::Sale;
use crate::verbs::shop::quote::{self, Ordering};
use crate::verbs::shop::quote_make::{self, Offer, Saw};
use crate::verbs::shop::{order_acts, prices, supplier};
use crate::world::Data;
use domain::failure::FailureId;
use domain::item::{ItemState, Search};
use domain::order::Stage;
use domain::{Currency, Day};
use store::{Sending, Store, Terms};

/// (board, processor, sockets, kind, capacities in GiB)
type Machine = (&'static str, &'static str, usize, &'static str, &'static [u32]);

const MACHINES: [Machine; 8] = [
    ("dunlin-2s6", "ddr4-6ch-2933", 2, "RDIMM", &[192, 384, 750, 768]),
    ("dunlin-2s6", "ddr4-6ch-2666", 2, "RDIMM", &[192, 384]),
    ("curlew-2s8", "ddr4-8ch-3200", 2, "RDIMM", &[256, 512, 1024]),
    ("greenshank-1s8", "ddr4-8ch-3200", 1, "RDIMM", &[128, 256, 512]),
    ("redshank-2s4", "ddr4-4ch-2400", 2, "RDIMM", &[128, 256]),
    ("sanderling-1s4", "ddr4-4ch-2400", 1, "RDIMM", &[64, 128]),
    ("whimbrel-2s8-ddr5", "ddr5-8ch-4800", 2, "RDIMM", &[512, 1024]),
    ("avocet-1s12", "ddr5-12ch-4800", 1, "RDIMM", &[384, 768]),
];
/// Invented customers: what each is, and a number.
const CUSTOMERS: [&str; 8] = ["School", "Clinic", "Bakery", "Workshop", "Library", "Studio", "Museum", "Depot"];
/// Of how many orders at most the way through the shop is walked; each is planned from the shelf.
const WALKED_MOST: u32 = 40;

/// The euro, in which all prices of the demo are.
pub fn euro() -> Currency {
    Currency::parse("EUR").expect("EUR is a currency")
}

/// Writes them down, and walks some of them on.
pub fn fill(
    data: &Data,
    store: &Store,
    wish: &Wish,
    chance: &mut Chance,
    days: &mut Days,
    view: &mut InventedView,
    told: &dyn Fn(&str, u64),
) -> Result<(), Failure> {
    margins(store, days)?;
    let walked = (wish.orders * 45 / 100).min(WALKED_MOST);
    for number in 0..wish.orders {
        let ago = chance.range(1, 30);
        let due = days.today.days() + chance.range(2, 40);
        let (need, customer) = (need(chance), customer(chance));
        let priority = *chance.weighted(&[(1_u8, 10), (3, 25), (5, 50), (7, 15)]);
        let asked = Asked { need: &need, customer: &customer, priority, due: Some(Day::from_days(due)) };
        let made = order::new(data, store, &asked, &days.who("desk", ago, 9))?;
        view.orders += 1;
        if number < walked {
            walk(data, store, &made.number, number, ago, chance, days)?;
        }
        told("writing orders down", 700 + u64::from(number) * 200 / u64::from(wish.orders));
    }
    quotes(data, store, wish, chance, days, view)?;
    failures(store, chance, days, view)
}

fn margins(store: &Store, days: &Days) -> Result<(), Failure> {
    for (class, percent) in [("used", "45"), ("new", "22"), ("new ddr5", "18")] {
        prices::margin(store, class, percent, days.ago(400), &days.who("desk", 400, 9))?;
    }
    Ok(())
}

fn customer(chance: &mut Chance) -> String {
    format!("{} {}", chance.of(&CUSTOMERS), chance.range(1, 60))
}

fn need(chance: &mut Chance) -> String {
    let (board, processor, sockets, kind, capacities) = *chance.of(&MACHINES);
    let capacity = chance.of(capacities);
    let machines = *chance.weighted(&[(1_u32, 60), (2, 25), (4, 15)]);
    let processors = vec![format!("\"{processor}\""); sockets].join(", ");
    format!(
        "board = \"{board}\"\nprocessors = [{processors}]\nabout = \"{capacity} GB\"\nmachines = {machines}\n\
         modules = {{ kinds = [\"{kind}\"] }}\n"
    )
}

/// How far the orders that are walked go: each number its own way, so that every stage is there.
fn goal(number: u32) -> Stage {
    const GOALS: [Stage; 9] = [
        Stage::Reserved,
        Stage::Shipped,
        Stage::Picked,
        Stage::Chosen,
        Stage::Built,
        Stage::Verified,
        Stage::Reserved,
        Stage::Cancelled,
        Stage::Shipped,
    ];
    GOALS[number as usize % GOALS.len()]
}

fn walk(
    data: &Data,
    store: &Store,
    number: &str,
    nth: u32,
    ago: i64,
    chance: &mut Chance,
    days: &Days,
) -> Result<(), Failure> {
    let searched = order::plans(data, store, number)?;
    if searched.front_size() == 0 {
        // The shelf has nothing for it: it waits like the others.
        return Ok(());
    }
    let goal = goal(nth);
    let mut left = ago;
    let mut who = |name: &str, hour: i64| {
        left = (left - chance.range(0, 2)).max(0);
        days.who(name, left, hour)
    };
    let asked = store.order_by_number(number)?;
    let id = asked.id;
    order_acts::choose(
        data,
        store,
        &asked,
        (1, None),
        Sale { shop: None, day: who("desk", 10).at.day() },
        &who("desk", 10),
    )?;
    for stage in [Stage::Reserved, Stage::Picked, Stage::Built, Stage::Verified, Stage::Shipped] {
        let now = store.order(id)?.stage;
        if goal == Stage::Cancelled && now == Stage::Reserved {
            store.advance(id, None, Stage::Cancelled, "the customer took it back", &who("desk", 11))?;
        }
        if now == goal || goal == Stage::Cancelled && now != Stage::Chosen {
            break;
        }
        match stage {
            Stage::Reserved => drop(order_acts::reserve(data, store, &store.order(id)?, &who("desk", 11))?),
            Stage::Picked => drop(order_acts::pick(store, number, None, None, &who("shelf", 12))?),
            _ => drop(store.advance(id, None, stage, "", &who("bench", 15))?),
        }
    }
    Ok(())
}

fn quotes(
    data: &Data,
    store: &Store,
    wish: &Wish,
    chance: &mut Chance,
    days: &Days,
    view: &mut InventedView,
) -> Result<(), Failure> {
    // Planning takes long: after these, customers ask again for what they were quoted before.
    const PLANNED: u32 = 12;
    for nth in 0..wish.orders / 5 {
        if nth >= PLANNED {
            let offer = store.quote(&format!("{}", nth % PLANNED + 1), None)?.offer;
            store.new_quote(&offer, &days.who("desk", 0, 12))?;
            view.quotes += 1;
            continue;
        }
        let (need, customer) = (need(chance), customer(chance));
        let offer = Offer {
            need: &need,
            customer: &customer,
            plan: 1,
            shop: None,
            valid_days: Some(14 + u16::try_from(nth).unwrap_or(0)),
            from_stock: false,
            today: wish.today,
        };
        let made = quote_make::new(data, store, offer, Saw::default(), &days.who("desk", 0, 9))?.quote;
        view.quotes += 1;
        match nth % 6 {
            2 => drop(store.withdraw_quote(
                &made.number,
                None,
                "the customer asked for more memory",
                &days.who("desk", 0, 10),
            )?),
            4 => {
                let who = days.who("desk", 0, 11);
                let terms = Terms { priority: 5, due: None, day: who.at.day() };
                quote::order(
                    data,
                    store,
                    (&made.number, None),
                    Ordering { terms, anyway: true, today: terms.day },
                    &who,
                )?;
                view.orders += 1;
            }
            _ => {}
        }
    }
    Ok(())
}

fn failures(store: &Store, chance: &mut Chance, days: &Days, view: &mut InventedView) -> Result<(), Failure> {
    const REASONS: [&str; 4] = [
        "corrected errors in one bank, in two slots",
        "not seen in any slot, contacts cleaned",
        "half of its capacity is missing",
        "stops the start, alone in the first slot",
    ];
    let shelf = Search { state: Some(ItemState::Shelf), most: 60, ..Search::default() };
    let free: Vec<_> = store.items(&shelf)?.list.into_iter().filter(|i| i.free() > 0).collect();
    for (nth, item) in free.iter().step_by(7).take(8).enumerate() {
        let reason = *chance.of(&REASONS);
        let record = format!("bench 1: item {}: {reason}\n", item.id);
        let file = File { name: "record.txt", bytes: record.as_bytes() };
        let failed = evidence::fail(store, item.id, reason, Some(file), &days.who("bench", 2, 14))?;
        view.failures += 1;
        if nth % 2 == 0 {
            let sending = Sending {
                failures: vec![FailureId(failed.failure)],
                reference: format!("R-{:04}", 2200 + nth),
                note: String::new(),
                late: true,
            };
            supplier::send(store, &sending, &days.who("desk", 1, 16))?;
        }
        if nth % 4 == 0 {
            supplier::close(store, failed.failure, "credited", "", &days.who("desk", 0, 9))?;
        }
    }
    Ok(())
}
