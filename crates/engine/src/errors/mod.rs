//! Logged errors and counters → which module, and whether it is time to replace it. The module's SMBIOS handle names a slot
//! for certain; an address within one slot's range nearly so; anything else is told as the record counts it.

mod bucket;
mod suspects;

pub use bucket::{Level, SETTINGS, Setting, Threshold, overflow, setting};
pub use suspects::{Sureness, Suspect, by_address, suspects};
