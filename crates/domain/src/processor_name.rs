//! What a processor's own name tells of its memory: how many channels, and what hangs between it and the slots.

use crate::processor::ProcessorId;

/// How the slots hang on a processor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Attach {
    /// On its own memory controllers.
    Direct,
    /// On its own controllers through buffer chips, which make more channels than the processor has.
    Buffer,
    /// On a hub that all processors share: no slot belongs to a socket.
    Hub,
}

impl Attach {
    /// All, with the words that data files use.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Direct, "processor"), (Self::Buffer, "buffer"), (Self::Hub, "hub")];
    /// Reads its word.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == text.trim()).map(|(a, _)| *a)
    }
}

/// A pattern of processor names, and what is known of those that match.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProcessorName {
    /// `#` is one digit, `?` one letter or digit, `*` any letters and digits, a blank one blank or more.
    pub pattern: String,
    /// Channels of one processor, 1 to 32; `None` where the pattern leaves it open.
    pub channels: Option<u8>,
    pub attach: Attach,
    /// The family in the catalogue, where one is named.
    pub family: Option<ProcessorId>,
}

impl ProcessorName {
    /// Does it occur in that name, as whole words, in any case?
    pub fn matches(&self, name: &str) -> bool {
        let pattern: Vec<char> = self.pattern.trim().to_uppercase().chars().collect();
        let name: Vec<char> = name.to_uppercase().chars().collect();
        if pattern.is_empty() || pattern.len() > MOST || name.len() > MOST {
            return false;
        }
        let word = |at: usize| name.get(at).is_some_and(|c| c.is_alphanumeric());
        (0..name.len()).filter(|at| *at == 0 || !word(at - 1) || !word(*at)).any(|at| fits(&pattern, &name, at))
    }
}

/// Longer names and patterns match nothing, so that a hostile one costs no time.
const MOST: usize = 200;

fn fits(pattern: &[char], name: &[char], at: usize) -> bool {
    // The places in the name at which what is left of the pattern may begin.
    let mut places = vec![at];
    for symbol in pattern {
        let mut next = Vec::new();
        for place in places {
            let char_at = |i: usize| name.get(i).copied();
            match symbol {
                '*' => {
                    let run = (place..).take_while(|i| char_at(*i).is_some_and(char::is_alphanumeric)).count();
                    next.extend(place..=place + run);
                }
                ' ' => {
                    let run = (place..).take_while(|i| char_at(*i) == Some(' ')).count();
                    next.extend(place + 1..=place + run);
                }
                _ => {
                    let holds = char_at(place).is_some_and(|c| match symbol {
                        '#' => c.is_ascii_digit(),
                        '?' => c.is_alphanumeric(),
                        other => c == *other,
                    });
                    next.extend(holds.then_some(place + 1));
                }
            }
        }
        next.sort_unstable();
        next.dedup();
        places = next;
    }
    places.into_iter().any(|end| name.get(end).is_none_or(|c| !c.is_alphanumeric()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(pattern: &str) -> ProcessorName {
        ProcessorName { pattern: pattern.to_string(), channels: Some(6), attach: Attach::Direct, family: None }
    }

    #[test]
    fn patterns_stand_for_whole_words() {
        assert!(named("gold ##1#*").matches("Some Gold 6212U CPU @ 2.40GHz"));
        assert!(named("e5-26## v4").matches("X CPU E5-2640  v4 @ 2.40GHz"));
        assert!(!named("e5-26##").matches("X CPU E5-26401"));
        assert!(!named("5-2640").matches("CE5-2640"));
        assert!(named("part").matches("part"));
        assert!(!named("").matches("part"));
        assert!(!named("*a*a*a*a*a*a*b").matches(&"a".repeat(300)));
    }
}
