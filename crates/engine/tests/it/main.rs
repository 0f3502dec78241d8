//! Properties of the engine as a whole.

mod brute;
mod planner;
mod random;
mod wide;
