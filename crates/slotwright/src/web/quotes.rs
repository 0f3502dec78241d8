//! The shop's quotes: the list, one made from a plan, and one closely with its paper and versions.

pub mod list;
pub mod new;
pub mod one;

/// The place of all these pages in the navigation.
const PLACE: &str = "/quotes";
