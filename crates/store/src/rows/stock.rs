//! Items in and out.

use super::batches::find_or_make;
use super::cells::{cell, count, day, foreign, money, some, word};
use super::history::log;
use super::{Row, Tx};
use crate::bought::Bought;
use crate::error::{RowFault, StoreError};
use crate::stock::{ItemChange, Took};
use domain::item::{BatchId, Item, ItemId, ItemState, Model, ModelId, NewItem, Screened, Subject, Who};
use domain::{Capacity, Condition, DataRate, Generation, Kind};
use std::collections::HashMap;

/// Takes in all, or none where one can't be.
pub async fn take_in(tx: &mut Tx<'_>, items: &[NewItem], who: &Who) -> Result<Vec<Took>, StoreError> {
    let mut models = HashMap::new();
    let mut faults = Vec::new();
    let mut taken = Vec::with_capacity(items.len());
    for (row, item) in items.iter().enumerate() {
        let model = match models.get(&item.model) {
            Some(id) => *id,
            None => {
                let id = model_id(tx, &item.model).await?;
                models.insert(item.model.clone(), id);
                id
            }
        };
        match take_one(tx, model, item, who).await? {
            Ok(took) => taken.push(took),
            Err(why) => faults.push(RowFault { row, why }),
        }
    }
    if faults.is_empty() { Ok(taken) } else { Err(StoreError::Rows(faults)) }
}

/// The same with what each was bought with.
pub async fn take_in_bought(
    tx: &mut Tx<'_>,
    items: &[(NewItem, Option<Bought>)],
    who: &Who,
) -> Result<Vec<Took>, StoreError> {
    let mut batches = HashMap::new();
    let mut all = Vec::with_capacity(items.len());
    for (item, bought) in items {
        let mut item = item.clone();
        if let Some(bought) = bought {
            let batch = match batches.get(&(&bought.supplier, &bought.reference)) {
                Some(batch) => *batch,
                None => {
                    let batch = find_or_make(tx, bought, who).await?;
                    batches.insert((&bought.supplier, &bought.reference), batch);
                    batch
                }
            };
            item.batch = Some(batch);
        }
        all.push(item);
    }
    take_in(tx, &all, who).await
}

async fn take_one(tx: &mut Tx<'_>, model: i64, item: &NewItem, who: &Who) -> Result<Result<Took, String>, StoreError> {
    if item.quantity == 0 || (item.serial.is_some() && item.quantity != 1) {
        return Ok(Err(format!("its count is {}; one with a serial counts 1, a lot at least 1", item.quantity)));
    }
    if let Some(serial) = &item.serial
        && let Some(known) = by_serial_of(tx, serial, item.model.maker.as_deref().unwrap_or_default()).await?
    {
        return again(tx, &known, model, item, who).await;
    }
    let id: i64 = sqlx::query_scalar(
        "insert into item (model_id, maker, serial, serial_tail, condition, state, quantity, batch_id, bin, cost_minor,
             currency, screening, screening_note, made_year, made_week, received_on, note, received)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $7) returning id",
    )
    .bind(model)
    .bind(item.model.maker.as_deref().unwrap_or_default())
    .bind(item.serial.as_deref())
    .bind(item.serial.as_deref().map(tail))
    .bind(item.condition.word())
    .bind(state_of(item).word())
    .bind(i64::from(item.quantity))
    .bind(item.batch.map(|b| b.0))
    .bind(&item.bin)
    .bind(item.cost.minor())
    .bind(item.cost.currency().to_string())
    .bind(item.screened.word())
    .bind(&item.screening_note)
    .bind(item.made.map(|m| i64::from(m.0)))
    .bind(item.made.map(|m| i64::from(m.1)))
    .bind(item.received.days())
    .bind(&item.note)
    .fetch_one(&mut **tx)
    .await?;
    log(tx, who, Subject::Item(id), "taken in", &in_words(item)).await?;
    Ok(Ok(Took { id: ItemId(id), again: false }))
}

