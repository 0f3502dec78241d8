//! Ways to read the names within a socket: which column is the channel, which the place on it.

use super::columns::{Column, From, Role};
use super::facts::Facts;
use super::pieces::Kind;
use super::sockets::Parting;
use std::collections::{BTreeMap, BTreeSet};

/// What a reading rests on, worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// Running numbers or the order of the report, cut by the processor's count of channels.
    Counting,
    /// A letter beside a number.
    Shape,
    /// A word for the channel, or a number that the report calls so.
    Word,
}

/// A channel within its socket: ranks that name it together, such as controller and channel.
pub type Key = Vec<usize>;

/// How the places on a channel are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Places {
    /// `position` has them.
    Told,
    /// `position` numbers the slots along the board; which end is filled first is open.
    Along,
}

/// One reading, slot by slot.
#[derive(Debug, Clone)]
pub struct Reading {
    pub channel: Vec<Option<Key>>,
    pub position: Vec<Option<usize>>,
    pub places: Places,
    pub basis: Basis,
    pub from: From,
    /// In words: what is taken for what.
    pub by: String,
    /// Columns used, by their place in the facts.
    pub used: Vec<usize>,
    pub score: i32,
    pub reasons: Vec<String>,
    pub doubts: Vec<String>,
}

impl Reading {
    /// A reading not yet weighed.
    pub fn new(channel: Vec<Option<Key>>, position: Vec<Option<usize>>, basis: Basis, from: From, by: String) -> Self {
        let (reasons, doubts) = (Vec::new(), Vec::new());
        let used = Vec::new();
        Self { channel, position, places: Places::Told, basis, from, by, used, score: 0, reasons, doubts }
    }
    /// Does it give every slot a place of its own, with at most four slots to a channel?
    pub fn holds(&self, parting: &Parting) -> bool {
        let mut places = BTreeSet::new();
        let mut sizes: BTreeMap<(usize, &Key), usize> = BTreeMap::new();
        for ((socket, key), position) in parting.of.iter().zip(&self.channel).zip(&self.position) {
            let (Some(socket), Some(key), Some(position)) = (socket, key, position) else { return false };
            let size = sizes.entry((*socket, key)).or_default();
            *size += 1;
            if !places.insert((*socket, key, *position)) || *size > 4 {
                return false;
            }
        }
        !places.is_empty()
    }
    /// Channels of each socket.
    pub fn widths(&self, parting: &Parting) -> Vec<usize> {
        let mut keys: BTreeMap<usize, BTreeSet<&Key>> = BTreeMap::new();
        for (socket, key) in parting.of.iter().zip(&self.channel) {
            if let (Some(socket), Some(key)) = (socket, key) {
                keys.entry(*socket).or_default().insert(key);
            }
        }
        keys.into_values().map(|k| k.len()).collect()
    }
    /// By slot, the group that shares a channel with it.
    pub fn groups(&self, parting: &Parting) -> Vec<Option<usize>> {
        let mut known: BTreeMap<(usize, &Key), usize> = BTreeMap::new();
        let mut groups = Vec::new();
        for (socket, key) in parting.of.iter().zip(&self.channel) {
            let group = socket.zip(key.as_ref()).map(|pair| {
                let next = known.len();
                *known.entry(pair).or_insert(next)
            });
            groups.push(group);
        }
        groups
    }
    /// Does it put the same slots together?
    pub fn same_channels(&self, other: &Self, parting: &Parting) -> bool {
        self.groups(parting) == other.groups(parting)
    }
}

/// The columns that tell slots of one socket apart, by what they may be.
struct Parts<'a> {
    all: Vec<(usize, &'a Column)>,
}

impl<'a> Parts<'a> {
    fn new(facts: &'a Facts<'_>, parting: &Parting) -> Self {
        let varies = |c: &Column| c.is_whole() && c.varies_within(&parting.of) && c.kind != Kind::Word;
        let told = |c: &Column| !matches!(c.role, Role::Socket | Role::Bank) && c.digit() != Some(0);
        Self { all: facts.columns.iter().enumerate().filter(|(_, c)| varies(c) && told(c)).collect() }
    }
    fn channel(&self, from: From) -> Vec<(usize, &'a Column)> {
        let is = |c: &Column| c.from == from && (c.role == Role::Channel || c.digit() == Some(1));
        self.all.iter().copied().filter(|(_, c)| is(c)).collect()
    }
    fn controllers(&self, from: From) -> Vec<(usize, &'a Column)> {
        let is = |c: &Column| c.from == from && matches!(c.role, Role::Controller | Role::Node);
        self.all.iter().copied().filter(|(_, c)| is(c)).collect()
    }
    /// What may be channel or place. What counts boards or connectors may not.
    fn rest(&self, from: From) -> Vec<(usize, &'a Column)> {
        let is = |c: &Column| {
            c.from == from
                && matches!(c.role, Role::Module | Role::Unsaid)
                && c.digit() != Some(1)
                && !matches!(c.label.as_str(), "BOARD" | "CARD" | "RISER")
        };
        let connector = |c: &Column| c.role == Role::Unsaid && c.label.len() == 1;
        let all: Vec<_> = self.all.iter().copied().filter(|(_, c)| is(c)).collect();
        let plain: Vec<_> = all.iter().copied().filter(|(_, c)| !connector(c)).collect();
        if plain.is_empty() { all } else { plain }
    }
}

