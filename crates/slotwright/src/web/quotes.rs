//! The shop's quotes: the list, one made from a plan, and one closely with its paper and versions; and what modules are sold at.

pub mod list;
pub mod new;
pub mod one;
pub mod prices;

/// The place of all these pages in the navigation.
const PLACE: &str = "/quotes";
