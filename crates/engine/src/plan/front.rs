//! The front while it grows: points that no other point covers.

use super::kinds::Objectives;

/// Points with what they stand for; none covers another.
#[derive(Debug)]
pub struct Front<T> {
    points: Vec<(Objectives, T)>,
    /// The point that covered the last asked one: it often covers the next too.
    last: std::cell::Cell<usize>,
}

impl<T> Default for Front<T> {
    fn default() -> Self {
        Self { points: Vec::new(), last: std::cell::Cell::new(0) }
    }
}

impl<T> Front<T> {
    /// Is a point as good as this one by every measure already here?
    pub fn covers(&self, objectives: &Objectives) -> bool {
        if self.points.get(self.last.get()).is_some_and(|p| p.0.covers(objectives)) {
            return true;
        }
        let found = self.points.iter().position(|p| p.0.covers(objectives));
        if let Some(place) = found {
            self.last.set(place);
        }
        found.is_some()
    }

    /// Puts a point in and takes out those that it covers; does nothing where it is covered.
    pub fn insert(&mut self, objectives: Objectives, what: T) {
        if self.covers(&objectives) {
            return;
        }
        self.points.retain(|p| !objectives.covers(&p.0));
        self.points.push((objectives, what));
        self.last.set(self.points.len() - 1);
    }

    /// The points, cheapest first, then by the other measures.
    pub fn into_sorted(mut self) -> Vec<(Objectives, T)> {
        self.points.sort_by_key(|p| p.0);
        self.points
    }
}
