//! Readers: what labels, SPD dumps and machine listings say, as values of the domain.

pub mod label;
