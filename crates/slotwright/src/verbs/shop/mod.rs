//! The verbs of the shop: what it has, what it owes, and who gets what. They ask the store and give views.

pub mod calendar;
pub mod keep;
