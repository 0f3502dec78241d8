//! Numbers by chance that a seed decides: SplitMix64 (Steele, Lea, Flood, 2014; the constants from memory).

/// A source of numbers.
pub struct Chance(u64);

impl Chance {
    /// By a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }
    /// The next 64 bits.
    pub const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    /// From `least` to `most`, both among them.
    pub fn range(&mut self, least: i64, most: i64) -> i64 {
        let span = most.saturating_sub(least).unsigned_abs().saturating_add(1);
        least.saturating_add_unsigned(self.next() % span)
    }
    /// One of these.
    pub fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[(self.next() % list.len() as u64) as usize]
    }
    /// True so many times of a hundred.
    pub const fn hundred(&mut self, times: u64) -> bool {
        self.next() % 100 < times
    }
    /// One of these, each as often as its weight says.
    pub fn weighted<'a, T>(&mut self, list: &'a [(T, u32)]) -> &'a T {
        let sum: u64 = list.iter().map(|(_, w)| u64::from(*w)).sum();
        let mut at = self.next() % sum.max(1);
        for (value, weight) in list {
            if at < u64::from(*weight) {
                return value;
            }
            at -= u64::from(*weight);
        }
        &list[0].0
    }
}

#[cfg(test)]
mod tests {
    use super::Chance;

    #[test]
    fn a_seed_decides_everything_and_weights_hold() {
        let draw = |seed| (0..5).scan(Chance::new(seed), |c, _| Some(c.next())).collect::<Vec<_>>();
        assert_eq!(draw(7), draw(7));
        assert_ne!(draw(7), draw(8));
        let mut chance = Chance::new(1);
        let often = (0..10_000).filter(|_| *chance.weighted(&[("a", 9), ("b", 1)]) == "a").count();
        assert!((8_850..9_150).contains(&often), "{often}");
        assert!((0..1000).all(|_| (3..=5).contains(&chance.range(3, 5))));
    }
}
