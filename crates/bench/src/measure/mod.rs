//! Bandwidth and latency of memory, node by node: pinned workers with memory of their own, several runs, median and spread.
//! Bytes are those that the program moves; a store that first reads its line is not counted twice.

mod chase;
mod kernels;
mod run;
mod spread;

pub use chase::{cycle, latency};
pub use kernels::Wide;
pub use run::{Plan, Reading, Step, Stream, bandwidth, plans};
pub use spread::Spread;
