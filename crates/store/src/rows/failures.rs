//! Modules that failed: found, sent back to their supplier, made good or not; and how often that happens.

use super::attachments::attach;
use super::cells::{cell, count, word};
use super::history::log;
use super::promise::split_off;
use super::stock::{item, read as read_item};
use super::{Row, Tx};
use crate::error::StoreError;
use crate::evidence::{Closing, NewAttachment, Sending};
use domain::failure::{CountedBy, Failed, Failure, FailureId, FailureState, NewFailure};
use domain::item::{ItemId, ItemState, Subject, Who};
use domain::{Day, Stamp};

/// Writes a failure of an item that is held back already.
pub async fn write(tx: &mut Tx<'_>, new: &NewFailure, who: &Who) -> Result<FailureId, StoreError> {
    let id: i64 = sqlx::query_scalar(
        "insert into failure (item_id, order_id, at, who, reason, record_hash, state)
         values ($1, $2, $3, $4, $5, $6, 'found') returning id",
    )
    .bind(new.item.0)
    .bind(new.order.map(|o| o.0))
    .bind(who.at.seconds())
    .bind(&who.name)
    .bind(&new.reason)
    .bind(new.record.as_deref())
    .fetch_one(&mut **tx)
    .await?;
    Ok(FailureId(id))
}

/// Holds one of an item back and writes its failure; one of a lot becomes an item of its own.
pub async fn report(
    tx: &mut Tx<'_>,
    new: &NewFailure,
    record: Option<(&str, &str, &[u8])>,
    who: &Who,
) -> Result<Failure, StoreError> {
    if new.reason.trim().is_empty() {
        return Err(StoreError::Refused("it is not said what the module did".to_string()));
    }
    // First, so that two who report one module wait for one another.
    sqlx::query("update item set state = state where id = $1").bind(new.item.0).execute(&mut **tx).await?;
    let was = item(tx, new.item).await?;
    let refused = |why: String| Err(StoreError::NotNow { why, hint: "look at the item and at what became of it" });
    match was.state {
        ItemState::Shelf if was.quantity > was.reserved => {}
        ItemState::Shelf => return refused(format!("item {} is promised; exchange it in its order first", was.id)),
        ItemState::HeldBack => {}
        ItemState::Shipped if was.serial.is_some() => {}
        state => return refused(format!("item {} is {state}; take it in again first", was.id)),
    }
    if open_of(tx, was.id).await?.is_some() {
        return refused(format!("item {} has an open failure already", was.id));
    }
    let aside = split_off(tx, &was).await?;
    log(tx, who, Subject::Item(aside.0), "failed", &new.reason).await?;
    if aside != was.id {
        log(tx, who, Subject::Item(was.id.0), "one failed", &format!("it is item {aside} now: {}", new.reason)).await?;
    }
    let mut new = NewFailure { item: aside, ..new.clone() };
    if let Some((name, media_type, bytes)) = record {
        let record = NewAttachment { subject: Subject::Item(aside.0), name, media_type, bytes };
        new.record = Some(attach(tx, &record, who).await?.hash);
    }
    let id = write(tx, &new, who).await?;
    one(tx, id).await
}

/// The failure of an item with which there is still something to do.
pub async fn open_of(tx: &mut Tx<'_>, item: ItemId) -> Result<Option<FailureId>, StoreError> {
    let id: Option<i64> = sqlx::query_scalar(
        "select id from failure where item_id = $1 and state in ('found', 'sent back', 'refused') order by id limit 1",
    )
    .bind(item.0)
    .fetch_optional(&mut **tx)
    .await?;
    Ok(id.map(FailureId))
}

/// One failure.
pub async fn one(tx: &mut Tx<'_>, id: FailureId) -> Result<Failure, StoreError> {
    let found = rows(tx, "", id.0, 0, 0, 1).await?;
    found.into_iter().next().ok_or(StoreError::Absent { what: "failure", which: id.to_string() })
}

/// Failures, the newest first; `state` is one word, `open` for all that are, or empty for all.
pub async fn list(
    tx: &mut Tx<'_>,
    state: &str,
    item: Option<ItemId>,
    skip: u32,
    most: u32,
) -> Result<Vec<Failure>, StoreError> {
    rows(tx, state, 0, item.map_or(0, |i| i.0), skip, most).await
}

