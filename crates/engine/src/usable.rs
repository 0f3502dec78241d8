//! Usable capacity under mirroring and sparing.

use crate::scene::{ChannelScene, Scene, SocketScene};
use domain::board::Usable;
use domain::{Capacity, Kind};

/// What a channel's spare ranks take: so many of its largest logical ranks.
fn spared(channel: &ChannelScene, ranks: u8) -> Capacity {
    let mut sizes: Vec<u64> = channel
        .dram()
        .flat_map(|(_, m)| {
            let n = u64::from(m.organisation.logical_ranks().max(1));
            std::iter::repeat_n(m.capacity.mib() / n, n as usize)
        })
        .collect();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    Capacity::from_mib(sizes.iter().take(usize::from(ranks)).sum())
}

/// What a mode leaves of one socket's DRAM.
pub fn socket(scene: &SocketScene, rule: Usable) -> Capacity {
    if scene.processor.is_none() {
        return Capacity::ZERO;
    }
    let whole = scene.capacity();
    match rule {
        Usable::All => whole,
        Usable::Half => Capacity::from_mib(whole.mib() / 2),
        Usable::LessShare(percent) => Capacity::from_mib(whole.mib() * (100 - u64::from(percent.min(100))) / 100),
        Usable::LessRanks(ranks) => scene.channels.iter().map(|c| c.capacity() - spared(c, ranks)).sum(),
    }
}

/// What the build's mode leaves: whole capacity where the board does not offer the mode.
pub fn rule(scene: &Scene) -> Usable {
    scene.board.mode(&scene.build.mode).map_or(Usable::All, |m| m.usable)
}

/// (installed DRAM that a processor reaches, usable part of it).
pub fn capacity(scene: &Scene) -> (Capacity, Capacity) {
    let rule = rule(scene);
    let reached = scene.sockets.iter().filter(|s| s.processor.is_some());
    (reached.clone().map(SocketScene::capacity).sum(), reached.map(|s| socket(s, rule)).sum())
}

/// Non-volatile capacity, which is never counted as DRAM.
pub fn non_volatile(scene: &Scene) -> Capacity {
    scene.modules().filter(|(_, m)| m.kind == Kind::Nonvolatile).map(|(_, m)| m.capacity).sum()
}
