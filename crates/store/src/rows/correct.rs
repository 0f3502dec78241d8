//! Mending what was written wrong of an item, and parting a lot.

use super::Tx;
use super::batches::find_or_make;
use super::history::log;
use super::stock::{by_serial, currency_of, fits, foreign_money, item, model_id, tail};
use crate::error::StoreError;
use crate::stock::Correction;
use domain::item::{BatchId, Item, ItemId, ItemState, Subject, Who};

/// Takes so many of a lot out of it as an item of its own; those that are promised stay.
pub async fn split(tx: &mut Tx<'_>, was: &Item, count: u32, state: ItemState, bin: &str) -> Result<ItemId, StoreError> {
    let done = sqlx::query(
        "update item set quantity = quantity - $2, received = received - $2, version = version + 1
         where id = $1 and version = $3 and quantity > $2 and quantity - reserved >= $2",
    )
    .bind(was.id.0)
    .bind(i64::from(count))
    .bind(was.version)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() != 1 {
        return Err(StoreError::Changed { what: "item", which: was.id.to_string() });
    }
    let id: i64 = sqlx::query_scalar(
        "insert into item (model_id, maker, serial, serial_tail, condition, state, quantity, batch_id, bin, cost_minor,
             currency, screening, screening_note, made_year, made_week, received_on, note, received)
         select model_id, maker, null, null, condition, $2, $3, batch_id, $4, cost_minor, currency, screening,
             screening_note, made_year, made_week, received_on, note, $3 from item where id = $1 returning id",
    )
    .bind(was.id.0)
    .bind(state.word())
    .bind(i64::from(count))
    .bind(bin)
    .fetch_one(&mut **tx)
    .await?;
    Ok(ItemId(id))
}

/// Takes a part of a lot out by a person's wish; both items' histories say so.
pub async fn part(tx: &mut Tx<'_>, was: &Item, count: u32, who: &Who) -> Result<ItemId, StoreError> {
    let free = was.quantity.saturating_sub(was.reserved);
    if count == 0 || count > free {
        let why = format!("item {} has {free} that are not promised, and {count} can't be taken from them", was.id);
        return Err(StoreError::NotNow { why, hint: "give a count from 1 to that" });
    }
    let id = split(tx, was, count, was.state, &was.bin).await?;
    log(tx, who, Subject::Item(was.id.0), "parted", &format!("{count} of {} are item {id} now", was.quantity)).await?;
    log(tx, who, Subject::Item(id.0), "parted", &format!("{count} of {} of item {}", was.quantity, was.id)).await?;
    Ok(id)
}

/// Mends what was written wrong of an item.
pub async fn correct(
    tx: &mut Tx<'_>,
    id: ItemId,
    version: Option<i64>,
    to: &Correction,
    who: &Who,
) -> Result<Item, StoreError> {
    // First, so that two who are at one item wait for one another.
    sqlx::query("update item set version = version + 1 where id = $1").bind(id.0).execute(&mut **tx).await?;
    let old = item(tx, id).await?;
    if version.is_some_and(|v| v.checked_add(1) != Some(old.version)) {
        return Err(StoreError::Changed { what: "item", which: id.to_string() });
    }
    let mut new = old.clone();
    new.model = to.model.clone().unwrap_or(new.model);
    new.serial = to.serial.clone().unwrap_or(new.serial);
    new.condition = to.condition.unwrap_or(new.condition);
    new.quantity = to.quantity.unwrap_or(new.quantity);
    new.cost = to.cost.unwrap_or(new.cost);
    new.received = to.received.unwrap_or(new.received);
    may_be(tx, &old, &new).await?;
    let batch = match &to.bought {
        Some(bought) => Some(find_or_make(tx, bought, who).await?),
        None => old.batch,
    };
    let model = model_id(tx, &new.model).await?;
    sqlx::query(
        "update item set model_id = $1, maker = $2, serial = $3, serial_tail = $4, condition = $5, quantity = $6,
             received = received + $7, cost_minor = $8, currency = $9, received_on = $10, batch_id = $11
         where id = $12",
    )
    .bind(model)
    .bind(new.model.maker.as_deref().unwrap_or_default())
    .bind(new.serial.as_deref())
    .bind(new.serial.as_deref().map(tail))
    .bind(new.condition.word())
    .bind(i64::from(new.quantity))
    .bind(i64::from(new.quantity) - i64::from(old.quantity))
    .bind(new.cost.minor())
    .bind(new.cost.currency().to_string())
    .bind(new.received.days())
    .bind(batch.map(|b| b.0))
    .bind(id.0)
    .execute(&mut **tx)
    .await?;
    let words = words(&old, &new, batch, to);
    if words.is_empty() {
        return Err(StoreError::Refused(format!("item {id} says that already")));
    }
    log(tx, who, Subject::Item(id.0), "corrected", &format!("{}; {}", words.join("; "), to.why)).await?;
    item(tx, id).await
}

