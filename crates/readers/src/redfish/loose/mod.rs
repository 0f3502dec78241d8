//! Values as management controllers really write them: a number may be text, a text a number, anything may be null or
//! of another shape. Reading such a value never fails; what is of no use is left out, and numbers remember that.

use serde::de::{Deserialize, Deserializer, Error, IgnoredAny, MapAccess, SeqAccess, Visitor};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

/// A text, or a number written as text.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Text<'a>(Option<Cow<'a, str>>);

/// A number, as such or as text.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Number {
    value: Option<f64>,
    odd: bool,
}

/// True or false, as such or as text.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Flag(pub Option<bool>);

/// Is it there, with something in it?
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Present(pub bool);

impl Text<'_> {
    /// What it says, without blanks around it; `None` where that is nothing.
    pub fn said(&self) -> Option<&str> {
        self.0.as_deref().map(str::trim).filter(|t| !t.is_empty())
    }
    /// As it stands, blanks and all; `None` where it is nothing but blanks.
    pub fn raw(&self) -> Option<&str> {
        self.said().and(self.0.as_deref())
    }
    /// What it says unless that is a word for nothing.
    pub fn meant(&self) -> Option<&str> {
        self.said().filter(|t| !is_placeholder(t))
    }
}

/// Words that stand for "not known". From memory of what firmware writes; no list is published.
pub fn is_placeholder(text: &str) -> bool {
    const WORDS: [&str; 12] = [
        "unknown",
        "n/a",
        "na",
        "none",
        "null",
        "not specified",
        "not available",
        "no dimm",
        "not present",
        "undefined",
        "empty",
        "absent",
    ];
    let bare = text.trim_matches(|c: char| c == '[' || c == ']' || c == '<' || c == '>' || c == ' ');
    WORDS.iter().any(|w| w.eq_ignore_ascii_case(bare)) || bare.chars().all(|c| matches!(c, '?' | '-' | '*' | '.' | '_'))
}

impl Number {
    /// The figure.
    pub fn value(self) -> Option<f64> {
        self.value
    }
    /// The figure where it is whole, not negative, and no more than 2^53.
    pub fn whole(self) -> Option<u64> {
        let value = self.value?;
        (value.fract() == 0.0 && (0.0..=9_007_199_254_740_992.0).contains(&value)).then_some(value as u64)
    }
    /// The same where it goes into 32 bits.
    pub fn small(self) -> Option<u32> {
        self.whole().and_then(|n| u32::try_from(n).ok())
    }
    /// Was there something that is no number?
    pub fn odd(self) -> bool {
        self.odd || (self.value.is_some() && self.whole().is_none())
    }
    fn parse(text: &str) -> Self {
        let text = text.trim();
        if text.is_empty() || is_placeholder(text) {
            return Self::default();
        }
        let bare = UNITS.iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text).trim_end();
        let value = bare.parse::<f64>().ok().filter(|v| v.is_finite());
        Self { value, odd: value.is_none() }
    }
}

/// Units that the property's own name already carries, so that they may follow the figure.
const UNITS: [&str; 7] = ["MiB", "MB", "MT/s", "MHz", "Mhz", "bits", "bit"];

/// Lets a visitor take what it can and swallow the rest.
macro_rules! swallow {
    () => {
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("any value")
        }
        fn visit_unit<E: Error>(self) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
        fn visit_none<E: Error>(self) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
    };
}

mod many;

pub use many::{Branch, List, Object, OfMembers};

macro_rules! drain {
    ($odd:expr) => {
        fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
            while seq.next_element::<IgnoredAny>()?.is_some() {}
            Ok($odd)
        }
        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
            Ok($odd)
        }
    };
}

impl<'de: 'a, 'a> Deserialize<'de> for Text<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit<'a>(PhantomData<&'a ()>);
        impl<'de: 'a, 'a> Visitor<'de> for Visit<'a> {
            type Value = Text<'a>;
            swallow!();
            drain!(Text(None));
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Text<'a>, E> {
                Ok(Text(Some(Cow::Borrowed(text))))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Text<'a>, E> {
                Ok(Text(Some(Cow::Owned(text.to_string()))))
            }
            fn visit_u64<E: Error>(self, n: u64) -> Result<Text<'a>, E> {
                Ok(Text(Some(Cow::Owned(n.to_string()))))
            }
            fn visit_i64<E: Error>(self, n: i64) -> Result<Text<'a>, E> {
                Ok(Text(Some(Cow::Owned(n.to_string()))))
            }
            fn visit_f64<E: Error>(self, n: f64) -> Result<Text<'a>, E> {
                Ok(Text(Some(Cow::Owned(n.to_string()))))
            }
            fn visit_bool<E: Error>(self, _: bool) -> Result<Text<'a>, E> {
                Ok(Text(None))
            }
        }
        deserializer.deserialize_any(Visit(PhantomData))
    }
}

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit;
        impl<'de> Visitor<'de> for Visit {
            type Value = Number;
            swallow!();
            drain!(Number { value: None, odd: true });
            fn visit_str<E: Error>(self, text: &str) -> Result<Number, E> {
                Ok(Number::parse(text))
            }
            fn visit_u64<E: Error>(self, n: u64) -> Result<Number, E> {
                Ok(Number { value: Some(n as f64), odd: false })
            }
            fn visit_i64<E: Error>(self, n: i64) -> Result<Number, E> {
                Ok(Number { value: Some(n as f64), odd: false })
            }
            fn visit_f64<E: Error>(self, n: f64) -> Result<Number, E> {
                Ok(Number { value: Some(n), odd: false })
            }
            fn visit_bool<E: Error>(self, _: bool) -> Result<Number, E> {
                Ok(Number { value: None, odd: true })
            }
        }
        deserializer.deserialize_any(Visit)
    }
}

