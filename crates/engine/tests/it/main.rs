//! Properties of the engine as a whole.

mod brute;
mod diagnosis;
mod planner;
mod random;
mod wide;