/// All readings of columns that give every slot a place of its own.
pub fn of_columns(facts: &Facts<'_>, parting: &Parting) -> Vec<Reading> {
    let parts = Parts::new(facts, parting);
    let mut found = Vec::new();
    for from in [From::Name, From::Location, From::Bank] {
        let controllers = parts.controllers(from);
        for channel in parts.channel(from) {
            let mut key = controllers.clone();
            key.push(channel);
            let places: Vec<_> = parts
                .rest(from)
                .into_iter()
                .chain([From::Name, From::Bank].map(|f| parts.rest(f)).into_iter().flatten())
                .collect();
            // What stands before the channel's word under no word that is known may be a controller, or the place.
            let before = |(at, c): &(usize, &Column)| c.from == from && c.role == Role::Unsaid && *at < channel.0;
            let (above, below): (Vec<_>, Vec<_>) = places.iter().copied().partition(before);
            if !above.is_empty() {
                let key = [&key[..key.len() - 1], &above, &[channel]].concat();
                found.extend(first_that_holds(facts, parting, &key, below, Basis::Word));
            }
            found.extend(first_that_holds(facts, parting, &key, places, Basis::Word));
        }
    }
    for from in [From::Name, From::Bank] {
        // One channel a controller: its letter never changes.
        let worded = facts.of(from).any(|c| c.role == Role::Channel && c.is_whole());
        let controllers = parts.controllers(from);
        if worded && parts.channel(from).is_empty() && !controllers.is_empty() {
            found.extend(first_that_holds(facts, parting, &controllers, parts.rest(from), Basis::Word));
        }
    }
    let rest = parts.rest(From::Name);
    // A constant token beside it is the place: `1A`, `2A`, `3A`.
    let beside =
        facts.of(From::Name).any(|c| c.is_whole() && c.count() == 1 && c.label.is_empty() && c.kind != Kind::Word);
    let alone = rest.len() == 1 && !beside;
    for (at, column) in &rest {
        // A lone number says nothing of channels unless there are as many as the processor has.
        let lone_number = alone && column.kind == Kind::Number;
        let basis = if lone_number { Basis::Counting } else { Basis::Shape };
        let mut key = parts.controllers(From::Name);
        key.push((*at, *column));
        let places: Vec<_> = rest.iter().copied().filter(|(other, _)| other != at).collect();
        let several = !places.is_empty();
        let made = first_that_holds(facts, parting, &key, places, basis);
        // Beside another column, one that tells all slots apart by itself is a running number.
        let made = made.filter(|r| !several || r.used.len() > key.len() || facts.channels.is_some());
        found.extend(
            made.filter(|r| !lone_number || facts.channels.is_some_and(|c| r.widths(parting).iter().all(|w| *w <= c))),
        );
    }
    found
}

/// The key alone where it is enough, else with the first column that tells the slots of a channel apart.
fn first_that_holds(
    facts: &Facts<'_>,
    parting: &Parting,
    key: &[(usize, &Column)],
    places: Vec<(usize, &Column)>,
    basis: Basis,
) -> Option<Reading> {
    let count = facts.len();
    let channel: Vec<Option<Key>> = (0..count).map(|slot| key.iter().map(|(_, c)| rank(c, slot)).collect()).collect();
    let (_, last) = key.last()?;
    let named: Vec<String> = key.iter().map(|(_, c)| c.words()).collect();
    let base = format!("channel: {}", named.join(" with "));
    let mut tries = vec![(None, base.clone())];
    tries.extend(places.iter().map(|p| (Some(*p), format!("{base}; place on it: {}", p.1.words()))));
    tries.into_iter().find_map(|(place, by)| {
        let position = (0..count).map(|slot| place.map_or(Some(0), |(_, c)| rank(c, slot))).collect();
        let mut reading = Reading::new(channel.clone(), position, basis, last.from, by);
        reading.used = key.iter().map(|(at, _)| *at).chain(place.map(|p| p.0)).collect();
        if place.is_some_and(|(_, c)| c.from == From::Location && c.count() > 4) {
            reading.places = Places::Along;
        }
        reading.holds(parting).then_some(reading)
    })
}

fn rank(column: &Column, slot: usize) -> Option<usize> {
    column.ranks.get(slot).copied().flatten()
}
