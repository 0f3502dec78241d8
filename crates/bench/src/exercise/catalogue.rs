//! Exercises, named by what they do, each with its march test and data patterns.

use crate::march::{BACKGROUNDS, KNOWN, Known, March};

/// What stands for 0 in each word; its complement stands for 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    Fixed(u64),
    /// The word's own place: two addresses that reach one word show.
    Place,
    /// As if random, from a seed (splitmix64).
    Random(u64),
}

impl Pattern {
    /// What stands for 0 at a word.
    #[inline]
    pub fn at(self, word: usize) -> u64 {
        match self {
            Self::Fixed(value) => value,
            Self::Place => word as u64,
            Self::Random(seed) => {
                let z = seed.wrapping_add((word as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15));
                let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
                let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
                z ^ (z >> 31)
            }
        }
    }
    /// In words.
    pub fn words(self) -> String {
        match self {
            Self::Fixed(value) => format!("{value:016X}"),
            Self::Place => "each word's own place".to_string(),
            Self::Random(seed) => format!("random words, seed {seed}"),
        }
    }
}

/// A march test with its patterns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exercise {
    /// What it does.
    pub name: String,
    pub march: March,
    pub patterns: Vec<Pattern>,
    /// Where the test is from.
    pub citation: String,
}

impl Exercise {
    /// Operations a word, over all patterns.
    pub fn operations(&self) -> u64 {
        (self.march.operations() * self.patterns.len()) as u64
    }
}

/// (what it does, march test, patterns: `seven`, `place`, `random` or `solid`).
pub const EXERCISES: [(&str, &str, &str); 4] = [
    ("own-place", "MATS+", "place"),
    ("random-words", "March C-", "random"),
    ("both-ways", "March C-", "seven"),
    ("disturbing", "March SS", "solid"),
];

/// The exercises that are shipped, quick ones first.
pub fn all() -> Vec<Exercise> {
    let known = |name: &str| KNOWN.into_iter().find(|k| k.name == name);
    let patterns = |word: &str| match word {
        "seven" => BACKGROUNDS.map(Pattern::Fixed).to_vec(),
        "place" => vec![Pattern::Place],
        "random" => vec![Pattern::Random(1)],
        _ => vec![Pattern::Fixed(0)],
    };
    let make = |(name, march, word): (&str, &str, &str)| {
        let Known { citation, name: title, .. } = known(march)?;
        let march = known(march)?.march()?;
        let citation = format!("{title}: {citation}");
        Some(Exercise { name: name.to_string(), march, patterns: patterns(word), citation })
    };
    EXERCISES.into_iter().filter_map(make).collect()
}

/// A march test of the user's, over the seven backgrounds of a word or one only.
pub fn of_march(march: March, name: &str, citation: &str, seven: bool) -> Exercise {
    let patterns = if seven { BACKGROUNDS.map(Pattern::Fixed).to_vec() } else { vec![Pattern::Fixed(0)] };
    Exercise { name: name.to_string(), march, patterns, citation: citation.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_exercise_is_whole() {
        let all = all();
        assert_eq!(all.len(), EXERCISES.len());
        assert!(all.iter().all(|e| !e.patterns.is_empty() && e.operations() > 0));
        assert_eq!(all[2].operations(), 70);
        assert_ne!(Pattern::Random(1).at(5), Pattern::Random(1).at(6));
    }
}