async fn rows(
    tx: &mut Tx<'_>,
    state: &str,
    only: i64,
    of_item: i64,
    skip: u32,
    most: u32,
) -> Result<Vec<Failure>, StoreError> {
    let rows = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts,
             failure.id as failure_id, failure.at as failed_at, failure.who as failed_who, reason, record_hash,
             failure.state as became, failure.reference as return_reference, failure.note as became_note, closed_at,
             orders.number as order_number, supplier.name as supplier, batch.reference as batch_reference, warranty_until
         from failure join item on item.id = failure.item_id join model on model.id = model_id
             left join orders on orders.id = failure.order_id
             left join batch on batch.id = batch_id left join supplier on supplier.id = supplier_id
         where ($1 = 0 or failure.id = $1) and ($2 = 0 or failure.item_id = $2)
             and ($3 = '' or failure.state = $3 or ($3 = 'open' and failure.state in ('found', 'sent back', 'refused')))
         order by failure.id desc limit $4 offset $5",
    )
    .bind(only)
    .bind(of_item)
    .bind(state)
    .bind(i64::from(most))
    .bind(i64::from(skip))
    .fetch_all(&mut **tx)
    .await?;
    rows.iter().map(read).collect()
}

fn read(row: &Row) -> Result<Failure, StoreError> {
    let (supplier, reference): (Option<String>, Option<String>) =
        (cell(row, "supplier")?, cell(row, "batch_reference")?);
    let (closed, warranty): (Option<i64>, Option<i64>) = (cell(row, "closed_at")?, cell(row, "warranty_until")?);
    Ok(Failure {
        id: FailureId(cell(row, "failure_id")?),
        item: read_item(row)?,
        order: cell(row, "order_number")?,
        who: Who { name: cell(row, "failed_who")?, at: Stamp::from_seconds(cell(row, "failed_at")?) },
        reason: cell(row, "reason")?,
        record: cell(row, "record_hash")?,
        state: word(row, "became", "state of a failure", FailureState::parse)?,
        reference: cell(row, "return_reference")?,
        note: cell(row, "became_note")?,
        closed: closed.map(Stamp::from_seconds),
        bought: supplier.zip(reference),
        warranty_until: warranty.map(Day::from_days),
    })
}

/// Sends modules back, all of one supplier, or none.
pub async fn send(tx: &mut Tx<'_>, sending: &Sending, who: &Who) -> Result<Vec<Failure>, StoreError> {
    let mut supplier: Option<String> = None;
    for id in &sending.failures {
        let failure = one(tx, *id).await?;
        let Some((from, _)) = &failure.bought else {
            let words =
                format!("item {} was not bought in a batch, so it has no supplier to go back to", failure.item.id);
            return Err(StoreError::Refused(words));
        };
        if supplier.as_ref().is_some_and(|s| s != from) {
            let words = format!("failure {id} is of {from}, others of {}", supplier.unwrap_or_default());
            return Err(StoreError::Refused(words));
        }
        if !sending.late && failure.warranty_until.is_some_and(|until| until < who.at.day()) {
            let why = format!("the warranty of item {} is over", failure.item.id);
            let hint = "ask the supplier, and say that it goes back although the warranty is over";
            return Err(StoreError::NotNow { why, hint });
        }
        supplier = Some(from.clone());
        let closing = Closing { id: *id, to: FailureState::SentBack, note: sending.note.clone() };
        // What was refused once and goes back again has a number of each return.
        let before = Some(failure.reference.as_str()).filter(|r| !r.is_empty());
        let numbers: Vec<&str> = before.into_iter().chain([sending.reference.as_str()]).collect();
        step(tx, &failure, &closing, &numbers.join(", "), who).await?;
    }
    let mut sent = Vec::new();
    for id in &sending.failures {
        sent.push(one(tx, *id).await?);
    }
    Ok(sent)
}

/// Says what became of a failure.
pub async fn close(tx: &mut Tx<'_>, closing: &Closing, who: &Who) -> Result<Failure, StoreError> {
    let failure = one(tx, closing.id).await?;
    if closing.to == FailureState::SentBack {
        return Err(StoreError::Refused("modules are sent back with their supplier's number".to_string()));
    }
    step(tx, &failure, closing, &failure.reference, who).await?;
    one(tx, closing.id).await
}

