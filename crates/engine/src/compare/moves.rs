//! Modules that sit in another slot than planned: which planned module was found where.

use super::identity::{self, Unlike};
use super::pairing::Pairs;
use super::{Expected, ExpectedModule};
use domain::Snapshot;
use domain::snapshot::{SeenModule, SeenSlot, SlotState};

/// What became of the planned modules.
#[derive(Debug, Clone, Default)]
pub struct Moves {
    /// For every expected slot that should hold a module: the expected slot in which that module sits now.
    /// Its own number where it stayed; `None` where it was found nowhere.
    pub to: Vec<Option<usize>>,
    /// For every expected slot: the slot whose planned module sits in it now.
    pub from: Vec<Option<usize>>,
}

/// What a slot holds that the firmware has not put out of use.
pub fn held(slot: &SeenSlot) -> Option<&SeenModule> {
    slot.module.as_ref().filter(|_| matches!(slot.state, SlotState::Filled | SlotState::Unknown))
}

/// Finds the planned modules: in their own slot, else elsewhere by likeness, else elsewhere by article.
pub fn settle(expected: &Expected, _seen: &Snapshot, pairs: &Pairs) -> Moves {
    let n = expected.slots.len();
    let planned: Vec<Option<&ExpectedModule>> = expected.slots.iter().map(|s| s.module.as_ref()).collect();
    let seen: Vec<Option<&SeenModule>> = pairs.seen_of.iter().map(|s| s.and_then(held)).collect();
    let mut moves = Moves { to: vec![None; n], from: vec![None; n] };
    let like = |p: usize, s: usize| match (planned[p], seen[s]) {
        (Some(p), Some(s)) => identity::unlike(&p.reading, &s.reading).none(),
        _ => false,
    };
    // A module that tells its part is not the one that told none before.
    let told = |p: usize, s: usize| match (planned[p], seen[s]) {
        (Some(p), Some(s)) => !expected.reported || identity::tell_alike(&p.reading, &s.reading),
        _ => false,
    };
    let empty: Vec<bool> = seen.iter().map(Option::is_none).collect();
    let article = |p: usize, s: usize| match (planned[p], seen[s]) {
        (Some(p), Some(s)) => identity::same_article(&p.reading, &s.reading),
        _ => false,
    };
    (0..n).filter(|i| like(*i, *i)).for_each(|i| moves.join(i, i));
    moves.elsewhere(&empty, |p, s| like(p, s) && told(p, s));
    (0..n).for_each(|i| {
        if moves.to[i].is_none() && moves.from[i].is_none() && article(i, i) {
            moves.join(i, i);
        }
    });
    moves.elsewhere(&empty, article);
    // What is left in its own slot is another module in the planned one's place.
    moves
}

impl Moves {
    fn join(&mut self, planned: usize, seen: usize) {
        self.to[planned] = Some(seen);
        self.from[seen] = Some(planned);
    }
    /// Joins what is left: exchanges of two first, then modules whose own slot is empty now, then the rest in order.
    fn elsewhere(&mut self, empty: &[bool], fits: impl Fn(usize, usize) -> bool) {
        let n = self.to.len();
        let open = |m: &Self, p: usize, s: usize| p != s && m.to[p].is_none() && m.from[s].is_none();
        for a in 0..n {
            for b in a + 1..n {
                if open(self, a, b) && open(self, b, a) && fits(a, b) && fits(b, a) {
                    self.join(a, b);
                    self.join(b, a);
                }
            }
        }
        let (gone, rest): (Vec<usize>, Vec<usize>) = (0..n).partition(|p| empty[*p]);
        for p in gone.into_iter().chain(rest) {
            if let Some(s) = (0..n).find(|s| open(self, p, *s) && fits(p, *s)) {
                self.join(p, s);
            }
        }
    }
}

/// What differs between the planned module and the one found for it.
pub fn difference(expected: &Expected, pairs: &Pairs, planned: usize, seen: usize) -> Unlike {
    let planned = expected.slots.get(planned).and_then(|s| s.module.as_ref());
    let seen = pairs.seen_of.get(seen).copied().flatten().and_then(held);
    match (planned, seen) {
        (Some(p), Some(s)) => identity::unlike(&p.reading, &s.reading),
        _ => Unlike::default(),
    }
}
