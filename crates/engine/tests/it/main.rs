//! Properties of the engine as a whole.

mod allocate;
mod allocate_many;
mod brute;
mod diagnosis;
mod errors;
mod planner;
mod random;
mod shortfall;
mod wide;