async fn step(
    tx: &mut Tx<'_>,
    failure: &Failure,
    closing: &Closing,
    reference: &str,
    who: &Who,
) -> Result<(), StoreError> {
    let (id, to) = (closing.id, closing.to);
    if !failure.state.leads_to(to) {
        let why = format!("failure {id} is {}; it can't become {to}", failure.state);
        return Err(StoreError::NotNow { why, hint: "send a module back first; what is closed stays so" });
    }
    let done = sqlx::query(
        "update failure set state = $1, reference = $2, note = $3, closed_at = $4 where id = $5 and state = $6",
    )
    .bind(to.word())
    .bind(reference)
    .bind(&closing.note)
    .bind((!to.is_open()).then(|| who.at.seconds()))
    .bind(id.0)
    .bind(failure.state.word())
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() != 1 {
        return Err(StoreError::Changed { what: "failure", which: id.to_string() });
    }
    let now = match to {
        FailureState::Found | FailureState::Refused => ItemState::HeldBack,
        FailureState::SentBack | FailureState::Replaced | FailureState::Credited => ItemState::SentBack,
        FailureState::Scrapped => ItemState::Scrapped,
        FailureState::Sound => ItemState::Shelf,
    };
    let needed = if failure.state == FailureState::SentBack { ItemState::SentBack } else { ItemState::HeldBack };
    let done = sqlx::query("update item set state = $1, version = version + 1 where id = $2 and state = $3")
        .bind(now.word())
        .bind(failure.item.id.0)
        .bind(needed.word())
        .execute(&mut **tx)
        .await?;
    if done.rows_affected() != 1 {
        return Err(StoreError::State { item: failure.item.id, state: failure.item.state, needed: needed.word() });
    }
    let parts: Vec<&str> = [reference, &closing.note].into_iter().filter(|t| !t.is_empty()).collect();
    log(tx, who, Subject::Item(failure.item.id.0), to.word(), &parts.join("; ")).await
}

/// The question, by the text that names what is counted.
macro_rules! counted_sql {
    ($name:literal, $key:literal, $joins:literal) => {
        concat!(
            "with bad as (
                 select item_id, max(case when state in ('replaced', 'credited') then 1 else 0 end) as good
                 from failure where state <> 'sound' group by item_id),
             came as (select ", $name, " as name, sum(part.received) as received
                 from (select ", $key, ", sum(received) as received from item group by ", $key, ") part ", $joins, "
                 group by 1 having sum(part.received) > 0),
             broke as (select ", $name, " as name, count(*) as failed, sum(bad.good) as good
                 from bad join item part on part.id = bad.item_id ", $joins, " group by 1)
             select came.name as name, cast(came.received as bigint) as received,
                 cast(coalesce(broke.failed, 0) as bigint) as failed, cast(coalesce(broke.good, 0) as bigint) as made_good
             from came left join broke on broke.name = came.name order by failed desc, received desc, name"
        )
    };
    ($name:literal of batches) => {
        counted_sql!(
            $name,
            "batch_id",
            "left join batch on batch.id = part.batch_id left join supplier on supplier.id = supplier_id"
        )
    };
}

/// How many modules came in and how many of them failed. All items are summed up by an index alone before anything is joined.
pub async fn counted(tx: &mut Tx<'_>, by: CountedBy) -> Result<Vec<Failed>, StoreError> {
    let question = match by {
        CountedBy::Supplier => counted_sql!("coalesce(supplier.name, '')" of batches),
        CountedBy::Batch => counted_sql!("coalesce(supplier.name || ', ' || batch.reference, '')" of batches),
        CountedBy::Model => counted_sql!(
            "label || case when part_number = '' then '' else ', ' || part_number end",
            "model_id",
            "join model on model.id = part.model_id"
        ),
    };
    let rows = sqlx::query(question).fetch_all(&mut **tx).await?;
    let read = |row: &Row| {
        Ok(Failed {
            name: cell(row, "name")?,
            received: count(row, "received")?,
            failed: count(row, "failed")?,
            made_good: count(row, "made_good")?,
        })
    };
    rows.iter().map(read).collect()
}
