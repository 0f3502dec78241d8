//! The shop's stock: the shelf by model, single items, one closely, and taking in.

pub mod evidence;
pub mod intake;
pub mod item;
pub mod list;

use super::app::App;
use super::asked::Answer;
use super::shop;
pub use super::shop::number;
use store::Store;

/// The place of all these pages in the navigation.
const PLACE: &str = "/stock";

fn with_store(app: &App, answer: impl FnOnce(&Store) -> Answer) -> Answer {
    shop::with_store(app, "Stock", PLACE, answer)
}

/// A command line on the same store.
fn command(store: &Store, rest: &str) -> String {
    shop::command(store, &format!("stock {rest}"))
}
