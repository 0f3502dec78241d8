//! The machine as a program sees it: its nodes, processors and free memory, and memory that this program maps for itself.

mod free;
mod map;
mod nodes;
mod page;

pub use free::{Free, meminfo, yield_first};
pub use map::{Block, Huge};
pub use nodes::{Node, last_cache, nodes, pin};
pub use page::PageMap;
