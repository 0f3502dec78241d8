//! Changes of a TOML text by path: the text afterwards, or nothing where the path leads to no place of it.

use super::Held;
use crate::draft::quoted;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// The text with a value at a path; tables on the way are made where they lack.
pub(super) fn put(text: &str, path: &[&str], value: &Held) -> Option<String> {
    let mut document = document(text)?;
    let written = written(value)?;
    root(&mut document, path, &Change::Put(written))?;
    Some(document.to_string())
}

/// The text without what stands at a path.
pub(super) fn taken(text: &str, path: &[&str]) -> Option<String> {
    let mut document = document(text)?;
    root(&mut document, path, &Change::Take)?;
    Some(document.to_string())
}

/// The text with a table in place of a bare value, which stands in it under a key.
pub(super) fn widened(text: &str, path: &[&str], key: &str) -> Option<String> {
    let mut document = document(text)?;
    root(&mut document, path, &Change::Widen(key))?;
    Some(document.to_string())
}

/// The text with one more table in a list of tables.
pub(super) fn added(text: &str, list: &[&str], keys: &[(&str, Held)]) -> Option<String> {
    let mut document = document(text)?;
    let values = keys.iter().map(|(key, held)| Some((*key, written(held)?))).collect::<Option<Vec<_>>>()?;
    root(&mut document, list, &Change::Add(values))?;
    Some(document.to_string())
}