impl<'de> Deserialize<'de> for Flag {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit;
        impl<'de> Visitor<'de> for Visit {
            type Value = Flag;
            swallow!();
            drain!(Flag(None));
            fn visit_str<E: Error>(self, text: &str) -> Result<Flag, E> {
                let says = |word: &str| text.trim().eq_ignore_ascii_case(word);
                Ok(Flag(if says("true") { Some(true) } else { says("false").then_some(false) }))
            }
            fn visit_bool<E: Error>(self, b: bool) -> Result<Flag, E> {
                Ok(Flag(Some(b)))
            }
            fn visit_u64<E: Error>(self, _: u64) -> Result<Flag, E> {
                Ok(Flag(None))
            }
            fn visit_i64<E: Error>(self, _: i64) -> Result<Flag, E> {
                Ok(Flag(None))
            }
            fn visit_f64<E: Error>(self, _: f64) -> Result<Flag, E> {
                Ok(Flag(None))
            }
        }
        deserializer.deserialize_any(Visit)
    }
}

impl<'de> Deserialize<'de> for Present {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit;
        impl<'de> Visitor<'de> for Visit {
            type Value = Present;
            swallow!();
            fn visit_bool<E: Error>(self, b: bool) -> Result<Present, E> {
                Ok(Present(b))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<Present, E> {
                Ok(Present(!text.trim().is_empty()))
            }
            fn visit_u64<E: Error>(self, _: u64) -> Result<Present, E> {
                Ok(Present(true))
            }
            fn visit_i64<E: Error>(self, _: i64) -> Result<Present, E> {
                Ok(Present(true))
            }
            fn visit_f64<E: Error>(self, _: f64) -> Result<Present, E> {
                Ok(Present(true))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Present, A::Error> {
                let mut any = false;
                while seq.next_element::<IgnoredAny>()?.is_some() {
                    any = true;
                }
                Ok(Present(any))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Present, A::Error> {
                let mut any = false;
                while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {
                    any = true;
                }
                Ok(Present(any))
            }
        }
        deserializer.deserialize_any(Visit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(json: &str) -> Number {
        serde_json::from_str(json).unwrap()
    }

    #[test]
    fn numbers_come_as_numbers_or_text() {
        for json in ["16384", "16384.0", "\"16384\"", "\" 16384 MiB\""] {
            assert_eq!(number(json).whole(), Some(16384), "{json}");
        }
        for json in ["null", "\"\"", "\"N/A\""] {
            assert_eq!((number(json).value(), number(json).odd()), (None, false), "{json}");
        }
        for json in ["true", "{\"a\":[1]}", "[1,2]", "\"many\"", "-1", "0.5", "1e300", "\"NaN\""] {
            assert!(number(json).whole().is_none() && number(json).odd(), "{json}");
        }
    }

    #[test]
    fn texts_and_lists_take_what_they_are_given() {
        let text = |json| serde_json::from_str::<Text>(json).unwrap().said().map(str::to_string);
        assert_eq!(text("\" DIMM A1 \"").as_deref(), Some("DIMM A1"));
        assert_eq!(text("7800571666852535962").as_deref(), Some("7800571666852535962"));
        assert_eq!(text("\"a\\u0041\"").as_deref(), Some("aA"));
        assert_eq!((text("{}"), text("null"), text("true")), (None, None, None));
        let list = |json| serde_json::from_str::<List<Number>>(json).unwrap().0.len();
        assert_eq!((list("[1,null]"), list("3200"), list("\"3200\""), list("null"), list("false")), (2, 1, 1, 0, 0));
        assert!(is_placeholder("[Empty]") && is_placeholder("???") && !is_placeholder("NA1"));
    }
}
