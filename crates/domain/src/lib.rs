//! The words of the trade as types: quantities, modules, processors, boards, builds, needs, findings.
//!
//! This room knows no file, no format, no clock and no serde; everything here is a value.

pub mod allocation;
pub mod board;
pub mod build;
pub mod catalog;
pub mod day;
pub mod event;
pub mod failure;
pub mod fault;
pub mod finding;
pub mod fit;
pub mod item;
pub mod module;
pub mod money;
pub mod need;
pub mod order;
pub mod processor;
pub mod processor_name;
pub mod quantity;
pub mod quote;
pub mod reading;
pub mod shop;
pub mod snapshot;
pub mod source;
pub mod stock;

pub use board::{Board, Slot, SlotAddress, SlotIndex};
pub use build::{Build, Mode};
pub use catalog::Catalog;
pub use day::{Day, Stamp};
pub use event::{ErrorEvent, ErrorPlace, Gravity};
pub use finding::{Finding, Outcome, Place, Severity};
pub use module::{Generation, Kind, Module, Organisation};
pub use money::{Currency, Money};
pub use need::Need;
pub use processor::Processor;
pub use processor_name::{Attach, ProcessorName};
pub use quantity::{Bandwidth, Capacity, DataRate, Height, Length, Watts};
pub use reading::{ModuleReading, Origin};
pub use snapshot::Snapshot;
pub use source::{Cited, Mark, SourceId};
pub use stock::{Condition, Lot};
