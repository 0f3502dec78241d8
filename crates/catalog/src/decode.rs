//! Reads shapes out of a tree by serde, so that each fault knows its place and the nearest known name.

use crate::error::{Fault, Problem};
use crate::key::Key;
use crate::nearest::suggest;
use crate::text::{Span, shown};
use crate::tree::{Entry, Node, Value};
use serde::de::{self, DeserializeSeed, IntoDeserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::fmt;
use std::ops::Deref;

/// A value with its place.
#[derive(Debug, Clone)]
pub(crate) struct At<T> {
    pub value: T,
    pub span: Span,
}

impl<T> Deref for At<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

/// The name by which serde is asked for a value with its place.
pub(crate) const AT: &str = "$catalog::At";

impl<'de, T: Deserialize<'de>> Deserialize<'de> for At<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Whole<T>(std::marker::PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Whole<T> {
            type Value = At<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a value with its place")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<At<T>, A::Error> {
                let gone = || de::Error::custom("a value without its place");
                let start = seq.next_element()?.ok_or_else(gone)?;
                let end = seq.next_element()?.ok_or_else(gone)?;
                let value = seq.next_element()?.ok_or_else(gone)?;
                Ok(At { value, span: Span { start, end } })
            }
        }
        deserializer.deserialize_newtype_struct(AT, Whole(std::marker::PhantomData))
    }
}

/// Reads a shape out of a tree.
pub(crate) fn decode<'de, T: Deserialize<'de>>(node: &'de Node) -> Result<T, Fault> {
    T::deserialize(Reader(node))
}

impl de::Error for Fault {
    fn custom<M: fmt::Display>(message: M) -> Self {
        Self::new(None, Problem::Contradiction(message.to_string()))
    }
    fn invalid_type(found: de::Unexpected<'_>, expected: &dyn de::Expected) -> Self {
        Self::new(None, Problem::Type { expected: expected.to_string(), found: found.to_string() })
    }
    fn invalid_value(found: de::Unexpected<'_>, expected: &dyn de::Expected) -> Self {
        Self::invalid_type(found, expected)
    }
    fn unknown_field(field: &str, known: &'static [&'static str]) -> Self {
        let hint = suggest(field, known.iter().copied());
        Self::new(None, Problem::UnknownKey { key: shown(field) }).hint(hint)
    }
    fn unknown_variant(word: &str, known: &'static [&'static str]) -> Self {
        let hint = suggest(word, known.iter().copied());
        Self::new(None, Problem::UnknownWord { word: shown(word) }).hint(hint)
    }
    fn missing_field(field: &'static str) -> Self {
        let hint = format!("add a line `{field} = …`");
        Self::new(None, Problem::MissingKey { key: field.to_string() }).hint(hint)
    }
}
impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.problem.fmt(f)
    }
}
impl std::error::Error for Fault {}

/// Gives a fault the place where it has none yet.
fn placed<T>(result: Result<T, Fault>, span: Span) -> Result<T, Fault> {
    result.map_err(|mut fault| {
        fault.span.get_or_insert(span);
        fault
    })
}

struct Reader<'de>(&'de Node);

impl<'de> Reader<'de> {
    fn expected(&self, expected: &str) -> Fault {
        let found = self.0.words();
        let fault = Fault::new(self.0.span, Problem::Type { expected: expected.into(), found });
        let starts = |word: &str| expected.starts_with(word);
        match &self.0.value {
            Value::Text(_) if starts("a whole number") || starts("a number") || starts("`true`") => {
                fault.hint("take the quotes away")
            }
            Value::Whole(_) | Value::Number(_) | Value::Flag(_) if starts("a text") => {
                fault.hint("put it in double quotes, with its unit if it has one")
            }
            Value::Table(_) if starts("a list") => fault.hint("write the table's head in double brackets: [[…]]"),
            _ if starts("a list") => fault.hint("put it in brackets: [ … ]"),
            Value::List(_) if starts("a table") => fault.hint("write the table's head in single brackets: […]"),
            _ if starts("a table") => fault.hint("write a table: { key = value, … }"),
            _ => fault.hint(format!("write {expected} here")),
        }
    }
    fn whole(&self, least: i64, most: i64) -> Result<i64, Fault> {
        let out = |found: String| {
            let what = "a number here".to_string();
            let (least, most) = (least.to_string(), most.to_string());
            let hint = format!("give a whole number from {least} to {most}");
            Fault::new(self.0.span, Problem::Range { what, least, most, found }).hint(hint)
        };
        match &self.0.value {
            Value::Whole(Some(n)) if (least..=most).contains(n) => Ok(*n),
            Value::Whole(Some(n)) => Err(out(n.to_string())),
            Value::Whole(None) => Err(out("this number".to_string())),
            _ => Err(self.expected("a whole number")),
        }
    }
}

