//! Boards: the list, one board as it is known, and a board written or changed from its maker's manual.

pub mod draft;
pub mod edit;
mod form;
pub mod list;
pub mod one;
