//! Which modules count as alike, and which slots of channels that must be filled alike stray.

use crate::scene::ChannelScene;
use domain::{Module, SlotIndex};

/// Are they one kind, capacity and organisation? Maker and part number may differ.
pub fn alike(a: &Module, b: &Module) -> bool {
    (a.kind, a.capacity, a.organisation) == (b.kind, b.capacity, b.organisation)
}

fn held<'a>(channel: &ChannelScene<'a>, position: usize) -> Option<&'a Module> {
    let slot = channel.slots.get(position)?;
    channel.modules.iter().find(|(s, _)| s == slot).map(|(_, m)| *m)
}

/// The filled slots whose fellows in the other channels of the group are empty or hold another module.
pub fn unlike(members: &[&ChannelScene]) -> Option<Vec<SlotIndex>> {
    let mut strays = Vec::new();
    for channel in members {
        for (position, slot) in channel.slots.iter().enumerate() {
            let Some(mine) = held(channel, position) else {
                continue;
            };
            if members.iter().any(|other| held(other, position).is_none_or(|theirs| !alike(mine, theirs))) {
                strays.push(*slot);
            }
        }
    }
    strays.sort_unstable();
    (!strays.is_empty()).then_some(strays)
}
