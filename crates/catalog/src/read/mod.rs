//! Shapes into domain values: names looked up, quantities parsed, figures checked against each other.

pub(crate) mod amounts;
pub(crate) mod board;
pub(crate) mod build;
mod chart;
mod layout;
mod lots;
mod mode;
pub(crate) mod module;
pub(crate) mod names;
pub(crate) mod need;
pub(crate) mod outcomes;
pub(crate) mod processor;
mod ruling;
pub(crate) mod shop;
pub(crate) mod stock;
