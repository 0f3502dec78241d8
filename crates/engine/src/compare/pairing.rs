//! Which slot of the report is which slot of the plan: by handle and name, by name and bank, by name, else by place.

use super::{Expected, MatchedBy, Places};
use domain::Snapshot;
use domain::reading::Text;
use domain::snapshot::{SeenSlot, SlotState};
use std::collections::BTreeMap;

/// Slots of plan and report brought together.
#[derive(Debug, Clone)]
pub struct Pairs<'a> {
    pub by: MatchedBy,
    /// For every expected slot, the seen one.
    pub seen_of: Vec<Option<&'a SeenSlot>>,
    /// Seen slots that the plan does not have.
    pub others: Vec<&'a SeenSlot>,
}

/// A name for comparing: no case, blanks or marks between words, no zeros before a number.
pub fn plain(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase).filter(|c| c.is_alphanumeric()) {
        let after_number = out.chars().last().is_some_and(|p| p.is_ascii_digit());
        if c.is_ascii_digit() && after_number && ends_in_lone_zero(&out) {
            out.pop();
        }
        out.push(c);
    }
    out
}

fn ends_in_lone_zero(text: &str) -> bool {
    let mut back = text.chars().rev();
    back.next() == Some('0') && !back.next().is_some_and(|c| c.is_ascii_digit())
}

/// Some firmware names a slot only while something is plugged in.
pub fn is_lost(name: &str) -> bool {
    matches!(plain(name).as_str(), "" | "nodimm" | "empty" | "unknown" | "notspecified" | "none")
}

/// Brings slots of plan and report together.
pub fn pair<'a>(expected: &Expected, seen: &'a Snapshot, places: &Places) -> Pairs<'a> {
    let listed: Vec<&SeenSlot> = seen.slots.iter().filter(|s| s.state != SlotState::NotMemory).collect();
    let mut work = Work { seen_of: vec![None; expected.slots.len()], taken: vec![false; listed.len()], listed };
    work.by_handle(expected);
    let bank = |b: &Option<Text>| plain(b.as_deref().unwrap_or(""));
    work.by_key(
        expected,
        |e| format!("{}|{}", plain(&e.name), bank(&e.bank)),
        |s| format!("{}|{}", plain(&s.name), bank(&s.bank)),
    );
    work.by_key(expected, |e| plain(&e.name), |s| plain(&s.name));
    work.by_key(expected, |e| plain(&e.name), |s| plain(&format!("{} {}", s.bank.as_deref().unwrap_or(""), s.name)));
    let named = work.seen_of.iter().any(Option::is_some);
    if !named {
        work.by_place(expected, places);
    }
    let any = work.seen_of.iter().any(Option::is_some);
    let by = match (named, any) {
        (true, _) => MatchedBy::Name,
        (false, true) => MatchedBy::Place,
        _ => MatchedBy::Nothing,
    };
    let others = work.listed.iter().zip(&work.taken).filter(|(_, taken)| !**taken).map(|(s, _)| *s).collect();
    Pairs { by, seen_of: work.seen_of, others }
}

struct Work<'a> {
    seen_of: Vec<Option<&'a SeenSlot>>,
    listed: Vec<&'a SeenSlot>,
    taken: Vec<bool>,
}

impl<'a> Work<'a> {
    fn join(&mut self, expected: usize, seen: usize) {
        if let (Some(place), Some(slot)) = (self.seen_of.get_mut(expected), self.listed.get(seen)) {
            *place = Some(*slot);
            self.taken[seen] = true;
        }
    }
    /// The same handle, and the same name unless one side has lost it.
    fn by_handle(&mut self, expected: &Expected) {
        let mut at: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (i, slot) in self.listed.iter().enumerate() {
            at.entry(slot.handle.to_lowercase()).or_default().push(i);
        }
        for (e, slot) in expected.slots.iter().enumerate() {
            let found = slot.handle.as_ref().and_then(|h| at.get(&h.to_lowercase()));
            let [s] = found.map_or(&[][..], Vec::as_slice) else { continue };
            let names = (&slot.name, &self.listed[*s].name);
            if plain(names.0) == plain(names.1) || is_lost(names.0) || is_lost(names.1) {
                self.join(e, *s);
            }
        }
    }
    /// A key that only one slot on each side has.
    fn by_key(
        &mut self,
        expected: &Expected,
        ours: impl Fn(&super::ExpectedSlot) -> String,
        theirs: impl Fn(&SeenSlot) -> String,
    ) {
        let mut keys: BTreeMap<String, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
        for (e, slot) in expected.slots.iter().enumerate() {
            if self.seen_of[e].is_none() && !is_lost(&slot.name) {
                keys.entry(ours(slot)).or_default().0.push(e);
            }
        }
        for (s, slot) in self.listed.iter().enumerate() {
            if !self.taken[s] && !is_lost(&slot.name) {
                keys.entry(theirs(slot)).or_default().1.push(s);
            }
        }
        for (ours, theirs) in keys.into_values() {
            if let ([e], [s]) = (ours.as_slice(), theirs.as_slice()) {
                self.join(*e, *s);
            }
        }
    }
    /// The same socket, channel within it and position.
    fn by_place(&mut self, expected: &Expected, places: &Places) {
        let ours = flat(expected.slots.iter().map(|s| s.at));
        let theirs = flat(self.listed.iter().map(|s| places.get(&s.handle).copied()));
        for (e, place) in ours.iter().enumerate() {
            let Some(place) = place else { continue };
            let mut found = theirs.iter().enumerate().filter(|(_, t)| t.as_ref() == Some(place));
            if let (Some((s, _)), None) = (found.next(), found.next()) {
                self.join(e, s);
            }
        }
    }
}

/// Socket, channel counted over the socket, and position.
type Flat = (u8, usize, u8);

fn flat(places: impl Iterator<Item = Option<super::Where>>) -> Vec<Option<Flat>> {
    let places: Vec<_> = places.collect();
    let mut channels: BTreeMap<u8, Vec<(u8, u8)>> = BTreeMap::new();
    for at in places.iter().flatten() {
        channels.entry(at.socket).or_default().push((at.controller.unwrap_or(0), at.channel));
    }
    for list in channels.values_mut() {
        list.sort_unstable();
        list.dedup();
    }
    let rank = |at: &super::Where| {
        let own = (at.controller.unwrap_or(0), at.channel);
        channels.get(&at.socket).and_then(|c| c.iter().position(|x| *x == own))
    };
    places.iter().map(|at| at.as_ref().and_then(|at| Some((at.socket, rank(at)?, at.position?)))).collect()
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn names_compare_without_blanks_case_marks_and_leading_zeros() {
        assert_eq!(plain("PROC  1 DIMM  1 "), plain("proc 1 dimm 1"));
        assert_eq!(plain("P1-DIMMA1"), plain("P1_DIMMA1"));
        assert_eq!(plain("DIMM 01"), plain("DIMM 1"));
        assert_ne!(plain("DIMM 10"), plain("DIMM 1"));
        assert_ne!(plain("DIMM_P0_A0"), plain("DIMM_P0_A1"));
        assert_eq!(plain("west-2-outer"), "west2outer");
    }
}
