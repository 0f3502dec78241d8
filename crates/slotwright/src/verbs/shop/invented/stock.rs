//! The invented stock: deliveries from invented suppliers, single modules and lots, some rejected by screening.

use super::super::calendar;
use super::{Chance, Days, InventedView, Wish};
use crate::failure::Failure;
use crate::world::Data;
use domain::item::{Model, NewItem, Screened};
use domain::{Condition, Module, Money};
use std::sync::Arc;
use store::{Bought, Store};

/// Modules of the catalogue, each with how often the shop has them.
const SORTS: [(&str, u32); 22] = [
    ("ddr4-rdimm-16-2rx4-2133", 6),
    ("ddr4-rdimm-16-2rx4-2400", 8),
    ("ddr4-rdimm-32-2rx4-2400", 8),
    ("ddr4-rdimm-16-2rx8-2666", 8),
    ("ddr4-rdimm-32-2rx4-2666", 12),
    ("ddr4-rdimm-64-2rx4-2666", 5),
    ("ddr4-rdimm-16-2rx8-2933", 8),
    ("ddr4-rdimm-32-2rx4-2933", 14),
    ("ddr4-rdimm-64-2rx4-2933", 9),
    ("ddr4-rdimm-16-2rx8-3200", 6),
    ("ddr4-rdimm-32-2rx4-3200", 12),
    ("ddr4-rdimm-64-2rx4-3200", 10),
    ("ddr4-lrdimm-64-4drx4-2666", 4),
    ("ddr4-lrdimm-128-4drx4-2933", 2),
    ("ddr4-udimm-8-1rx8-2666", 2),
    ("ddr4-udimm-16-2rx8-2666", 4),
    ("ddr5-rdimm-16-1rx8-4800", 4),
    ("ddr5-rdimm-32-2rx8-4800", 9),
    ("ddr5-rdimm-64-2rx4-4800", 9),
    ("ddr5-rdimm-32-2rx8-5600", 5),
    ("ddr5-rdimm-64-2rx4-5600", 6),
    ("ddr5-rdimm-96-2rx4-5600", 2),
];
/// Invented makers, each with what its part numbers begin with.
const MAKERS: [(&str, &str); 4] =
    [("Sedge Modules", "SG"), ("Rush Modules", "RU"), ("Willow Modules", "WI"), ("Alder Modules", "AL")];
const SUPPLIERS: [&str; 6] = [
    "Mill Lane Surplus",
    "North Quay Returns",
    "Old Bakery Auctions",
    "Harbour Lots",
    "Station Road Trade",
    "Brick Kiln",
];
/// Items of one transaction.
const AT_ONCE: usize = 2_000;

/// Takes it all in.
pub fn fill(
    data: &Data,
    store: &Store,
    wish: &Wish,
    chance: &mut Chance,
    days: &Days,
    view: &mut InventedView,
    told: &dyn Fn(&str, u64),
) -> Result<(), Failure> {
    let catalog = data.library.catalog();
    let sorts: Vec<(Arc<Module>, u32)> =
        SORTS.iter().filter_map(|(id, weight)| Some((Arc::clone(catalog.modules.get(*id)?), *weight))).collect();
    if sorts.len() < SORTS.len() {
        return Err(Failure::Shop {
            why: "the data lacks modules that the invented shop has".to_string(),
            hint: "invent without --data, on the data that the program carries".to_string(),
        });
    }
    let mut waiting = Vec::new();
    while view.modules < wish.modules {
        let ago = chance.range(5, 420);
        view.batches += 1;
        let bought = Bought {
            supplier: chance.of(&SUPPLIERS).to_string(),
            reference: format!("D-{:05}", view.batches),
            on: days.ago(ago),
        };
        let size = u32::try_from(chance.range(12, 90)).unwrap_or(12).min(wish.modules - view.modules);
        let mut left = size;
        while left > 0 {
            let item = item(&sorts, chance, days, ago, left, view.items);
            left -= item.quantity;
            view.items += 1;
            waiting.push((item, Some(bought.clone())));
        }
        view.modules += size;
        if waiting.len() >= AT_ONCE || view.modules >= wish.modules {
            store.take_in_bought(&std::mem::take(&mut waiting), &days.who("intake", 4, 8))?;
            told("taking modules in", u64::from(view.modules) * 700 / u64::from(wish.modules));
        }
    }
    for batch in store.batches()?.iter().filter(|b| b.id.0 % 3 != 0) {
        let until = domain::Day::from_days(batch.bought.on.days() + 365);
        store.set_warranty(batch.id, until, &format!("until {}", calendar::day(until)), &days.who("desk", 3, 9))?;
    }
    Ok(())
}

fn item(sorts: &[(Arc<Module>, u32)], chance: &mut Chance, days: &Days, ago: i64, left: u32, number: u32) -> NewItem {
    let module = chance.weighted(sorts);
    let condition = if chance.hundred(80) { Condition::Used } else { Condition::New };
    let (maker, prefix) = chance.of(&MAKERS);
    let die = module.die_density.map(|d| format!("{d} {}", chance.of(&["A", "B", "C"])));
    let mut model = Model::of(module, die);
    model.maker = Some((*maker).to_string());
    model.part_number = Some(format!("{prefix}-{}-{}", module.capacity.mib() / 1024, module.rate.mts()));
    let is_lot = chance.hundred(12);
    let quantity = if is_lot { u32::try_from(chance.range(2, 16)).unwrap_or(2).min(left) } else { 1 };
    let screened = *chance.weighted(&[(Screened::Clean, 90), (Screened::Look, 6), (Screened::Reject, 4)]);
    let screening_note = match screened {
        Screened::Look => "the label's week is after the week of the contents",
        Screened::Reject => "the checksum of the contents does not hold",
        _ => "",
    };
    NewItem {
        model,
        // The first half tells the number, so that no serial comes twice; the second is by chance.
        serial: (!is_lot).then(|| format!("{number:05X}{:03X}", chance.next() % 4096)),
        condition,
        quantity,
        batch: None,
        bin: format!("{}{}", chance.of(&["A", "B", "C", "D", "E", "F", "G", "H"]), chance.range(1, 24)),
        cost: cost(module, condition, chance),
        screened: if is_lot { Screened::Not } else { screened },
        screening_note: if is_lot { String::new() } else { screening_note.to_string() },
        made: Some((
            2018 + u16::try_from(chance.range(0, 6)).unwrap_or(0),
            u8::try_from(chance.range(1, 52)).unwrap_or(1),
        )),
        received: days.ago(ago),
        note: String::new(),
    }
}

/// The catalogue's invented price in that condition, less a margin, give or take a tenth; whole cents.
fn cost(module: &Module, condition: Condition, chance: &mut Chance) -> Money {
    let price = |c: Condition| module.prices.iter().find(|p| p.condition == c).map(|p| p.each);
    let each = price(condition).or_else(|| price(Condition::New)).or_else(|| price(Condition::Used));
    let Some(each) = each else { return Money::from_minor(10_000, super::orders::euro()) };
    let percent = chance.range(68, 84);
    Money::from_minor(each.minor() * percent / 100, each.currency())
}
