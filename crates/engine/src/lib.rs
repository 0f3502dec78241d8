//! Pure answers over the domain: rules, data rate, interleave regions, bandwidth, plans. No I/O, no clock.

pub mod allocate;
pub mod bandwidth;
pub mod compare;
pub mod contacts;
pub mod currents;
pub mod diagnose;
pub mod draft;
pub mod errors;
pub mod field;
pub mod interleave;
pub mod judge;
pub mod notation;
pub mod order;
pub mod plan;
pub mod power;
pub mod rate;
pub mod rules;
pub mod scene;
pub mod screen;
pub mod share;
pub mod shortfall;
pub mod spares;
pub mod usable;
pub mod workload;

pub use scene::Scene;