macro_rules! whole_numbers {
    ($($method:ident $visit:ident $type:ty, $least:expr, $most:expr;)*) => {$(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
            let n = self.whole($least, $most)?;
            placed(visitor.$visit(n as $type), self.0.span)
        }
    )*};
}

impl<'de> Deserializer<'de> for Reader<'de> {
    type Error = Fault;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        let span = self.0.span;
        let result = match &self.0.value {
            Value::Text(text) => visitor.visit_borrowed_str(text),
            Value::Whole(Some(n)) => visitor.visit_i64(*n),
            Value::Number(n) if n.is_finite() => visitor.visit_f64(*n),
            Value::Flag(flag) => visitor.visit_bool(*flag),
            Value::Number(_) | Value::Whole(None) | Value::Date => {
                Err(de::Error::invalid_type(de::Unexpected::Other(&self.0.words()), &visitor))
            }
            Value::List(list) => visitor.visit_seq(List(list.iter())),
            Value::Table(entries) => visitor.visit_map(Table { entries: entries.iter(), value: None }),
        };
        placed(result, span).map_err(|fault| match *fault.problem {
            // serde's words for what was found are a programmer's; ours say it plainly.
            Problem::Type { ref expected, .. } if fault.span == Some(span) => self.expected(expected),
            _ => fault,
        })
    }

    whole_numbers! {
        deserialize_u8 visit_u8 u8, 0, i64::from(u8::MAX);
        deserialize_u16 visit_u16 u16, 0, i64::from(u16::MAX);
        deserialize_u32 visit_u32 u32, 0, i64::from(u32::MAX);
        deserialize_u64 visit_u64 u64, 0, i64::MAX;
        deserialize_i64 visit_i64 i64, i64::MIN, i64::MAX;
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.0.value {
            Value::Number(n) if n.is_finite() => visitor.visit_f64(n),
            Value::Whole(Some(n)) => visitor.visit_f64(n as f64),
            _ => Err(self.expected("a number")),
        }
    }
    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.0.value {
            Value::Flag(flag) => visitor.visit_bool(flag),
            _ => Err(self.expected("`true` or `false`")),
        }
    }
    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Text(text) => placed(visitor.visit_borrowed_str(text), self.0.span),
            _ => Err(self.expected("a text")),
        }
    }
    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.deserialize_str(visitor)
    }
    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_some(self)
    }
    fn deserialize_newtype_struct<V: Visitor<'de>>(self, name: &'static str, visitor: V) -> Result<V::Value, Fault> {
        if name == AT {
            return visitor.visit_seq(Placed { node: self.0, step: 0 });
        }
        visitor.visit_newtype_struct(self)
    }
    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::List(list) => placed(visitor.visit_seq(List(list.iter())), self.0.span),
            _ => Err(self.expected("a list")),
        }
    }
    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Table(entries) => {
                placed(visitor.visit_map(Table { entries: entries.iter(), value: None }), self.0.span)
            }
            _ => Err(self.expected("a table")),
        }
    }
    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        self.deserialize_map(visitor)
    }
    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Text(text) => placed(visitor.visit_enum(text.as_str().into_deserializer()), self.0.span),
            _ => Err(self.expected("a text")),
        }
    }
    serde::forward_to_deserialize_any! {
        i8 i16 i32 i128 u128 f32 char bytes byte_buf unit unit_struct tuple tuple_struct identifier ignored_any
    }
}

/// The three steps of a value with its place: start, end, value.
struct Placed<'de> {
    node: &'de Node,
    step: u8,
}
impl<'de> SeqAccess<'de> for Placed<'de> {
    type Error = Fault;
    fn next_element_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<Option<T::Value>, Fault> {
        self.step += 1;
        match self.step {
            1 => seed.deserialize(self.node.span.start.into_deserializer()).map(Some),
            2 => seed.deserialize(self.node.span.end.into_deserializer()).map(Some),
            _ => seed.deserialize(Reader(self.node)).map(Some),
        }
    }
}

struct List<'de>(std::slice::Iter<'de, Node>);
impl<'de> SeqAccess<'de> for List<'de> {
    type Error = Fault;
    fn next_element_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<Option<T::Value>, Fault> {
        self.0.next().map(|node| seed.deserialize(Reader(node))).transpose()
    }
}

struct Table<'de> {
    entries: std::slice::Iter<'de, Entry>,
    value: Option<&'de Node>,
}
impl<'de> MapAccess<'de> for Table<'de> {
    type Error = Fault;
    fn next_key_seed<K: DeserializeSeed<'de>>(&mut self, seed: K) -> Result<Option<K::Value>, Fault> {
        let Some(entry) = self.entries.next() else {
            return Ok(None);
        };
        self.value = Some(&entry.node);
        placed(seed.deserialize(Key(entry)), entry.key_span).map(Some)
    }
    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Fault> {
        match self.value.take() {
            Some(node) => seed.deserialize(Reader(node)),
            None => Err(de::Error::custom("a key without its value")),
        }
    }
}
