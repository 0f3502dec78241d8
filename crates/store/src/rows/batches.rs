//! Suppliers and what was bought from them at one time.

use super::cells::{cell, count, day};
use super::history::log;
use super::{Row, Tx};
use crate::bought::{Batch, Bought};
use crate::error::StoreError;
use crate::stock::Page;
use domain::Day;
use domain::item::{BatchId, Subject, Who};

/// The batch of that supplier and reference; it is written down where it is new.
pub async fn find_or_make(tx: &mut Tx<'_>, bought: &Bought, who: &Who) -> Result<BatchId, StoreError> {
    let supplier = supplier(tx, &bought.supplier).await?;
    let known: Option<i64> = sqlx::query_scalar("select id from batch where supplier_id = $1 and reference = $2")
        .bind(supplier)
        .bind(&bought.reference)
        .fetch_optional(&mut **tx)
        .await?;
    if let Some(id) = known {
        return Ok(BatchId(id));
    }
    // Two workers may meet here: the second one then finds what the first wrote.
    let id: i64 = sqlx::query_scalar(
        "insert into batch (supplier_id, reference, bought_on) values ($1, $2, $3)
         on conflict (supplier_id, reference) do update set reference = excluded.reference returning id",
    )
    .bind(supplier)
    .bind(&bought.reference)
    .bind(bought.on.days())
    .fetch_one(&mut **tx)
    .await?;
    log(tx, who, Subject::Batch(id), "bought", &format!("{}, {}", bought.supplier, bought.reference)).await?;
    Ok(BatchId(id))
}

/// The supplier of that name, in any case; it is written down where it is new.
async fn supplier(tx: &mut Tx<'_>, name: &str) -> Result<i64, StoreError> {
    let known: Option<i64> =
        sqlx::query_scalar("select id from supplier where lower(name) = lower($1) order by id limit 1")
            .bind(name)
            .fetch_optional(&mut **tx)
            .await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let id = sqlx::query_scalar(
        "insert into supplier (name) values ($1) on conflict (name) do update set name = excluded.name returning id",
    )
    .bind(name)
    .fetch_one(&mut **tx)
    .await?;
    Ok(id)
}

macro_rules! batches {
    ($rest:literal) => {
        concat!(
            "select batch.id as id, supplier.name as supplier, reference, bought_on, warranty_until, batch.note as note,
                 (select cast(coalesce(sum(received), 0) as bigint) from item where batch_id = batch.id) as modules,
                 (select count(distinct item_id) from failure join item on item.id = item_id
                      where batch_id = batch.id and failure.state <> 'sound') as failed
             from batch join supplier on supplier.id = supplier_id ",
            $rest
        )
    };
}

/// Batches, all or one, with what they hold.
pub async fn list(tx: &mut Tx<'_>, only: Option<BatchId>) -> Result<Vec<Batch>, StoreError> {
    let rows = sqlx::query(batches!("where ($1 = 0 or batch.id = $1) order by supplier.name, reference, batch.id"))
        .bind(only.map_or(0, |b| b.0))
        .fetch_all(&mut **tx)
        .await?;
    rows.iter().map(read).collect()
}

/// The newest batches, and how many there are.
pub async fn newest(tx: &mut Tx<'_>, most: u32) -> Result<Page<Batch>, StoreError> {
    let found: i64 = sqlx::query_scalar("select count(*) from batch").fetch_one(&mut **tx).await?;
    let rows = sqlx::query(batches!("order by bought_on desc, batch.id desc limit $1"))
        .bind(i64::from(most))
        .fetch_all(&mut **tx)
        .await?;
    let list = rows.iter().map(read).collect::<Result<_, _>>()?;
    Ok(Page { list, found: u64::try_from(found).unwrap_or_default() })
}

fn read(row: &Row) -> Result<Batch, StoreError> {
    let warranty: Option<i64> = cell(row, "warranty_until")?;
    Ok(Batch {
        id: BatchId(cell(row, "id")?),
        bought: Bought {
            supplier: cell(row, "supplier")?,
            reference: cell(row, "reference")?,
            on: day(row, "bought_on")?,
        },
        warranty_until: warranty.map(Day::from_days),
        note: cell(row, "note")?,
        modules: count(row, "modules")?,
        failed: count(row, "failed")?,
    })
}

/// Says until when a batch can go back.
pub async fn warranty(tx: &mut Tx<'_>, id: BatchId, until: Day, words: &str, who: &Who) -> Result<Batch, StoreError> {
    let done = sqlx::query("update batch set warranty_until = $1 where id = $2")
        .bind(until.days())
        .bind(id.0)
        .execute(&mut **tx)
        .await?;
    let absent = || StoreError::Absent { what: "batch", which: id.to_string() };
    if done.rows_affected() != 1 {
        return Err(absent());
    }
    log(tx, who, Subject::Batch(id.0), "warranty", words).await?;
    list(tx, Some(id)).await?.into_iter().next().ok_or_else(absent)
}
