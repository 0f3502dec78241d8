//! Diagnosis: from a symptom to what is wrong, by the tests that take the fewest minutes on average.
//!
//! `model` is the question in numbers; `solve` answers it exactly, `ahead` with a bound where that would take too long.

pub mod ahead;
pub mod boots;
pub mod bounds;
pub mod model;
pub mod solve;

pub use model::{Belief, History, Hypothesis, Model, Stop, Test};
pub use solve::{Act, Solver};
