//! How rules speak: findings with places, one finding for many slots with the same fault, mixes and their odd ones out.

use crate::scene::{ChannelScene, Scene, SocketScene};
use domain::board::{Ruling, SlotIndex};
use domain::{Finding, Mark, Module, Outcome, Place, Severity, SourceId};
use std::collections::BTreeMap;

/// What a rule says before it says where.
#[derive(Debug, PartialEq, Eq)]
pub struct Told {
    pub severity: Severity,
    pub outcome: Outcome,
    pub evidence: String,
    pub advice: String,
}

impl Told {
    /// With the rule's own severity and outcome.
    pub fn new(severity: Severity, outcome: Outcome, evidence: String, advice: impl Into<String>) -> Self {
        Self { severity, outcome, evidence, advice: advice.into() }
    }
    /// With the severity and outcome that the board's maker gives; the evidence ends with where that is written.
    pub fn ruled<T>(ruling: &Ruling<T>, evidence: &str, advice: impl Into<String>) -> Self {
        let evidence = cite(evidence, &ruling.source, ruling.mark);
        Self::new(ruling.severity, ruling.outcome, evidence, advice)
    }
    /// At its place.
    pub fn at(self, rule: &'static str, place: Place) -> Finding {
        let Self { severity, outcome, evidence, advice } = self;
        Finding { rule, severity, outcome, place, evidence, advice }
    }
}

/// Evidence with where the figure in it is written.
pub fn cite(evidence: &str, source: &SourceId, mark: Mark) -> String {
    format!("{evidence} ({source}, {})", mark.words())
}

/// A channel in words: by the label of its first slot, since boards print labels beside slots.
pub fn channel_name(scene: &Scene, channel: &ChannelScene) -> String {
    match channel.slots.first() {
        Some(first) => format!("the channel of {}", scene.label(*first)),
        None => format!("channel {} of socket {}", channel.number, channel.socket),
    }
}

/// A channel as a place.
pub fn channel_place(channel: &ChannelScene) -> Place {
    Place::Channel { socket: channel.socket, controller: channel.controller, channel: channel.channel }
}

/// The slots of modules, as a place.
pub fn slots_place<'a>(modules: impl Iterator<Item = (SlotIndex, &'a Module)>) -> Place {
    Place::Slots(modules.map(|(slot, _)| slot).collect())
}

/// Judges every module by itself; slots of which the same is told share one finding.
pub fn each_module(
    rule: &'static str,
    scene: &Scene,
    found: &mut Vec<Finding>,
    judge: impl Fn(&SocketScene, SlotIndex, &Module) -> Option<Told>,
) {
    let start = found.len();
    for socket in &scene.sockets {
        for (slot, module) in socket.modules() {
            let Some(told) = judge(socket, slot, module) else {
                continue;
            };
            let same = |f: &&mut Finding| {
                (f.severity, f.outcome, &f.evidence, &f.advice)
                    == (told.severity, told.outcome, &told.evidence, &told.advice)
            };
            match found[start..].iter_mut().find(same).map(|f| &mut f.place) {
                Some(Place::Slots(slots)) => slots.push(slot),
                _ => found.push(told.at(rule, Place::Slots(vec![slot]))),
            }
        }
    }
}

/// How many different keys the modules have, up to 8; modules without a key do not count. Allocates nothing.
pub fn distinct<'a, K: Copy + PartialEq>(
    modules: impl Iterator<Item = (SlotIndex, &'a Module)>,
    key: impl Fn(&Module) -> Option<K>,
) -> usize {
    let mut seen = [None; 8];
    let mut count = 0;
    for (_, module) in modules {
        let this = key(module);
        if this.is_some() && count < seen.len() && !seen[..count].contains(&this) {
            seen[count] = this;
            count += 1;
        }
    }
    count
}

/// Unlike modules: who they are, and which are the odd ones out.
#[derive(Debug)]
pub struct Mix {
    /// The slots of all that differ from the commonest; all slots where no one is commonest.
    pub odd: Vec<SlotIndex>,
    /// `11 × RDIMM, 1 × LRDIMM`.
    pub words: String,
}

/// Sorts modules by a key and tells the odd ones out.
pub fn mix<'a, K: Ord>(
    modules: impl Iterator<Item = (SlotIndex, &'a Module)>,
    key: impl Fn(&Module) -> Option<K>,
    show: impl Fn(&K) -> String,
) -> Mix {
    let mut groups: BTreeMap<K, Vec<SlotIndex>> = BTreeMap::new();
    for (slot, module) in modules {
        if let Some(key) = key(module) {
            groups.entry(key).or_default().push(slot);
        }
    }
    let most = groups.values().map(Vec::len).max().unwrap_or(0);
    let one_is_commonest = groups.values().filter(|g| g.len() == most).count() == 1;
    let is_odd = |g: &&Vec<SlotIndex>| !one_is_commonest || g.len() < most;
    let mut odd: Vec<SlotIndex> = groups.values().filter(is_odd).flatten().copied().collect();
    odd.sort_unstable();
    let words = groups.iter().map(|(k, g)| format!("{} × {}", g.len(), show(k))).collect::<Vec<_>>().join(", ");
    Mix { odd, words }
}

/// The question whether modules unlike in one point may share the machine.
pub struct MixQuestion<'r, K> {
    pub rule: &'static str,
    /// What the board's maker says of it.
    pub ruling: Option<&'r Ruling<bool>>,
    /// The severity where the maker says nothing; `None` for no finding then.
    pub silent: Option<Severity>,
    pub key: fn(&Module) -> Option<K>,
    pub show: fn(&K) -> String,
    pub advice: &'static str,
}

/// Asks a mixing question of all DRAM modules of the machine.
pub fn mixed_in_machine<K: Ord + Copy>(scene: &Scene, found: &mut Vec<Finding>, question: &MixQuestion<K>) {
    if question.ruling.is_some_and(|r| r.value) || (question.ruling.is_none() && question.silent.is_none()) {
        return;
    }
    if distinct(scene.dram(), question.key) < 2 {
        return;
    }
    let mix = mix(scene.dram(), question.key, question.show);
    let told = match (question.ruling, question.silent) {
        (Some(ruling), _) => Told::ruled(ruling, &mix.words, question.advice),
        (None, Some(severity)) => {
            let evidence = format!("{}; the board's data does not say whether they may share the machine", mix.words);
            Told::new(severity, Outcome::Unknown, evidence, question.advice)
        }
        (None, None) => return,
    };
    found.push(told.at(question.rule, Place::Slots(mix.odd)));
}

/// Some text with an s where there is more than one: `1 module`, `2 modules`.
pub fn plural(count: usize, noun: &str) -> String {
    if count == 1 { format!("1 {noun}") } else { format!("{count} {noun}s") }
}
