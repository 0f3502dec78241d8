//! Cells of rows → words of the domain. A cell that this program never writes is an error, not a panic.

use super::{Db, Row};
use crate::error::StoreError;
use domain::{Currency, Day, Money};
use sqlx::{ColumnIndex, Decode, Row as _, Type};

/// A pattern for `lower(column) like`: these words anywhere. SQLite lowers no letters beyond ASCII, so each of those stands for any.
pub fn anywhere(words: &str) -> String {
    let plain = words.trim().to_lowercase().replace(['%', '_', '\\'], "");
    let pattern: String = plain.chars().map(|c| if c.is_ascii() { c } else { '_' }).collect();
    format!("%{pattern}%")
}

/// One cell.
pub fn cell<'r, T>(row: &'r Row, name: &'static str) -> Result<T, StoreError>
where
    T: Decode<'r, Db> + Type<Db>,
    &'static str: ColumnIndex<Row>,
{
    Ok(row.try_get(name)?)
}

/// A number of things.
pub fn count(row: &Row, name: &'static str) -> Result<u32, StoreError> {
    let number: i64 = cell(row, name)?;
    u32::try_from(number).map_err(|_| foreign("number", number))
}

/// A text, where an empty one stands for none.
pub fn some(row: &Row, name: &'static str) -> Result<Option<String>, StoreError> {
    let text: String = cell(row, name)?;
    Ok(Some(text).filter(|t| !t.is_empty()))
}

/// A word that `parse` knows.
pub fn word<T>(
    row: &Row,
    name: &'static str,
    what: &'static str,
    parse: fn(&str) -> Option<T>,
) -> Result<T, StoreError> {
    let text: String = cell(row, name)?;
    parse(&text).ok_or(StoreError::Foreign { what, value: text })
}

/// An amount of money.
pub fn money(row: &Row, minor: &'static str) -> Result<Money, StoreError> {
    Ok(Money::from_minor(cell(row, minor)?, word(row, "currency", "currency", Currency::parse)?))
}

/// A day.
pub fn day(row: &Row, name: &'static str) -> Result<Day, StoreError> {
    Ok(Day::from_days(cell(row, name)?))
}

/// A value that has no business here.
pub fn foreign(what: &'static str, value: impl ToString) -> StoreError {
    StoreError::Foreign { what, value: value.to_string() }
}
