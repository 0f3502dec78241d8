//! The legend: only what occurs in the map.

use crate::state::{SlotState, Views};

/// What an entry of the legend explains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LegendKey {
    State(SlotState),
    /// So many tabs.
    Tabs(u8),
    /// The disc with a number.
    Install,
    Region,
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LegendEntry {
    pub key: LegendKey,
    pub words: String,
}

/// The entries of a map.
pub fn entries(views: &Views) -> Vec<LegendEntry> {
    let mut entries = Vec::new();
    let mut add = |key, words: String| entries.push(LegendEntry { key, words });
    for state in SlotState::ALL {
        let on_slot = views.slots.iter().any(|s| s.state == state || (state == SlotState::Unusable && s.hatched));
        let elsewhere = views.machine.iter().any(|(s, _)| *s == state)
            || views.sockets.iter().any(|s| s.state == state && state != SlotState::Filled);
        if on_slot || elsewhere {
            add(LegendKey::State(state), state.meaning().into());
        }
    }
    let deepest = views.slots.iter().map(|s| s.address.position).max().unwrap_or(0);
    if deepest > 0 {
        add(LegendKey::Tabs(1), "first slot of its channel, farthest from the processor".into());
        add(LegendKey::Tabs(2), if deepest > 1 { "second, third: nearer" } else { "second slot" }.into());
    }
    if views.slots.iter().any(|s| s.install.is_some()) {
        add(LegendKey::Install, "order of fitting".into());
    }
    if views.slots.iter().any(|s| s.region.is_some()) {
        add(LegendKey::Region, "interleave region".into());
    }
    entries
}