/// What is promised was chosen for what it is, and money and serials must fit to the others.
async fn may_be(tx: &mut Tx<'_>, old: &Item, new: &Item) -> Result<(), StoreError> {
    let here = matches!(old.state, ItemState::Shelf | ItemState::HeldBack | ItemState::Missing);
    if !here && new.quantity != old.quantity {
        let why = format!("item {} is {} and not here to be counted", old.id, old.state);
        return Err(StoreError::NotNow { why, hint: "take it in again if it came back" });
    }
    if here {
        fits(new.quantity, new.serial.is_some()).map_err(StoreError::Refused)?;
    }
    let other = new.model != old.model || new.condition != old.condition;
    if old.reserved > 0 && (other || new.quantity < old.reserved) {
        let why = format!("item {} is promised to an order as it is written", old.id);
        return Err(StoreError::NotNow { why, hint: "exchange it there, or cancel the order first" });
    }
    // An item that is in another currency already may still have its serial mended.
    if new.cost != old.cost
        && let Some(currency) = currency_of(tx, Some(old.id)).await?
        && let Some(why) = foreign_money(new.cost, currency)
    {
        return Err(StoreError::Refused(why));
    }
    let maker = |item: &Item| item.model.maker.clone().unwrap_or_default();
    let Some(serial) = new.serial.as_ref().filter(|_| (&new.serial, maker(new)) != (&old.serial, maker(old))) else {
        return Ok(());
    };
    let all = by_serial(tx, serial).await?;
    let same = |i: &&Item| maker(i) == maker(new) || maker(i).is_empty() || maker(new).is_empty();
    match all.iter().filter(|i| i.id != old.id).find(same) {
        Some(i) => Err(StoreError::Refused(format!("serial {serial} is item {}, {}, already", i.id, i.state))),
        None => Ok(()),
    }
}

fn words(old: &Item, new: &Item, batch: Option<BatchId>, to: &Correction) -> Vec<String> {
    let mut parts = Vec::new();
    let mut part = |what: &str, from: String, to: String| {
        if from != to {
            let text = |t: String| if t.is_empty() { "none".to_string() } else { format!("`{t}`") };
            parts.push(format!("{what} {} to {}", text(from), text(to)));
        }
    };
    let some = |t: &Option<String>| t.clone().unwrap_or_default();
    part("label", old.model.label.clone(), new.model.label.clone());
    part("part number", some(&old.model.part_number), some(&new.model.part_number));
    part("maker", some(&old.model.maker), some(&new.model.maker));
    part("dies", some(&old.model.die), some(&new.model.die));
    part("serial", some(&old.serial), some(&new.serial));
    part("condition", old.condition.to_string(), new.condition.to_string());
    part("count", old.quantity.to_string(), new.quantity.to_string());
    part("cost", old.cost.to_string(), new.cost.to_string());
    if let Some(bought) = to.bought.as_ref().filter(|_| batch != old.batch) {
        parts.push(format!("bought from {} as {}", bought.supplier, bought.reference));
    }
    if new.received != old.received {
        parts.push("the day of receipt".to_string());
    }
    parts
}
