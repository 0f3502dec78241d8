//! What is kept as evidence: once each by the sum of its bytes, and named wherever it belongs.

use super::cells::{cell, foreign};
use super::history::log;
use super::{Row, Tx};
use crate::error::StoreError;
use crate::evidence::{Content, NewAttachment, sum};
use domain::Stamp;
use domain::failure::{Attachment, AttachmentId};
use domain::item::{Subject, Who};

/// Keeps bytes, once, and names them as belonging to something.
pub async fn attach(tx: &mut Tx<'_>, new: &NewAttachment<'_>, who: &Who) -> Result<Attachment, StoreError> {
    let (subject, number) = new.subject.parts();
    let there = match new.subject {
        Subject::Item(_) => "select count(*) from item where id = $1",
        Subject::Order(_) => "select count(*) from orders where id = $1",
        Subject::Batch(_) => "select count(*) from batch where id = $1",
        _ => return Err(StoreError::Refused(format!("nothing is attached to a {subject}"))),
    };
    let there: i64 = sqlx::query_scalar(there).bind(number).fetch_one(&mut **tx).await?;
    if there == 0 {
        let what = if subject == "item" {
            "item"
        } else if subject == "order" {
            "order"
        } else {
            "batch"
        };
        return Err(StoreError::Absent { what, which: number.to_string() });
    }
    let hash = sum(new.bytes);
    sqlx::query("insert into content (hash, media_type, size, bytes) values ($1, $2, $3, $4) on conflict do nothing")
        .bind(&hash)
        .bind(new.media_type)
        .bind(i64::try_from(new.bytes.len()).unwrap_or(i64::MAX))
        .bind(new.bytes)
        .execute(&mut **tx)
        .await?;
    let id: i64 = sqlx::query_scalar(
        "insert into attachment (hash, subject, subject_id, name, at, who) values ($1, $2, $3, $4, $5, $6) returning id",
    )
    .bind(&hash)
    .bind(subject)
    .bind(number)
    .bind(new.name)
    .bind(who.at.seconds())
    .bind(&who.name)
    .fetch_one(&mut **tx)
    .await?;
    log(tx, who, new.subject, "attached", &format!("{}, {}", new.name, &hash[..12])).await?;
    let rows = sqlx::query(LIST).bind(subject).bind(number).bind(id).fetch_all(&mut **tx).await?;
    rows.first().map(read).transpose()?.ok_or_else(|| foreign("attachment", id))
}

const LIST: &str =
    "select attachment.id as id, attachment.hash as hash, subject, subject_id, name, media_type, size, at, who
     from attachment join content on content.hash = attachment.hash
     where subject = $1 and subject_id = $2 and ($3 = 0 or attachment.id = $3) order by attachment.id";

/// What is attached to something, the oldest first.
pub async fn of(tx: &mut Tx<'_>, about: Subject) -> Result<Vec<Attachment>, StoreError> {
    let (subject, number) = about.parts();
    let rows = sqlx::query(LIST).bind(subject).bind(number).bind(0_i64).fetch_all(&mut **tx).await?;
    rows.iter().map(read).collect()
}

fn read(row: &Row) -> Result<Attachment, StoreError> {
    let subject: String = cell(row, "subject")?;
    let size: i64 = cell(row, "size")?;
    Ok(Attachment {
        id: AttachmentId(cell(row, "id")?),
        hash: cell(row, "hash")?,
        subject: Subject::of(&subject, cell(row, "subject_id")?).ok_or_else(|| foreign("subject", &subject))?,
        name: cell(row, "name")?,
        media_type: cell(row, "media_type")?,
        size: u64::try_from(size).map_err(|_| foreign("size", size))?,
        who: Who { name: cell(row, "who")?, at: Stamp::from_seconds(cell(row, "at")?) },
    })
}

/// The bytes of that sum; they are summed again, so that nobody is shown what was changed behind the store's back.
pub async fn content(tx: &mut Tx<'_>, hash: &str) -> Result<Content, StoreError> {
    let row = sqlx::query("select media_type, bytes from content where hash = $1")
        .bind(hash)
        .fetch_optional(&mut **tx)
        .await?
        .ok_or_else(|| StoreError::Absent { what: "attachment with the sum", which: hash.to_string() })?;
    let bytes: Vec<u8> = cell(&row, "bytes")?;
    let is = sum(&bytes);
    if is != hash {
        return Err(foreign("content of the sum it is kept under", format!("sum {is}")));
    }
    Ok(Content { media_type: cell(&row, "media_type")?, bytes })
}
