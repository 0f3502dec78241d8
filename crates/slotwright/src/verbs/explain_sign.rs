//! `explain` of the signs that screening used modules finds.

use engine::screen::{self, Entry};
use schemars::JsonSchema;
use serde::Serialize;

/// One sign in the list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SignLine {
    pub name: String,
    /// `reject`, `suspect` or `note`.
    pub weight: String,
    /// What it finds, in a line.
    pub finds: String,
}

/// One sign explained.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SignPageView {
    pub name: String,
    /// `reject`, `suspect` or `note`.
    pub weight: String,
    pub finds: String,
    /// What it means where it is not innocent.
    pub means: String,
    pub innocent: String,
    pub advice: String,
    /// Where it is written down.
    pub source: String,
    /// Cases in the text notation: `-> NAME` where it is found, `-> clean` where it is not.
    pub examples: String,
}

/// All signs, by name.
pub fn list() -> Vec<SignLine> {
    let mut signs: Vec<SignLine> = screen::all()
        .map(|s| SignLine { name: s.name.to_string(), weight: s.weight.word().to_string(), finds: s.finds.to_string() })
        .collect();
    signs.sort_by(|a, b| a.name.cmp(&b.name));
    signs
}

/// The sign of a name.
pub fn one(name: &str) -> Option<SignPageView> {
    screen::by_name(name.trim()).map(page)
}

fn page(sign: &Entry) -> SignPageView {
    SignPageView {
        name: sign.name.to_string(),
        weight: sign.weight.word().to_string(),
        finds: sign.finds.to_string(),
        means: sign.means.to_string(),
        innocent: sign.innocent.to_string(),
        advice: sign.advice.to_string(),
        source: sign.source.to_string(),
        examples: sign.examples.to_string(),
    }
}

#[cfg(test)]
mod tests {
    /// What the reader of SPD contents comes upon must explain itself.
    #[test]
    fn every_oddity_of_spd_contents_is_a_sign() {
        for (name, _) in readers::spd::ODDITIES {
            assert!(super::one(name).is_some(), "`{name}` is no sign");
        }
    }
}
