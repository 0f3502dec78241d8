//! What the rules on rate bins need: what the platform would run, and the slowest and fastest bin present.

use crate::rate;
use crate::scene::Scene;
use domain::DataRate;

/// Rates of a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rates {
    /// What processors and board allow what is fitted, bins aside: the lowest of all channels.
    pub limit: DataRate,
    pub slowest: DataRate,
    pub fastest: DataRate,
}

/// The rates of all DRAM that a processor reaches; `None` where there is none, or a module that no rate is known for.
pub fn of(scene: &Scene) -> Option<Rates> {
    let mut rates: Option<Rates> = None;
    for socket in &scene.sockets {
        let Some(processor) = socket.processor else {
            continue;
        };
        for channel in &socket.channels {
            for (_, module) in channel.dram() {
                let limit = rate::module_limit(processor, scene.board, module, channel.count())?;
                let so_far = rates.unwrap_or(Rates { limit, slowest: module.rate, fastest: module.rate });
                rates = Some(Rates {
                    limit: so_far.limit.min(limit),
                    slowest: so_far.slowest.min(module.rate),
                    fastest: so_far.fastest.max(module.rate),
                });
            }
        }
    }
    rates
}
