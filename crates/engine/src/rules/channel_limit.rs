//! The shared check behind the rules on ranks and loads in a channel.

use super::report::{Told, channel_name, channel_place, cite, plural};
use crate::scene::{ChannelScene, Scene};
use domain::Finding;
use domain::board::ChannelRankLimit;

/// Finds channels that hold more of `noun` than any limit row for one of their kinds allows; the lowest row counts.
pub fn over_limit(
    rule: &'static str,
    scene: &Scene,
    found: &mut Vec<Finding>,
    noun: &str,
    count: fn(&ChannelScene) -> u16,
    limit: fn(&ChannelRankLimit) -> Option<u8>,
) {
    for channel in scene.channels().filter(|c| !c.modules.is_empty()) {
        let holds = count(channel);
        let rows = scene.board.channel_ranks.iter();
        let broken = rows
            .filter(|row| limit(row).is_some_and(|most| holds > u16::from(most)))
            .filter(|row| channel.modules.iter().any(|(_, m)| m.kind == row.kind))
            .min_by_key(|row| (row.severity, limit(row)));
        let Some(row) = broken else { continue };
        let most = limit(row).unwrap_or(0);
        let held = plural(usize::from(holds), noun);
        let evidence = format!("{held}, where a channel takes {most} of {} modules", row.kind);
        let evidence = cite(&evidence, &row.source, row.mark);
        let name = channel_name(scene, channel);
        let advice = format!("take modules out of {name}, or fit some with fewer {noun}s");
        found.push(Told::new(row.severity, row.outcome, evidence, advice).at(rule, channel_place(channel)));
    }
}
