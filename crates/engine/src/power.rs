//! Watts of a build: what the catalogue says of each module, else a plain default.

use crate::scene::Scene;
use domain::{Kind, Module, Watts};

/// Standby watts of one DRAM device (common practice, no source).
const STANDBY: f64 = 0.045;
/// Watts that a device of the rank at work adds at full use (common practice, no source).
const ACTIVE: f64 = 0.10;
/// Watts of the register or buffer (common practice, no source).
const REGISTER: f64 = 0.8;

/// Watts of a loaded module, and whether its data gives them (`true`) or the default does.
pub fn module(module: &Module) -> (Watts, bool) {
    if let Some(watts) = module.watts {
        return (watts, true);
    }
    let width = f64::from(module.organisation.width.max(1));
    let bits = 64.0 + f64::from(module.ecc_bits.unwrap_or(8));
    let per_rank = bits / width;
    let devices = per_rank * f64::from(module.organisation.logical_ranks().max(1));
    let register = if module.kind == Kind::Udimm { 0.0 } else { REGISTER };
    (Watts::from_watts(devices * STANDBY + per_rank * ACTIVE + register), false)
}

/// Watts of all modules, and whether every figure is from data.
pub fn machine(scene: &Scene) -> (Watts, bool) {
    scene.modules().map(|(_, m)| module(m)).fold((Watts::default(), true), |(w, k), (x, known)| (w + x, k && known))
}
