//! Which controller each channel belongs to, where a report states it (Redfish MemoryLocation): then a controller that is
//! gone shows as one.

use super::{Places, Where};
use domain::Snapshot;
use std::collections::{BTreeMap, BTreeSet};

/// Adds controllers to places, and counts channels within them. A socket stays as it is where a slot's place or controller
/// is not known, where a channel is given to two controllers, or where it has but one controller, or each but one channel.
pub fn add(snapshot: &Snapshot, places: &mut Places) {
    // By socket: channel within the socket → the controllers that are stated for it.
    let mut sockets: BTreeMap<u8, BTreeMap<u8, BTreeSet<Option<u32>>>> = BTreeMap::new();
    for slot in snapshot.memory_slots() {
        // A slot without a place may belong to any socket, so of none all is known.
        let Some(at) = places.get(&slot.handle) else { return };
        sockets.entry(at.socket).or_default().entry(at.channel).or_default().insert(slot.location.controller);
    }
    let known: BTreeMap<u8, BTreeMap<u8, (u8, u8)>> =
        sockets.into_iter().filter_map(|(socket, channels)| Some((socket, numbered(&channels)?))).collect();
    for at in places.values_mut() {
        let new = known.get(&at.socket).and_then(|channels| channels.get(&at.channel));
        if let (None, Some((controller, channel))) = (at.controller, new) {
            *at = Where { controller: Some(*controller), channel: *channel, ..*at };
        }
    }
}

/// Channel of the socket → controller and channel of the controller, each from 0.
fn numbered(channels: &BTreeMap<u8, BTreeSet<Option<u32>>>) -> Option<BTreeMap<u8, (u8, u8)>> {
    let mut of: BTreeMap<u32, Vec<u8>> = BTreeMap::new();
    for (channel, stated) in channels {
        let mut stated = stated.iter();
        let (Some(Some(controller)), None) = (stated.next(), stated.next()) else { return None };
        of.entry(*controller).or_default().push(*channel);
    }
    if of.len() < 2 || of.values().all(|channels| channels.len() < 2) {
        return None;
    }
    let number = |n: usize| u8::try_from(n).ok();
    let mut numbered = BTreeMap::new();
    for (controller, own) in of.into_values().enumerate() {
        for (at, channel) in own.into_iter().enumerate() {
            numbered.insert(channel, (number(controller)?, number(at)?));
        }
    }
    Some(numbered)
}