/// A module that was here before and comes back.
async fn again(
    tx: &mut Tx<'_>,
    known: &Item,
    model: i64,
    item: &NewItem,
    who: &Who,
) -> Result<Result<Took, String>, StoreError> {
    if matches!(known.state, ItemState::Shelf | ItemState::HeldBack) {
        let place = if known.bin.is_empty() { "no bin".to_string() } else { format!("bin {}", known.bin) };
        let serial = item.serial.as_deref().unwrap_or_default();
        return Ok(Err(format!("serial {serial} is in stock already: item {}, {place}, {}", known.id, known.state)));
    }
    sqlx::query(
        "update item set model_id = $1, condition = $2, state = $3, quantity = 1, batch_id = $4, bin = $5,
             cost_minor = $6, currency = $7, screening = $8, screening_note = $9, received_on = $10, note = $11,
             version = version + 1
         where id = $12",
    )
    .bind(model)
    .bind(item.condition.word())
    .bind(state_of(item).word())
    .bind(item.batch.map(|b| b.0))
    .bind(&item.bin)
    .bind(item.cost.minor())
    .bind(item.cost.currency().to_string())
    .bind(item.screened.word())
    .bind(&item.screening_note)
    .bind(item.received.days())
    .bind(&item.note)
    .bind(known.id.0)
    .execute(&mut **tx)
    .await?;
    let detail = format!("was {}; {}", known.state, in_words(item));
    log(tx, who, Subject::Item(known.id.0), "taken in again", &detail).await?;
    Ok(Ok(Took { id: known.id, again: true }))
}

/// What screening rejects is set aside from the start.
fn state_of(item: &NewItem) -> ItemState {
    if item.screened == Screened::Reject { ItemState::HeldBack } else { ItemState::Shelf }
}

fn in_words(item: &NewItem) -> String {
    let bin = if item.bin.is_empty() { String::new() } else { format!(", bin {}", item.bin) };
    format!("{} x {}, {}, {}{bin}, {}", item.quantity, item.model, item.condition, item.cost, item.screened)
}

/// A serial backwards, for searching by its end.
pub fn tail(serial: &str) -> String {
    serial.to_lowercase().chars().rev().collect()
}

async fn model_id(tx: &mut Tx<'_>, model: &Model) -> Result<i64, StoreError> {
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    let (part, maker, die) = (text(&model.part_number), text(&model.maker), text(&model.die));
    let known: Option<i64> =
        sqlx::query_scalar("select id from model where label = $1 and part_number = $2 and maker = $3 and die = $4")
            .bind(&model.label)
            .bind(&part)
            .bind(&maker)
            .bind(&die)
            .fetch_optional(&mut **tx)
            .await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let haystack = format!("{} {part} {maker} {die} {} {}", model.label, model.kind, model.generation).to_lowercase();
    // Two workers may meet here: the second one then finds what the first wrote.
    let id = sqlx::query_scalar(
        "insert into model (label, part_number, maker, die, generation, kind, capacity_mib, organisation, rate_mts, haystack)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)
         on conflict (label, part_number, maker, die) do update set haystack = excluded.haystack returning id",
    )
    .bind(&model.label)
    .bind(&part)
    .bind(&maker)
    .bind(&die)
    .bind(model.generation.name())
    .bind(model.kind.name())
    .bind(i64::try_from(model.capacity.mib()).unwrap_or(i64::MAX))
    .bind(&model.organisation)
    .bind(i64::from(model.rate.mts()))
    .bind(haystack)
    .fetch_one(&mut **tx)
    .await?;
    Ok(id)
}

/// One item.
pub async fn item(tx: &mut Tx<'_>, id: ItemId) -> Result<Item, StoreError> {
    let row = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts
         from item join model on model.id = model_id where item.id = $1",
    )
    .bind(id.0)
    .fetch_optional(&mut **tx)
    .await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "item", which: id.to_string() }), read)
}

/// Items by the whole serial; of several makers there may be more than one.
pub async fn by_serial(tx: &mut Tx<'_>, serial: &str) -> Result<Vec<Item>, StoreError> {
    let rows = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts
         from item join model on model.id = model_id where serial_tail = $1 order by item.id",
    )
    .bind(tail(serial))
    .fetch_all(&mut **tx)
    .await?;
    rows.iter().map(read).collect()
}

