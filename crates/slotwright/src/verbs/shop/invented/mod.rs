//! An invented shop: stock, orders, quotes and failures, the same for the same seed, to look at and to measure with.

mod chance;
mod orders;
mod stock;

use super::calendar;
use crate::failure::Failure;
use crate::world::Data;
use chance::Chance;
use domain::item::{Search, Who};
use domain::{Day, Stamp};
use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;
use store::Store;

/// How much is invented.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// Modules in all, those of lots counted singly.
    pub modules: u32,
    pub orders: u32,
    pub seed: u64,
    /// The day on which the shop is looked at; all that happened, happened before.
    pub today: Date,
}

/// What was invented.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct InventedView {
    pub modules: u32,
    pub items: u32,
    pub batches: u32,
    pub orders: u32,
    pub quotes: u32,
    pub failures: u32,
    /// The seed; the same one makes the same shop.
    pub seed: u64,
}

/// Fills an empty store with an invented shop.
///
/// # Errors
/// The store holds something already, or the store's.
pub fn fill(data: &Data, store: &Store, wish: &Wish, told: &dyn Fn(&str, u64)) -> Result<InventedView, Failure> {
    let any = store.items(&Search { most: 1, ..Search::default() })?;
    let orders =
        store.orders(&store::OrderFilter { words: String::new(), stage: None, open: false, skip: 0, most: 1 })?;
    if any.found > 0 || orders.found > 0 {
        return Err(Failure::Shop {
            why: format!("the store {} holds a shop already", store.place()),
            hint: "name a new file with --store: an invented shop is never mixed with a real one".to_string(),
        });
    }
    let mut chance = Chance::new(wish.seed);
    let mut days = Days { today: calendar::of(wish.today) };
    let mut view =
        InventedView { modules: 0, items: 0, batches: 0, orders: 0, quotes: 0, failures: 0, seed: wish.seed };
    stock::fill(data, store, wish, &mut chance, &days, &mut view, told)?;
    orders::fill(data, store, wish, &mut chance, &mut days, &mut view, told)?;
    Ok(view)
}

/// Who does what, and when.
struct Days {
    today: Day,
}

impl Days {
    fn ago(&self, days: i64) -> Day {
        Day::from_days(self.today.days() - days)
    }
    /// Somebody of the shop at an hour of the day so many days ago.
    fn who(&self, name: &str, ago: i64, hour: i64) -> Who {
        Who { name: name.to_string(), at: Stamp::from_seconds(self.ago(ago).days() * 86_400 + hour * 3600) }
    }
}
