//! The verbs of the shop: what it has, what it owes, and who gets what. They ask the store and give views.

pub mod act;
pub mod allocate;
pub mod bins;
pub mod calendar;
pub mod chosen;
pub mod count;
pub mod evidence;
mod fronts;
pub mod intake;
mod intake_list;
pub mod invented;
pub mod keep;
pub mod offer;
pub mod order;
pub mod order_acts;
pub mod order_list;
pub mod order_papers;
pub mod prices;
pub mod proposal;
mod question;
pub mod quote;
pub mod quote_paper;
pub mod scan;
pub mod stock;
pub mod supplier;
pub mod token;
