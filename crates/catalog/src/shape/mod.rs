//! The shapes of the files, as a person writes them: serde reads them, schemars describes them.

pub(crate) mod board;
pub(crate) mod chart;
pub(crate) mod names;
pub(crate) mod outcomes;
pub(crate) mod processor;
pub(crate) mod shop;
pub(crate) mod task;
pub(crate) mod words;

use crate::decode::At;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{self, IntoDeserializer, MapAccess, SeqAccess, Unexpected, Visitor};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use words::MarkWord;

impl<T: JsonSchema> JsonSchema for At<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        generator.subschema_for::<T>()
    }
}

/// A plain value, or a table that says more of it.
#[derive(Debug, Clone)]
pub(crate) enum Either<B, T> {
    Bare(B),
    Table(T),
}

/// What a plain value is called in errors.
pub(crate) trait Plain {
    const WORDS: &'static str;
}
impl Plain for String {
    const WORDS: &'static str = "a text";
}
impl Plain for f64 {
    const WORDS: &'static str = "a number";
}
impl Plain for bool {
    const WORDS: &'static str = "`true` or `false`";
}
impl Plain for u8 {
    const WORDS: &'static str = "a whole number from 0 to 255";
}
impl Plain for MtPerS {
    const WORDS: &'static str = "a data rate";
}
impl Plain for words::UsableWord {
    const WORDS: &'static str = "\"all\" or \"half\"";
}

impl<'de, B: Deserialize<'de> + Plain, T: Deserialize<'de>> Deserialize<'de> for Either<B, T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Both<B, T>(PhantomData<(B, T)>);
        impl<'de, B: Deserialize<'de> + Plain, T: Deserialize<'de>> Visitor<'de> for Both<B, T> {
            type Value = Either<B, T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{}, or a table", B::WORDS)
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
                B::deserialize(text.into_deserializer()).map(Either::Bare)
            }
            fn visit_i64<E: de::Error>(self, n: i64) -> Result<Self::Value, E> {
                let wrong = |_: E| E::invalid_value(Unexpected::Signed(n), &self);
                B::deserialize(n.into_deserializer()).map(Either::Bare).map_err(wrong)
            }
            fn visit_f64<E: de::Error>(self, n: f64) -> Result<Self::Value, E> {
                let wrong = |_: E| E::invalid_value(Unexpected::Float(n), &self);
                B::deserialize(n.into_deserializer()).map(Either::Bare).map_err(wrong)
            }
            fn visit_bool<E: de::Error>(self, flag: bool) -> Result<Self::Value, E> {
                let wrong = |_: E| E::invalid_value(Unexpected::Bool(flag), &self);
                B::deserialize(flag.into_deserializer()).map(Either::Bare).map_err(wrong)
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Self::Value, A::Error> {
                T::deserialize(MapAccessDeserializer::new(map)).map(Either::Table)
            }
        }
        deserializer.deserialize_any(Both(PhantomData))
    }
}

impl<B: JsonSchema, T: JsonSchema> JsonSchema for Either<B, T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("{}Or{}", B::schema_name(), T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [generator.subschema_for::<B>(), generator.subschema_for::<T>()] })
    }
}

/// One value, or a list of them.
#[derive(Debug, Clone)]
pub(crate) struct Many<T>(pub Vec<T>);

impl<'de> Deserialize<'de> for Many<u8> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct OneOrMore;
        impl<'de> Visitor<'de> for OneOrMore {
            type Value = Many<u8>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a whole number from 0 to 255, or a list of them")
            }
            fn visit_i64<E: de::Error>(self, n: i64) -> Result<Self::Value, E> {
                let n = u8::try_from(n).map_err(|_| E::invalid_value(Unexpected::Signed(n), &self))?;
                Ok(Many(vec![n]))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Self::Value, A::Error> {
                Vec::deserialize(SeqAccessDeserializer::new(seq)).map(Many)
            }
        }
        deserializer.deserialize_any(OneOrMore)
    }
}
impl JsonSchema for Many<u8> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "OneOrMore".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [generator.subschema_for::<u8>(), generator.subschema_for::<Vec<u8>>()] })
    }
}

/// A table whose keys are names, in the order of the file.
#[derive(Debug, Clone)]
pub(crate) struct Named<T>(pub Vec<(At<String>, T)>);

impl<T> Default for Named<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Named<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct All<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for All<T> {
            type Value = Named<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a table")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut all = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    all.push(entry);
                }
                Ok(Named(all))
            }
        }
        deserializer.deserialize_map(All(PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for Named<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("Named{}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "object", "additionalProperties": generator.subschema_for::<T>() })
    }
}

/// A data rate: a whole number of MT/s, or a text such as "2933 MT/s".
#[derive(Debug, Clone)]
pub(crate) struct MtPerS(pub String);

impl<'de> Deserialize<'de> for MtPerS {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Rate;
        impl Visitor<'_> for Rate {
            type Value = MtPerS;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a data rate such as 2933 or \"2933 MT/s\"")
            }
            fn visit_i64<E: de::Error>(self, n: i64) -> Result<MtPerS, E> {
                Ok(MtPerS(n.to_string()))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<MtPerS, E> {
                Ok(MtPerS(text.to_string()))
            }
        }
        deserializer.deserialize_any(Rate)
    }
}
impl JsonSchema for MtPerS {
    fn schema_name() -> Cow<'static, str> {
        "DataRate".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A data rate in MT/s: 2933 or \"2933 MT/s\", from 200 to 20000.",
            "anyOf": [
                { "type": "integer", "minimum": 200, "maximum": 20000 },
                { "type": "string", "pattern": "^\\s*[0-9]+\\s*([Mm][Tt]/[Ss])?\\s*$" }
            ]
        })
    }
}

/// A number with where it comes from.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Figure {
    /// The number.
    pub value: At<f64>,
    /// Where it is written.
    pub source: Option<At<String>>,
    /// How it was come by.
    pub mark: Option<MarkWord>,
}

/// `data/sources.toml`: the citation register.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "sources", rename = "Sources")]
pub(crate) struct SourcesFile {
    /// The version of this file format: 1.
    #[allow(dead_code, reason = "checked before the shape is read")]
    pub format: Option<At<u32>>,
    /// The sources by id.
    #[serde(default)]
    pub source: Named<SourceEntry>,
}

/// One source.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SourceEntry {
    /// Who published it.
    pub publisher: String,
    /// Its title.
    pub title: String,
    /// Edition, date or revision, as printed.
    pub edition: Option<String>,
    /// Page, clause or place within.
    pub place: Option<String>,
    /// How figures from it were come by.
    pub mark: MarkWord,
}
