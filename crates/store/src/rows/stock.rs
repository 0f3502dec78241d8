//! Items in and out.

use super::batches::find_or_make;
use super::cells::{cell, count, day, foreign, money, some, word};
use super::correct::part;
use super::failures::open_of;
use super::history::log;
use super::{Row, Tx};
use crate::bought::Bought;
use crate::error::{RowFault, StoreError};
use crate::stock::{ItemChange, Took};
use domain::item::{BatchId, Item, ItemId, ItemState, Model, ModelId, NewItem, Screened, Subject, Who};
use domain::{Capacity, Condition, Currency, DataRate, Generation, Kind, Money};
use std::collections::HashMap;

/// Longest serial: SPD contents hold 8 digits, labels of makers up to some 30 signs.
const SERIAL_MOST: usize = 64;
/// Most modules of one lot.
const MOST: u32 = 100_000;

/// Takes in all, or none where one can't be.
pub async fn take_in(tx: &mut Tx<'_>, items: &[NewItem], who: &Who) -> Result<Vec<Took>, StoreError> {
    let mut models = HashMap::new();
    let mut faults = Vec::new();
    let mut taken = Vec::with_capacity(items.len());
    let mut currency = currency_of(tx, None).await?;
    for (row, item) in items.iter().enumerate() {
        let model = match models.get(&item.model) {
            Some(id) => *id,
            None => {
                let id = model_id(tx, &item.model).await?;
                models.insert(item.model.clone(), id);
                id
            }
        };
        match fate(tx, item, currency).await? {
            Fate::New => taken.push(take_one(tx, model, item, who).await?),
            Fate::Again(known) => taken.push(again(tx, &known, model, item, who).await?),
            Fate::Refused(why) => faults.push(RowFault { row, why }),
        }
        currency = currency.or(Some(item.cost.currency()));
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

/// What becomes of an item that comes in.
enum Fate {
    New,
    /// It was here before and left.
    Again(Box<Item>),
    Refused(String),
}

async fn fate(tx: &mut Tx<'_>, item: &NewItem, currency: Option<Currency>) -> Result<Fate, StoreError> {
    if let Err(why) = fits(item.quantity, item.serial.is_some()) {
        return Ok(Fate::Refused(why));
    }
    if let Some(why) = currency.and_then(|currency| foreign_money(item.cost, currency)) {
        return Ok(Fate::Refused(why));
    }
    let Some(serial) = &item.serial else { return Ok(Fate::New) };
    if serial.chars().any(|c| c.is_control()) || serial.chars().count() > SERIAL_MOST {
        return Ok(Fate::Refused(format!("its serial is not one line of at most {SERIAL_MOST} characters")));
    }
    let all = by_serial(tx, serial).await?;
    let maker = |model: &Model| model.maker.clone().unwrap_or_default();
    let ours = maker(&item.model);
    let same = all.iter().find(|i| maker(&i.model) == ours);
    // Where a maker is not known, the serial alone speaks: two makers that share one are rarer than a label without a maker.
    let perhaps = |i: &&Item| ours.is_empty() || maker(&i.model).is_empty();
    let Some(known) = same.or_else(|| all.iter().find(perhaps)) else { return Ok(Fate::New) };
    if matches!(known.state, ItemState::Shelf | ItemState::HeldBack) {
        return Ok(Fate::Refused(in_stock(serial, known, same.is_none())));
    }
    let alike = |a: &Model, b: &Model| (a.generation, a.kind, a.capacity) == (b.generation, b.kind, b.capacity);
    if same.is_some() || alike(&known.model, &item.model) {
        return Ok(Fate::Again(Box::new(known.clone())));
    }
    Ok(Fate::New)
}

/// Refuses a count that no item has.
pub fn fits(quantity: u32, serial: bool) -> Result<(), String> {
    match (quantity, serial) {
        (1, _) | (1..=MOST, false) => Ok(()),
        (_, true) => Err(format!("its count is {quantity}; a module with a serial counts 1")),
        (_, false) => Err(format!("its count is {quantity}; a lot counts 1 to {MOST}")),
    }
}

/// Why a cost can't stand beside those in stock: nothing could be summed up or planned any more.
pub fn foreign_money(cost: Money, currency: Currency) -> Option<String> {
    (cost.currency() != currency).then(|| format!("its cost is {cost}, and all that is in stock is in {currency}"))
}

/// The currency of what is in stock, but for one item; `None` where nothing is.
pub async fn currency_of(tx: &mut Tx<'_>, but: Option<ItemId>) -> Result<Option<Currency>, StoreError> {
    let found: Option<String> = sqlx::query_scalar(
        "select currency from item where state in ('on the shelf', 'held back') and id <> $1 order by id limit 1",
    )
    .bind(but.map_or(0, |b| b.0))
    .fetch_optional(&mut **tx)
    .await?;
    found.map(|code| Currency::parse(&code).ok_or_else(|| foreign("currency", &code))).transpose()
}

fn in_stock(serial: &str, known: &Item, unsure: bool) -> String {
    let place = if known.bin.is_empty() { "no bin".to_string() } else { format!("bin {}", known.bin) };
    let maker = if unsure { "; if it is another maker's, say which on both" } else { "" };
    format!("serial {serial} is in stock already: item {}, {place}, {}{maker}", known.id, known.state)
}

/// Why these could not be taken in, each as if it came alone; nothing is changed.
pub async fn refusals(tx: &mut Tx<'_>, items: &[NewItem]) -> Result<Vec<RowFault>, StoreError> {
    let mut faults = Vec::new();
    let mut currency = currency_of(tx, None).await?;
    for (row, item) in items.iter().enumerate() {
        if let Fate::Refused(why) = fate(tx, item, currency).await? {
            faults.push(RowFault { row, why });
        }
        currency = currency.or(Some(item.cost.currency()));
    }
    Ok(faults)
}

async fn take_one(tx: &mut Tx<'_>, model: i64, item: &NewItem, who: &Who) -> Result<Took, StoreError> {
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
    Ok(Took { id: ItemId(id), again: false })
}

/// A module that was here before and comes back. It stays of the batch by which it came in first, so that what failed of that one
/// stays there; the history tells of the other.
async fn again(tx: &mut Tx<'_>, known: &Item, model: i64, item: &NewItem, who: &Who) -> Result<Took, StoreError> {
    let done = sqlx::query(
        "update item set model_id = $1, condition = $2, state = $3, quantity = 1, batch_id = coalesce(batch_id, $4),
             bin = $5, maker = (select maker from model where model.id = $1), cost_minor = $6, currency = $7, screening = $8, screening_note = $9, received_on = $10, note = $11,
             version = version + 1
         where id = $12 and version = $13",
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
    .bind(known.version)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() != 1 {
        return Err(StoreError::Changed { what: "item", which: known.id.to_string() });
    }
    let detail = format!("was {}; {}", known.state, in_words(item));
    log(tx, who, Subject::Item(known.id.0), "taken in again", &detail).await?;
    Ok(Took { id: known.id, again: true })
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

/// The number of a model, which is written down where it is new.
pub async fn model_id(tx: &mut Tx<'_>, model: &Model) -> Result<i64, StoreError> {
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

/// Changes an item that somebody looked at.
pub async fn change(
    tx: &mut Tx<'_>,
    id: ItemId,
    version: Option<i64>,
    change: &ItemChange,
    who: &Who,
) -> Result<Item, StoreError> {
    let mut id = id;
    let mut old = item(tx, id).await?;
    if version.is_some_and(|v| v != old.version) {
        return Err(StoreError::Changed { what: "item", which: id.to_string() });
    }
    if let Some(count) = change.part.filter(|part| *part != old.quantity) {
        id = part(tx, &old, count, who).await?;
        old = item(tx, id).await?;
    }
    if matches!(change.state, Some(ItemState::Shelf | ItemState::Scrapped))
        && let Some(failure) = open_of(tx, id).await?
    {
        let why = format!("item {id} failed, and failure {failure} is open");
        return Err(StoreError::NotNow { why, hint: "close the failure: as sound, scrapped, or by sending it back" });
    }
    let leaves = change.state.is_some_and(|s| s != ItemState::Shelf);
    if leaves && old.reserved > 0 {
        let why = format!("item {id} is promised to an order");
        return Err(StoreError::NotNow { why, hint: "exchange it there, or cancel the order first" });
    }
    let done = sqlx::query(
        "update item set bin = $1, state = $2, screening = $3, screening_note = $4, note = $5, version = version + 1
         where id = $6 and version = $7 and ($8 = 0 or reserved = 0)",
    )
    .bind(change.bin.as_ref().unwrap_or(&old.bin))
    .bind(change.state.unwrap_or(old.state).word())
    .bind(change.screened.unwrap_or(old.screened).word())
    .bind(change.screening_note.as_ref().unwrap_or(&old.screening_note))
    .bind(change.note.as_ref().unwrap_or(&old.note))
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
