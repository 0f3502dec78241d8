//! A TOML text as a tree whose every key and value knows its place, and the merging of one tree over another.

use crate::error::{Fault, Problem};
use crate::files::LONGEST;
use crate::text::{Span, Texts};
use std::sync::Arc;
use toml::de::{DeTable, DeValue};

/// A value with its place.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub span: Span,
    pub value: Value,
}

/// What a value is.
#[derive(Debug, Clone)]
pub(crate) enum Value {
    Text(String),
    /// `None` where it is beyond 64 bits.
    Whole(Option<i64>),
    Number(f64),
    Flag(bool),
    Date,
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key with its value.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub key: String,
    pub key_span: Span,
    pub node: Node,
}

impl Node {
    /// The value of a key of this table.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        match &self.value {
            Value::Table(entries) => entries.iter().find(|e| e.key == key),
            _ => None,
        }
    }
    /// The text of a key of this table, with its place.
    pub fn text(&self, key: &str) -> Option<(&str, Span)> {
        match self.get(key).map(|e| &e.node) {
            Some(Node { value: Value::Text(text), span }) => Some((text, *span)),
            _ => None,
        }
    }
    /// What it is, in the words of a fault.
    pub fn words(&self) -> String {
        match &self.value {
            Value::Text(_) => "a text".into(),
            Value::Whole(Some(n)) => format!("the whole number {n}"),
            Value::Whole(None) => "a number beyond all range".into(),
            Value::Number(n) if !n.is_finite() => "no finite number".into(),
            Value::Number(n) => format!("the number {n}"),
            Value::Flag(flag) => format!("`{flag}`"),
            Value::Date => "a date".into(),
            Value::List(_) => "a list".into(),
            Value::Table(_) => "a table".into(),
        }
    }
}

/// Reads the bytes of a file into a tree, and keeps its text for errors.
pub(crate) fn parse(texts: &mut Texts, name: &str, bytes: &[u8]) -> Result<Node, Vec<Fault>> {
    let place = |base: usize, at: usize| Span { start: base + at, end: base + at + 1 };
    if bytes.len() > LONGEST {
        let base = texts.add(name, "".into());
        let fault = Fault::new(place(base, 0), Problem::TooLong { most: LONGEST });
        return Err(vec![fault.hint("is this the file that was meant? split a long list over several files")]);
    }
    let text: Arc<str> = match std::str::from_utf8(bytes) {
        Ok(text) => text.into(),
        Err(e) => {
            let byte = bytes.get(e.valid_up_to()).copied().unwrap_or_default();
            let base = texts.add(name, String::from_utf8_lossy(bytes).into());
            let fault = Fault::new(place(base, e.valid_up_to()), Problem::NotText { byte });
            return Err(vec![fault.hint("save the file as UTF-8 text")]);
        }
    };
    let base = texts.add(name, text.clone());
    match DeTable::parse(&text) {
        Ok(table) => Ok(node(base, table.span(), &DeValue::Table(table.into_inner()))),
        Err(error) => Err(vec![syntax(base, &text, &error)]),
    }
}

fn syntax(base: usize, text: &str, error: &toml::de::Error) -> Fault {
    let span = error.span().unwrap_or(text.len()..text.len());
    let message = error.message().trim();
    let hint = if message.contains("duplicate key") {
        "each key and each table stands once; take one of the two away"
    } else if message.contains("recursion") {
        "no file of ours nests tables or lists so deep"
    } else if message.contains("key with no value") || message.contains("equals") || text[..span.start].is_empty() {
        "each line is `key = value`, `[table]`, `[[table]]` or a `# comment`"
    } else if message.contains("control") || text.contains('\0') {
        "take the control character away; is this a text file?"
    } else {
        "texts stand in double quotes, lists in [ ], and each key on a line of its own"
    };
    Fault::new(Span { start: base + span.start, end: base + span.end }, Problem::Syntax(message.to_string())).hint(hint)
}

fn node(base: usize, range: std::ops::Range<usize>, value: &DeValue<'_>) -> Node {
    let at = |r: std::ops::Range<usize>| Span { start: base + r.start, end: base + r.end };
    let value = match value {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(n) => Value::Whole(i64::from_str_radix(n.as_str(), n.radix()).ok()),
        DeValue::Float(n) => Value::Number(n.as_str().parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(flag) => Value::Flag(*flag),
        DeValue::Datetime(_) => Value::Date,
        DeValue::Array(list) => Value::List(list.iter().map(|v| node(base, v.span(), v.get_ref())).collect()),
        DeValue::Table(table) => {
            let mut entries: Vec<Entry> = table
                .iter()
                .map(|(k, v)| Entry {
                    key: k.get_ref().to_string(),
                    key_span: at(k.span()),
                    node: node(base, v.span(), v.get_ref()),
                })
                .collect();
            entries.sort_by_key(|e| e.key_span.start);
            Value::Table(entries)
        }
    };
    Node { span: at(range), value }
}

/// Lays `over` on `base`: tables merge key by key, everything else replaces what was there.
pub(crate) fn merge(base: Node, over: Node) -> Node {
    match (base, over) {
        (Node { value: Value::Table(mut entries), .. }, Node { value: Value::Table(news), span }) => {
            for new in news {
                match entries.iter_mut().find(|e| e.key == new.key) {
                    Some(old) => {
                        let was = std::mem::replace(&mut old.node, Node { span, value: Value::Date });
                        old.key_span = new.key_span;
                        old.node = merge(was, new.node);
                    }
                    None => entries.push(new),
                }
            }
            Node { span, value: Value::Table(entries) }
        }
        (_, over) => over,
    }
}
