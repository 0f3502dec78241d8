//! Diagnosis: from a symptom to what is wrong, by the tests that take the fewest minutes on average.
//!
//! `symptom` and `around` say what is seen on which machine, `priors` how likely each `cause` is, `kit` which tests are at
//! hand; together they make a `model`, the question in numbers. `solve` answers it, between `bounds` that meet or are told;
//! `session` goes from answers to advice.

mod around;
pub mod boots;
pub mod bounds;
pub mod kit;
pub mod model;
pub mod priors;
pub mod session;
pub mod solve;
mod symptom;

pub use around::Around;
pub use domain::fault::{CAUSES, Cause, Outcome, Remedy, Sign};
pub use model::{Belief, History, Hypothesis, Model, Stop, Test};
pub use session::{Advice, Aim, Case, Choice, Next, Said, Setting, Step, StepError};
pub use solve::{Act, Outlook, Solver};
pub use symptom::Symptom;
