//! A call of the API as its work sees it: who asks, for what, with which body.

use super::parameter::{self, MOST, SKIP};
use super::problem::{Problem, Wrong};
use crate::failure::Failure;
use crate::verbs::shop::pricing::Sale;
use crate::verbs::shop::{calendar, settings};
use crate::web::query::Query;
use crate::world::{self, Data};
use domain::item::{ItemId, Who};
use domain::shop::Shop;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::sync::Arc;
use store::Store;

/// A call that may be answered.
#[derive(Debug)]
pub struct Call {
    pub data: Arc<Data>,
    pub store: Arc<Store>,
    /// The settings of the server's `--shop`.
    pub settings: Option<Shop>,
    /// The token's name, and now.
    pub who: Who,
    /// The part of the path that names a thing.
    pub name: String,
    /// Held against the route's parameters already.
    pub query: Query,
    pub body: Vec<u8>,
    /// The version of `If-Match`.
    pub matches: Option<i64>,
}

impl Call {
    /// The body as what this route takes.
    ///
    /// # Errors
    /// 400 where it is no JSON, 422 where it is something else; line and column are told.
    pub fn body<T: DeserializeOwned>(&self) -> Result<T, Problem> {
        let value: Value = serde_json::from_slice(&self.body).map_err(|e| {
            Problem::bad(
                format!("the body is no JSON: {e}"),
                "send one JSON object, such as {} where nothing is to be said",
            )
        })?;
        // The reader below would take a list of values for an object, without their names.
        let lists = |v: &Value| v.as_array().is_some_and(|list| list.iter().any(Value::is_array));
        if value.as_object().is_none_or(|pairs| pairs.values().any(lists)) {
            return Err(Problem::wrong(
                "the body has a list where an object is needed",
                "send objects with their names",
            ));
        }
        let mut wrong = Vec::new();
        controls(&value, &mut String::new(), &mut wrong);
        if !wrong.is_empty() {
            return Err(Problem::wrong("the body has texts with control characters", "leave them out").with(wrong));
        }
        // Read again and not from the value: so a place can be told, and a name that stands twice is refused.
        serde_json::from_slice(&self.body).map_err(|e| {
            Problem::wrong(
                format!("the body is not what this address takes: {e}"),
                "see /api/v1/openapi.json for the names and what each holds",
            )
        })
    }
    /// The shop's settings: the server's own, else those that the store keeps.
    ///
    /// # Errors
    /// The store's.
    pub fn shop(&self) -> Result<Option<Shop>, Failure> {
        self.settings.clone().map_or_else(|| settings::kept(&self.data, &self.store), |own| Ok(Some(own)))
    }
    /// What is sold now.
    ///
    /// # Errors
    /// The store's.
    pub fn sale(&self) -> Result<Sale, Failure> {
        Ok(Sale { shop: self.shop()?, day: calendar::of(world::today()) })
    }
    /// The version that the caller looked at, of the body or of `If-Match`.
    ///
    /// # Errors
    /// Both are given and differ.
    pub fn seen(&self, version: Option<i64>) -> Result<Option<i64>, Problem> {
        match (version, self.matches) {
            (Some(a), Some(b)) if a != b => {
                Err(Problem::bad(format!("the body says version {a}, If-Match says {b}"), "give one of the two"))
            }
            (a, b) => Ok(a.or(b)),
        }
    }
    /// The item of the path, by its number only: a serial may look like another item's number.
    ///
    /// # Errors
    /// It is no number.
    pub fn item(&self) -> Result<ItemId, Problem> {
        Ok(ItemId(self.number("item")?))
    }
    /// The number of the path.
    ///
    /// # Errors
    /// It is none, so that there is no such thing.
    pub fn number(&self, what: &str) -> Result<i64, Problem> {
        self.name.parse().map_err(|_| Problem::absent(format!("there is no {what} `{}`", self.name.escape_debug())))
    }
    /// How many to leave out, and how many to answer.
    pub fn page(&self) -> (u32, u32) {
        let count = |p| parameter::number(&self.query, p).and_then(|n| u32::try_from(n).ok()).unwrap_or(0);
        (count(&SKIP), count(&MOST).max(1))
    }
}

/// Texts that no database or terminal shall meet; lines and tabs of a need document are well.
fn controls(value: &Value, at: &mut String, wrong: &mut Vec<Wrong>) {
    let harms = |t: &str| t.contains(|c: char| c.is_control() && !['\n', '\r', '\t'].contains(&c));
    let told = |at: &str| Wrong {
        pointer: at.to_string(),
        detail: "it has control characters".to_string(),
        hint: "leave them out".to_string(),
    };
    let length = at.len();
    match value {
        Value::String(text) if harms(text) => wrong.push(told(at)),
        Value::Array(list) => {
            for (i, value) in list.iter().enumerate() {
                at.push_str(&format!("/{i}"));
                controls(value, at, wrong);
                at.truncate(length);
            }
        }
        Value::Object(pairs) => {
            for (name, value) in pairs {
                at.push_str(&format!("/{}", name.replace('~', "~0").replace('/', "~1")));
                controls(value, at, wrong);
                at.truncate(length);
            }
        }
        _ => {}
    }
}
