//! When corrected errors are too many: published thresholds to choose from. A bucket gains one with each error and leaks
//! evenly, empty after its decay time; a window counts the errors of its hours.

/// What is too many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Threshold {
    /// A leaky bucket: full at `most`, and a full one is empty after `hours`; of a capacity in GiB where the time is for one.
    Leaks { most: u32, hours: f64, per_gib: bool },
    /// So many within so many hours; `alone`: only where no other module shows any.
    Window { most: u32, hours: f64, alone: bool },
}

/// A threshold to choose, with where it is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    pub name: &'static str,
    pub threshold: Threshold,
    /// The id in the register, or `practice`.
    pub source: &'static str,
    /// In words.
    pub words: &'static str,
}

/// All of them; the first is taken where none is chosen.
pub const SETTINGS: [Setting; 3] = [
    Setting {
        name: "day-of-24",
        threshold: Threshold::Window { most: 24, hours: 24.0, alone: true },
        source: "threshold-day-of-24",
        words: "24 corrected errors in 24 hours on one module, none on any other",
    },
    Setting {
        name: "leak-by-size",
        threshold: Threshold::Leaks { most: 10, hours: 336.0, per_gib: true },
        source: "threshold-leak-by-size",
        words: "a bucket of 10 for each rank that a full one leaves in 336 hours divided by its GiB",
    },
    Setting {
        name: "acceptance",
        threshold: Threshold::Window { most: 2, hours: f64::INFINITY, alone: false },
        source: "practice",
        words: "a new build: no uncorrected error, at most one corrected error for a module",
    },
];

/// A setting by its name.
pub fn setting(name: &str) -> Option<Setting> {
    SETTINGS.into_iter().find(|s| s.name == name)
}

/// How full a threshold came to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// The highest that was reached; a bucket's is a fraction, a window's a count.
    pub highest: f64,
    /// When it was first reached or passed, in the unit of the times: seconds.
    pub at: Option<u64>,
}

impl Threshold {
    /// The figure at which it is too much.
    pub fn most(self) -> u32 {
        match self {
            Self::Leaks { most, .. } | Self::Window { most, .. } => most,
        }
    }
    /// Hours in which a full bucket of that many GiB is empty, or those of the window.
    pub fn hours(self, gib: f64) -> f64 {
        match self {
            Self::Leaks { hours, per_gib: true, .. } if gib > 0.0 => hours / gib,
            Self::Leaks { hours, .. } | Self::Window { hours, .. } => hours,
        }
    }
}

/// Plays errors of one module or rank, by their times in seconds in any order. `gib`: its capacity. Of a bucket: level =
/// max(0, level - time x most / hours) + 1 at each error.
pub fn overflow(threshold: Threshold, gib: f64, times: &[u64]) -> Level {
    let mut times = times.to_vec();
    times.sort_unstable();
    let most = f64::from(threshold.most());
    let seconds = threshold.hours(gib) * 3600.0;
    let mut level = Level { highest: 0.0, at: None };
    let (mut held, mut before, mut first) = (0.0f64, 0u64, 0usize);
    for (i, now) in times.iter().enumerate() {
        held = match threshold {
            Threshold::Leaks { .. } => {
                let past = if i == 0 { 0.0 } else { (now - before) as f64 };
                (held - past * most / seconds).max(0.0) + 1.0
            }
            Threshold::Window { .. } => {
                while times.get(first).is_some_and(|t| (now - t) as f64 >= seconds) {
                    first += 1;
                }
                (i + 1 - first) as f64
            }
        };
        before = *now;
        level.highest = level.highest.max(held);
        if held >= most && level.at.is_none() {
            level.at = Some(*now);
        }
    }
    level
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: u64 = 3600;

    #[test]
    fn a_bucket_leaks_and_a_window_slides() {
        let leak = Threshold::Leaks { most: 10, hours: 336.0, per_gib: true };
        // One error in each 33.6 hours leaks away as it comes on 1 GiB; twice as fast fills it.
        let every = |seconds: u64, n: u64| (0..n).map(|i| i * seconds).collect::<Vec<_>>();
        assert_eq!(overflow(leak, 1.0, &every(34 * HOUR, 100)).at, None);
        let full = overflow(leak, 1.0, &every(16 * HOUR, 100));
        assert!(full.at.is_some() && full.highest > 10.0);
        assert_eq!(overflow(leak, 1.0, &[5; 10]), Level { highest: 10.0, at: Some(5) });
        let window = Threshold::Window { most: 24, hours: 24.0, alone: true };
        assert_eq!(overflow(window, 16.0, &every(HOUR, 100)).at, Some(23 * HOUR));
        assert_eq!(overflow(window, 16.0, &every(HOUR + 180, 100)).at, None);
        assert_eq!(overflow(window, 16.0, &[]).highest, 0.0);
    }
}
