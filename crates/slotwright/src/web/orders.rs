//! The shop's orders: the list, a new one, and one closely with every step as a form.

mod forms;
pub mod list;
pub mod new;
pub mod one;
mod parts;
mod plans;

/// The place of all these pages in the navigation.
const PLACE: &str = "/orders";
