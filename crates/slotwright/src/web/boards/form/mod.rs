//! The form of a board file: fields read out of its text, and what a person changed in them put back into it.

mod cell;
pub mod faults;
pub mod lay;
mod parts;
pub mod show;
pub mod take;