enum Change<'a> {
    Put(Value),
    Take,
    Widen(&'a str),
    Add(Vec<(&'a str, Value)>),
}

/// A text to change. What ends without a line end gets one, or what is added would stand behind a comment.
fn document(text: &str) -> Option<DocumentMut> {
    let end = if text.is_empty() || text.ends_with('\n') { "" } else { "\n" };
    format!("{text}{end}").parse().ok()
}

fn root(document: &mut DocumentMut, path: &[&str], change: &Change<'_>) -> Option<()> {
    within(document.as_table_mut(), path, change, Depth::Root)
}

/// Where a table stands, which says how tables in it are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Depth {
    Root,
    /// With a head of its own.
    Headed,
    /// In braces.
    Inline,
}

fn item(at: &mut Item, path: &[&str], change: &Change<'_>) -> Option<()> {
    match at {
        Item::Table(table) => within(table, path, change, Depth::Headed),
        Item::ArrayOfTables(tables) => {
            let (step, rest) = path.split_first()?;
            let place = step.parse::<usize>().ok()?;
            if rest.is_empty() && matches!(change, Change::Take) {
                return (place < tables.len()).then(|| tables.remove(place)).map(|_| ());
            }
            within(tables.get_mut(place)?, rest, change, Depth::Headed)
        }
        Item::Value(inner) => value(inner, path, change),
        Item::None => None,
    }
}

fn value(at: &mut Value, path: &[&str], change: &Change<'_>) -> Option<()> {
    match at {
        Value::InlineTable(table) => within(table, path, change, Depth::Inline),
        Value::Array(array) => {
            let (step, rest) = path.split_first()?;
            let place = step.parse::<usize>().ok()?;
            match (rest.is_empty(), change) {
                (true, Change::Put(value)) if place == array.len() => insert(array, place, value.clone()),
                (true, Change::Put(value)) => replace(array.get_mut(place)?, value),
                (true, Change::Take) if place < array.len() => cut(array, place),
                _ => return self::value(array.get_mut(place)?, rest, change),
            }
            Some(())
        }
        _ => None,
    }
}

fn within(table: &mut dyn TableLike, path: &[&str], change: &Change<'_>, depth: Depth) -> Option<()> {
    let (key, rest) = path.split_first()?;
    if !rest.is_empty() {
        if table.get(key).is_none_or(Item::is_none) {
            if matches!(change, Change::Take) {
                return None;
            }
            // The tables of the file get a head of their own, those within them stand in one line.
            let mut headed = Table::new();
            // Its head is written where a key stands under it, not where only tables do.
            headed.set_implicit(true);
            let braced = Item::Value(Value::InlineTable(InlineTable::new()));
            table.insert(key, if depth == Depth::Root { Item::Table(headed) } else { braced });
        }
        return item(table.get_mut(key)?, rest, change);
    }
    if depth == Depth::Inline && table.get(key).is_none() {
        // The space before the closing brace is the last value's; it is not before a comma.
        let last = table.iter_mut().last().and_then(|(_, item)| item.as_value_mut());
        last.map(|value| value.decor_mut().set_suffix("")).unwrap_or_default();
    }
    match (table.get_mut(key), change) {
        (_, Change::Take) => drop(table.remove(key)?),
        (Some(Item::Value(old)), Change::Put(new)) => replace(old, new),
        (_, Change::Put(new)) => drop(table.insert(key, Item::Value(new.clone()))),
        (Some(Item::Value(old)), Change::Widen(main)) => {
            let mut wide = InlineTable::new();
            if !main.is_empty() {
                wide.insert(*main, plain(old.clone()));
            }
            replace(old, &Value::InlineTable(wide));
        }
        (Some(Item::ArrayOfTables(tables)), Change::Add(keys)) => tables.push(row(keys)),
        (Some(Item::Value(Value::Array(array))), Change::Add(keys)) => {
            insert(array, array.len(), Value::InlineTable(one(keys)))
        }
        (None | Some(Item::None), Change::Add(keys)) => {
            let new = if depth == Depth::Inline {
                Item::Value(Value::Array(Array::from_iter([Value::InlineTable(one(keys))])))
            } else {
                let mut tables = ArrayOfTables::new();
                tables.push(row(keys));
                Item::ArrayOfTables(tables)
            };
            table.insert(key, new);
        }
        _ => return None,
    }
    Some(())
}

fn row(keys: &[(&str, Value)]) -> Table {
    let mut table = Table::new();
    for (key, value) in keys {
        table.insert(key, Item::Value(value.clone()));
    }
    table
}

fn one(keys: &[(&str, Value)]) -> InlineTable {
    keys.iter().map(|(key, value)| (*key, value.clone())).collect()
}

/// A value in place of another: what of a list stays keeps its lines and comments, and so does what stands around it.
fn replace(old: &mut Value, new: &Value) {
    if let (Value::Array(was), Value::Array(is)) = (&mut *old, new) {
        return renew(was, is);
    }
    let decor = old.decor().clone();
    *old = new.clone();
    *old.decor_mut() = decor;
}

fn renew(was: &mut Array, is: &Array) {
    let alike = |a: Option<&Value>, b: Option<&Value>| a.is_some_and(|a| b.is_some_and(|b| same(a, b)));
    let shorter = was.len().min(is.len());
    let head = (0..shorter).take_while(|at| alike(was.get(*at), is.get(*at))).count();
    let back = |list: &Array, at: usize| list.len().checked_sub(at + 1);
    let tail = (0..shorter - head)
        .take_while(|at| alike(back(was, *at).and_then(|i| was.get(i)), back(is, *at).and_then(|i| is.get(i))))
        .count();
    let (old, new) = (was.len() - head - tail, is.len() - head - tail);
    for at in head..head + old.min(new) {
        if let (Some(was), Some(is)) = (was.get_mut(at), is.get(at)) {
            replace(was, is);
        }
    }
    for _ in new..old {
        cut(was, head + new);
    }
    for at in old..new {
        if let Some(value) = is.get(head + at) {
            insert(was, head + at, value.clone());
        }
    }
}

/// What stands before an entry of a list: what belongs to the line above, its comment, and what to this one.
fn parted(before: &str) -> (&str, &str) {
    before.find('\n').map_or(("", before), |at| before.split_at(at))
}

fn before(value: Option<&Value>) -> String {
    value.and_then(|v| v.decor().prefix()).and_then(|p| p.as_str()).unwrap_or_default().to_string()
}

/// One more in a list, on a line of its own where the others have theirs.
fn insert(array: &mut Array, place: usize, value: Value) {
    let mut value = plain(value);
    let like = before(array.get(place.min(array.len().saturating_sub(1))));
    let Some((_, indent)) = like.rsplit_once('\n') else {
        return array.insert(place, value);
    };
    let end = if let Some(next) = array.get(place) {
        before(Some(next))
    } else if array.trailing_comma() {
        array.trailing().as_str().unwrap_or_default().to_string()
    } else {
        let last = array.iter_mut().last();
        let end =
            last.as_ref().and_then(|v| v.decor().suffix()).and_then(|s| s.as_str()).unwrap_or_default().to_string();
        last.map(|v| v.decor_mut().set_suffix("")).unwrap_or_default();
        end
    };
    let (above, own) = parted(&end);
    value.decor_mut().set_prefix(format!("{above}\n{indent}"));
    match array.get_mut(place) {
        Some(next) => next.decor_mut().set_prefix(own),
        None => {
            array.set_trailing(own);
            array.set_trailing_comma(true);
        }
    }
    array.insert_formatted(place, value);
}

/// An entry out of a list: the comment behind it goes with it, that of the line above stays.
fn cut(array: &mut Array, place: usize) {
    let was = before(Some(&array.remove(place)));
    let (above, own) = parted(&was);
    let next = array.get(place).map(|next| before(Some(next)));
    let end = next.clone().unwrap_or_else(|| array.trailing().as_str().unwrap_or_default().to_string());
    let kept = format!("{above}{}", if end.contains('\n') { parted(&end).1 } else { own });
    match array.get_mut(place) {
        Some(next) => next.decor_mut().set_prefix(kept),
        None if end.contains('\n') => array.set_trailing(kept),
        None => {}
    }
}

fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Array(a), Value::Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Value::String(a), Value::String(b)) => a.value() == b.value(),
        _ => plain(a.clone()).to_string() == plain(b.clone()).to_string(),
    }
}

fn plain(mut value: Value) -> Value {
    value.decor_mut().clear();
    value
}

/// As TOML has it; `None` where a number is none.
fn written(held: &Held) -> Option<Value> {
    Some(match held {
        Held::Words(words) => plain(quoted(words).parse().ok()?),
        Held::Number(number) => plain(number.parse().ok()?),
        Held::List(items) => Value::Array(items.iter().map(written).collect::<Option<Array>>()?),
    })
}
