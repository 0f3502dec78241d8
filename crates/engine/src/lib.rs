//! Pure answers over the domain: rules, data rate, interleave regions, bandwidth, plans. No I/O, no clock.

pub mod rules;
pub mod scene;

pub use scene::Scene;
