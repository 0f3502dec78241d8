//! What runs on the machine under test: march tests and what they can find, bandwidth and latency, exercising memory.
//! It touches only memory that it has mapped itself. The only room with `unsafe`; each block says why it is sound.

mod error;
pub mod exercise;
pub mod fault;
pub mod machine;
pub mod march;
pub mod measure;

pub use error::BenchError;
