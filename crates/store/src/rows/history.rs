//! What happened: every change writes a line, in the same transaction.

use super::cells::{cell, foreign};
use super::{Row, Tx};
use crate::error::StoreError;
use domain::Stamp;
use domain::item::{Event, Subject, Who};

/// Writes a line.
pub async fn log(tx: &mut Tx<'_>, who: &Who, about: Subject, act: &str, detail: &str) -> Result<(), StoreError> {
    let (subject, id) = about.parts();
    sqlx::query("insert into history (at, who, subject, subject_id, act, detail) values ($1, $2, $3, $4, $5, $6)")
        .bind(who.at.seconds())
        .bind(&who.name)
        .bind(subject)
        .bind(id)
        .bind(act)
        .bind(detail)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// What happened to one thing, the oldest first.
pub async fn of(tx: &mut Tx<'_>, about: Subject) -> Result<Vec<Event>, StoreError> {
    let (subject, id) = about.parts();
    let rows = sqlx::query("select * from history where subject = $1 and subject_id = $2 order by id")
        .bind(subject)
        .bind(id)
        .fetch_all(&mut **tx)
        .await?;
    rows.iter().map(event).collect()
}

fn event(row: &Row) -> Result<Event, StoreError> {
    let subject: String = cell(row, "subject")?;
    Ok(Event {
        who: Who { name: cell(row, "who")?, at: Stamp::from_seconds(cell(row, "at")?) },
        subject: Subject::of(&subject, cell(row, "subject_id")?).ok_or_else(|| foreign("subject", &subject))?,
        act: cell(row, "act")?,
        detail: cell(row, "detail")?,
    })
}
