//! Slot maps of hand-made boards: places, text that fits and is escaped, states that differ without colour.

mod boards;
mod chart;
mod hostile;
mod page;
mod paper;
mod places;
mod states;
mod words;
