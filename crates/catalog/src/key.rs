//! The keys of a table for serde, with their places where asked for.

use crate::decode::AT;
use crate::error::Fault;
use crate::text::Span;
use crate::tree::Entry;
use serde::Deserializer;
use serde::de::{self, IntoDeserializer, Visitor};

/// A key, which may be asked for with its place.
pub(crate) struct Key<'de>(pub &'de Entry);
impl<'de> Deserializer<'de> for Key<'de> {
    type Error = Fault;
    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_borrowed_str(&self.0.key)
    }
    fn deserialize_newtype_struct<V: Visitor<'de>>(self, name: &'static str, visitor: V) -> Result<V::Value, Fault> {
        if name != AT {
            return visitor.visit_newtype_struct(self);
        }
        let Span { start, end } = self.0.key_span;
        let steps = [KeyStep::Offset(start), KeyStep::Offset(end), KeyStep::Name(&self.0.key)];
        visitor.visit_seq(de::value::SeqDeserializer::new(steps.into_iter()))
    }
    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        seq tuple tuple_struct map struct enum identifier ignored_any
    }
}

enum KeyStep<'de> {
    Offset(usize),
    Name(&'de str),
}
impl<'de> IntoDeserializer<'de, Fault> for KeyStep<'de> {
    type Deserializer = Self;
    fn into_deserializer(self) -> Self {
        self
    }
}
impl<'de> Deserializer<'de> for KeyStep<'de> {
    type Error = Fault;
    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self {
            Self::Offset(n) => visitor.visit_u64(n as u64),
            Self::Name(name) => visitor.visit_borrowed_str(name),
        }
    }
    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option unit unit_struct
        newtype_struct seq tuple tuple_struct map struct enum identifier ignored_any
    }
}