async fn by_serial_of(tx: &mut Tx<'_>, serial: &str, maker: &str) -> Result<Option<Item>, StoreError> {
    let all = by_serial(tx, serial).await?;
    Ok(all.into_iter().find(|i| i.model.maker.as_deref().unwrap_or_default() == maker))
}

/// Changes an item that somebody looked at.
pub async fn change(
    tx: &mut Tx<'_>,
    id: ItemId,
    version: Option<i64>,
    change: &ItemChange,
    who: &Who,
) -> Result<Item, StoreError> {
    let old = item(tx, id).await?;
    if version.is_some_and(|v| v != old.version) {
        return Err(StoreError::Changed { what: "item", which: id.to_string() });
    }
    let leaves = change.state.is_some_and(|s| s != ItemState::Shelf);
    if leaves && old.reserved > 0 {
        let why = format!("item {id} is promised to an order");
        return Err(StoreError::NotNow { why, hint: "exchange it there, or cancel the order first" });
    }
    let done = sqlx::query(
        "update item set bin = $1, state = $2, screening = $3, screening_note = $4, note = $5, cost_minor = $6,
             currency = $7, version = version + 1
         where id = $8 and version = $9 and ($10 = 0 or reserved = 0)",
    )
    .bind(change.bin.as_ref().unwrap_or(&old.bin))
    .bind(change.state.unwrap_or(old.state).word())
    .bind(change.screened.unwrap_or(old.screened).word())
    .bind(change.screening_note.as_ref().unwrap_or(&old.screening_note))
    .bind(change.note.as_ref().unwrap_or(&old.note))
    .bind(change.cost.unwrap_or(old.cost).minor())
    .bind(change.cost.unwrap_or(old.cost).currency().to_string())
    .bind(id.0)
    .bind(old.version)
    .bind(i64::from(leaves))
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() != 1 {
        return Err(StoreError::Changed { what: "item", which: id.to_string() });
    }
    log(tx, who, Subject::Item(id.0), "changed", &change.words(&old)).await?;
    item(tx, id).await
}

/// An item with its model, of a row that joins the two.
pub fn read(row: &Row) -> Result<Item, StoreError> {
    let serial: Option<String> = cell(row, "serial")?;
    let (year, week): (Option<i64>, Option<i64>) = (cell(row, "made_year")?, cell(row, "made_week")?);
    let made = year.zip(week).and_then(|(y, w)| Some((u16::try_from(y).ok()?, u8::try_from(w).ok()?)));
    let batch: Option<i64> = cell(row, "batch_id")?;
    Ok(Item {
        id: ItemId(cell(row, "id")?),
        model_id: ModelId(cell(row, "model_id")?),
        model: model(row)?,
        serial,
        condition: word(row, "condition", "condition", Condition::parse)?,
        state: word(row, "state", "state of an item", ItemState::parse)?,
        quantity: count(row, "quantity")?,
        reserved: count(row, "reserved")?,
        batch: batch.map(BatchId),
        bin: cell(row, "bin")?,
        cost: money(row, "cost_minor")?,
        screened: word(row, "screening", "screening result", Screened::parse)?,
        screening_note: cell(row, "screening_note")?,
        made,
        received: day(row, "received_on")?,
        note: cell(row, "note")?,
        version: cell(row, "version")?,
    })
}

/// The model of a row that has its columns.
pub fn model(row: &Row) -> Result<Model, StoreError> {
    let mib: i64 = cell(row, "capacity_mib")?;
    Ok(Model {
        label: cell(row, "label")?,
        part_number: some(row, "part_number")?,
        maker: some(row, "maker")?,
        die: some(row, "die")?,
        generation: word(row, "generation", "generation", Generation::parse)?,
        kind: word(row, "kind", "kind of module", Kind::parse)?,
        capacity: Capacity::from_mib(u64::try_from(mib).map_err(|_| foreign("capacity", mib))?),
        organisation: cell(row, "organisation")?,
        rate: DataRate::from_mts(count(row, "rate_mts")?),
    })
}
