//! Lists and objects as management controllers really write them.

use serde::de::value::{
    BorrowedStrDeserializer, F64Deserializer, I64Deserializer, MapAccessDeserializer, SeqAccessDeserializer,
    StrDeserializer, U64Deserializer,
};
use serde::de::{Deserialize, Deserializer, Error, IgnoredAny, IntoDeserializer, MapAccess, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// Any number of values; one value without brackets is a list of one.
#[derive(Debug, Clone, PartialEq)]
pub struct List<T>(pub Vec<T>);

/// An object; anything else is an empty one.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Object<T>(pub T);

/// An object, or a bare list that stands for an object with such members.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Branch<T>(pub T);

impl<T> Default for List<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for List<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Visit<T> {
            type Value = List<T>;
            swallow!();
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<List<T>, A::Error> {
                let mut all = Vec::new();
                while let Some(one) = seq.next_element()? {
                    all.push(one);
                }
                Ok(List(all))
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<List<T>, A::Error> {
                Ok(List(vec![T::deserialize(MapAccessDeserializer::new(map))?]))
            }
            fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<List<T>, E> {
                Ok(List(vec![T::deserialize(BorrowedStrDeserializer::new(text))?]))
            }
            fn visit_str<E: Error>(self, text: &str) -> Result<List<T>, E> {
                let one: StrDeserializer<'_, E> = text.into_deserializer();
                Ok(List(vec![T::deserialize(one)?]))
            }
            fn visit_u64<E: Error>(self, n: u64) -> Result<List<T>, E> {
                let one: U64Deserializer<E> = n.into_deserializer();
                Ok(List(vec![T::deserialize(one)?]))
            }
            fn visit_i64<E: Error>(self, n: i64) -> Result<List<T>, E> {
                let one: I64Deserializer<E> = n.into_deserializer();
                Ok(List(vec![T::deserialize(one)?]))
            }
            fn visit_f64<E: Error>(self, n: f64) -> Result<List<T>, E> {
                let one: F64Deserializer<E> = n.into_deserializer();
                Ok(List(vec![T::deserialize(one)?]))
            }
            fn visit_bool<E: Error>(self, _: bool) -> Result<List<T>, E> {
                Ok(List::default())
            }
        }
        deserializer.deserialize_any(Visit(PhantomData))
    }
}

/// What is neither object nor list says nothing here.
macro_rules! nothing {
    () => {
        fn visit_bool<E: Error>(self, _: bool) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
        fn visit_str<E: Error>(self, _: &str) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
        fn visit_u64<E: Error>(self, _: u64) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
        fn visit_i64<E: Error>(self, _: i64) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
        fn visit_f64<E: Error>(self, _: f64) -> Result<Self::Value, E> {
            Ok(Self::Value::default())
        }
    };
}

impl<'de, T: Deserialize<'de> + Default> Deserialize<'de> for Object<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de> + Default> Visitor<'de> for Visit<T> {
            type Value = Object<T>;
            swallow!();
            nothing!();
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Object<T>, A::Error> {
                while seq.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Object::default())
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Object<T>, A::Error> {
                T::deserialize(MapAccessDeserializer::new(map)).map(Object)
            }
        }
        deserializer.deserialize_any(Visit(PhantomData))
    }
}

/// What a bare list can stand for.
pub trait OfMembers {
    type Member;
    fn of_members(members: Vec<Self::Member>) -> Self;
}

impl<'de, T: Deserialize<'de> + Default + OfMembers> Deserialize<'de> for Branch<T>
where
    T::Member: Deserialize<'de>,
{
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visit<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de> + Default + OfMembers> Visitor<'de> for Visit<T>
        where
            T::Member: Deserialize<'de>,
        {
            type Value = Branch<T>;
            swallow!();
            nothing!();
            fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Branch<T>, A::Error> {
                let all = List::<T::Member>::deserialize(SeqAccessDeserializer::new(seq))?;
                Ok(Branch(T::of_members(all.0)))
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Branch<T>, A::Error> {
                T::deserialize(MapAccessDeserializer::new(map)).map(Branch)
            }
        }
        deserializer.deserialize_any(Visit(PhantomData))
    }
}
