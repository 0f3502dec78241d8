//! The parts of one sort up to a cut of cost: which modules go in any case, which may, and whether what sets ask of parts and dies
//! can be had.

/// Modules of one part that may be taken.
#[derive(Debug, Clone, Default)]
pub(super) struct Shelf {
    pub die: usize,
    /// Cheaper than the last module taken: all of them go.
    pub must: Vec<(usize, u32)>,
    pub must_sum: u32,
    /// As dear as the last module taken, oldest first.
    pub may: Vec<(usize, i64, u32)>,
    pub may_sum: u32,
}

/// The parts of a sort at a cut of cost.
pub(super) struct Bench {
    pub shelves: Vec<Shelf>,
    pub dies: usize,
    /// How many of `may` are taken.
    pub more: u32,
}

/// What labels have asked of the parts so far.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Asked {
    pub parts: Vec<u32>,
    pub dies: Vec<u32>,
}

impl Bench {
    /// How many of `may` each part and each die must give at least; `None` where they can't.
    pub fn least(&self, asked: &Asked) -> Option<(Vec<u32>, Vec<u32>)> {
        let parts: Vec<u32> =
            self.shelves.iter().zip(&asked.parts).map(|(s, a)| a.saturating_sub(s.must_sum)).collect();
        let mut dies = vec![(0_u64, 0_u64, 0_u64, 0_u64); self.dies];
        for ((shelf, asked), least) in self.shelves.iter().zip(&asked.parts).zip(&parts) {
            if *least > shelf.may_sum {
                return None;
            }
            let d = &mut dies[shelf.die];
            d.0 += u64::from(*asked);
            d.1 += u64::from(shelf.must_sum);
            d.2 += u64::from(shelf.may_sum);
            d.3 += u64::from(*least);
        }
        let mut sum = 0;
        let mut out = Vec::with_capacity(self.dies);
        for ((parts, must, may, least), asked) in dies.into_iter().zip(&asked.dies) {
            let least = (parts + u64::from(*asked)).saturating_sub(must).max(least);
            if least > may {
                return None;
            }
            sum += least;
            out.push(u32::try_from(least).ok()?);
        }
        (sum <= u64::from(self.more)).then_some((parts, out))
    }
    /// Which modules of `may` go: by part the count, and the sum of their days.
    pub fn oldest(&self, asked: &Asked) -> Option<(Vec<u32>, i128)> {
        let (parts, dies) = self.least(asked)?;
        let mut took = parts;
        for (die, least) in dies.iter().enumerate() {
            self.top_up(&mut took, *least, |s| s.die == die);
        }
        self.top_up(&mut took, self.more, |_| true);
        let mut days = 0;
        for (shelf, n) in self.shelves.iter().zip(&took) {
            let mut left = *n;
            for (_, day, count) in &shelf.may {
                let n = left.min(*count);
                days += i128::from(*day) * i128::from(n);
                left -= n;
            }
        }
        Some((took, days))
    }
    /// Takes the oldest of some shelves until they gave `goal` in all.
    fn top_up(&self, took: &mut [u32], goal: u32, mine: impl Fn(&Shelf) -> bool) {
        let mut all: Vec<(i64, usize, usize, u32)> = Vec::new();
        let mut sum = 0;
        for (at, shelf) in self.shelves.iter().enumerate().filter(|(_, s)| mine(s)) {
            sum += took[at];
            let mut skip = took[at];
            for (piece, day, count) in &shelf.may {
                let over = skip.min(*count);
                skip -= over;
                all.push((*day, *piece, at, count - over));
            }
        }
        all.sort_unstable();
        let mut left = goal.saturating_sub(sum);
        for (_, _, at, n) in all {
            let n = n.min(left).min(self.shelves[at].may_sum - took[at]);
            took[at] += n;
            left -= n;
        }
    }
}
