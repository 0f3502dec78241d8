//! Readers: what labels, SPD contents and machines' reports say, as values of the domain. No reader fails whole where
//! a part can be read, and none panics, whatever bytes it is given.

mod bins;
mod cards;
pub mod cper;
pub mod edac;
pub mod label;
pub mod maker;
pub mod part_number;
pub mod redfish;
pub mod sel;
pub mod serial;
pub mod smbios;
pub mod snapshot;
pub mod spd;
