//! What was planned against what the machine reports: the plan or build of the address, or an earlier report.

mod page;
mod result;

pub use page::page;
