//! Promises: which module goes where. No module is ever promised twice: the row's own check and one conditional update
//! per module hold that on both databases.

use super::cells::{cell, count, word};
use super::history::log;
use super::orders::{advance, enter, one, step, touch};
use super::stock::item;
use super::{Row, Tx};
use crate::error::{StoreError, Taken};
use crate::orders::{Picked, Swap};
use domain::Stamp;
use domain::failure::NewFailure;
use domain::item::{Item, ItemId, ItemState, Subject, Who};
use domain::order::{Claim, Order, OrderId, Promise, Reservation, ReservationId, Stage};

/// Promises all of these modules to an order, or none.
pub async fn hold(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    claims: &[Claim],
    who: &Who,
) -> Result<Order, StoreError> {
    if claims.is_empty() {
        return Err(StoreError::Refused("no modules are named to be promised".to_string()));
    }
    let order = enter(tx, id, version, Stage::Reserved).await?;
    // In one order for all workers, so that they wait for one another instead of locking each other out.
    let mut sorted: Vec<&Claim> = claims.iter().collect();
    sorted.sort_by(|a, b| (a.item, a.machine, &a.slot).cmp(&(b.item, b.machine, &b.slot)));
    let mut taken = Vec::new();
    for claim in sorted {
        if claim.machine == 0 || claim.machine > order.machines {
            let words = format!("machine {} of {}: the order has {}", claim.machine, order.number, order.machines);
            return Err(StoreError::Refused(words));
        }
        match take(tx, claim.item).await? {
            Ok(()) => place(tx, &order, claim, Promise::Held, who).await?,
            Err(why) => taken.push(Taken { item: claim.item, slot: claim.slot.clone(), why }),
        }
    }
    if !taken.is_empty() {
        return Err(StoreError::Taken(taken));
    }
    step(tx, id, Stage::Reserved, who, &format!("{} modules", claims.len())).await?;
    one(tx, id).await
}

/// Takes one of an item, or says why it can't be.
async fn take(tx: &mut Tx<'_>, id: ItemId) -> Result<Result<(), String>, StoreError> {
    let done = sqlx::query(
        "update item set reserved = reserved + 1, version = version + 1
         where id = $1 and state = 'on the shelf' and reserved < quantity",
    )
    .bind(id.0)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 1 {
        return Ok(Ok(()));
    }
    match item(tx, id).await {
        Ok(item) if item.state != ItemState::Shelf => Ok(Err(format!("it is {}", item.state))),
        Ok(item) if item.quantity > 1 => Ok(Err(format!("all {} of the lot are promised", item.quantity))),
        Ok(_) => Ok(Err(promised_to(tx, id).await?)),
        Err(StoreError::Absent { .. }) => Ok(Err("there is no such item".to_string())),
        Err(other) => Err(other),
    }
}

/// For whom a single module is promised.
async fn promised_to(tx: &mut Tx<'_>, id: ItemId) -> Result<String, StoreError> {
    let row = sqlx::query(
        "select number, machine, slot from reservation join orders on orders.id = order_id
         where item_id = $1 and reservation.state in ('held', 'picked', 'built in') order by reservation.id limit 1",
    )
    .bind(id.0)
    .fetch_optional(&mut **tx)
    .await?;
    let Some(row) = row else { return Ok("it is promised".to_string()) };
    let (number, slot): (String, String) = (cell(&row, "number")?, cell(&row, "slot")?);
    Ok(format!("it is promised to {number}, machine {}, slot {slot}", count(&row, "machine")?))
}

async fn place(tx: &mut Tx<'_>, order: &Order, claim: &Claim, promise: Promise, who: &Who) -> Result<(), StoreError> {
    let done = sqlx::query(
        "insert into reservation (order_id, item_id, machine, slot, state, at, who) values ($1, $2, $3, $4, $5, $6, $7)
         on conflict do nothing",
    )
    .bind(order.id.0)
    .bind(claim.item.0)
    .bind(i64::from(claim.machine))
    .bind(&claim.slot)
    .bind(promise.word())
    .bind(who.at.seconds())
    .bind(&who.name)
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() != 1 {
        let words =
            format!("slot {} of machine {} of {} has its module already", claim.slot, claim.machine, order.number);
        return Err(StoreError::Refused(words));
    }
    let detail = format!("{}, machine {}, slot {}", order.number, claim.machine, claim.slot);
    log(tx, who, Subject::Item(claim.item.0), promise.word(), &detail).await
}

/// What is and was promised to an order, by machine and slot.
pub async fn of(tx: &mut Tx<'_>, id: OrderId) -> Result<Vec<Reservation>, StoreError> {
    let rows = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts,
             reservation.id as promise_id, reservation.machine as machine, reservation.slot as slot,
             reservation.state as promise, reservation.at as promise_at, reservation.who as promise_who
         from reservation join item on item.id = item_id join model on model.id = model_id
         where order_id = $1 order by machine, slot, reservation.id",
    )
    .bind(id.0)
    .fetch_all(&mut **tx)
    .await?;
    let read = |row: &Row| {
        Ok(Reservation {
            id: ReservationId(cell(row, "promise_id")?),
            order: id,
            item: super::stock::read(row)?,
            machine: count(row, "machine")?,
            slot: cell(row, "slot")?,
            promise: word(row, "promise", "promise", Promise::parse)?,
            who: Who { name: cell(row, "promise_who")?, at: Stamp::from_seconds(cell(row, "promise_at")?) },
        })
    };
    rows.iter().map(read).collect()
}

/// Marks promised modules of an order as picked, by item; all of them, or none. With the last one the order is picked.
pub async fn pick(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    items: &[ItemId],
    who: &Who,
) -> Result<Picked, StoreError> {
    // Two who pick the last two modules wait for one another here, so that one of them sees that none is left.
    let order = touch(tx, id, version).await?;
    match (order.stage, items.first()) {
        (Stage::Reserved, _) => {}
        (Stage::Picked, Some(item)) => return Err(not_waited_for(tx, &order, *item).await?),
        (from, _) => return Err(StoreError::Stage { order: order.number, from, to: Stage::Picked }),
    }
    for item in items {
        let done = sqlx::query(
            "update reservation set state = 'picked', at = $1, who = $2 where id =
                 (select min(id) from reservation where order_id = $3 and item_id = $4 and state = 'held')",
        )
        .bind(who.at.seconds())
        .bind(&who.name)
        .bind(id.0)
        .bind(item.0)
        .execute(&mut **tx)
        .await?;
        if done.rows_affected() != 1 {
            return Err(not_waited_for(tx, &order, *item).await?);
        }
        log(tx, who, Subject::Item(item.0), "picked", &order.number).await?;
    }
    let left: i64 = sqlx::query_scalar("select count(*) from reservation where order_id = $1 and state = 'held'")
        .bind(id.0)
        .fetch_one(&mut **tx)
        .await?;
    let order = if left == 0 { advance(tx, id, None, Stage::Picked, "", who).await? } else { one(tx, id).await? };
    Ok(Picked { left: u32::try_from(left).unwrap_or(u32::MAX), order })
}

/// Why an item can't be picked: it is picked already, or it is none of the order's.
async fn not_waited_for(tx: &mut Tx<'_>, order: &Order, id: ItemId) -> Result<StoreError, StoreError> {
    let picked: i64 = sqlx::query_scalar(
        "select count(*) from reservation where order_id = $1 and item_id = $2 and state = 'picked'",
    )
    .bind(order.id.0)
    .bind(id.0)
    .fetch_one(&mut **tx)
    .await?;
    let serial = item(tx, id).await?.serial.map_or_else(String::new, |s| format!(" ({s})"));
    Ok(match picked {
        0 => StoreError::NotNow {
            why: format!("item {id}{serial} is not one that {} waits for", order.number),
            hint: "put it back, and look at what the order still waits for",
        },
        1 => StoreError::NotNow {
            why: format!("item {id}{serial} is picked already for {}", order.number),
            hint: "leave it with what is picked, and go on with the next module",
        },
        all => StoreError::NotNow {
            why: format!("all {all} that {} takes of item {id} are picked already", order.number),
            hint: "leave them with what is picked, and put back what is more than that",
        },
    })
}

/// Are all modules of an order that far?
pub async fn need_all(tx: &mut Tx<'_>, order: &Order, state: &str) -> Result<(), StoreError> {
    let behind: i64 = sqlx::query_scalar(
        "select count(*) from reservation where order_id = $1 and state in ('held', 'picked') and state <> $2",
    )
    .bind(order.id.0)
    .bind(state)
    .fetch_one(&mut **tx)
    .await?;
    if behind > 0 {
        let why = format!("{behind} modules of {} are not {state} yet", order.number);
        return Err(StoreError::NotNow { why, hint: "see to those first, and then stamp the step" });
    }
    Ok(())
}

/// All that was picked is now in its machines.
pub async fn build_in(tx: &mut Tx<'_>, order: &Order) -> Result<(), StoreError> {
    sqlx::query("update reservation set state = 'built in' where order_id = $1 and state = 'picked'")
        .bind(order.id.0)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Lets go of everything that an order holds.
pub async fn release_all(tx: &mut Tx<'_>, order: &Order, who: &Who) -> Result<(), StoreError> {
    let held: Vec<i64> = sqlx::query_scalar(
        "select item_id from reservation where order_id = $1 and state in ('held', 'picked', 'built in') order by item_id",
    )
    .bind(order.id.0)
    .fetch_all(&mut **tx)
    .await?;
    for item in held {
        give_back(tx, ItemId(item)).await?;
        log(tx, who, Subject::Item(item), "released", &order.number).await?;
    }
    sqlx::query("update reservation set state = 'released', at = $1, who = $2 where order_id = $3 and state in ('held', 'picked')")
        .bind(who.at.seconds())
        .bind(&who.name)
        .bind(order.id.0)
        .execute(&mut **tx)
        .await?;
    sqlx::query(
        "update reservation set state = 'taken out', at = $1, who = $2 where order_id = $3 and state = 'built in'",
    )
    .bind(who.at.seconds())
    .bind(&who.name)
    .bind(order.id.0)
    .execute(&mut **tx)
    .await?;
    Ok(())
}

async fn give_back(tx: &mut Tx<'_>, id: ItemId) -> Result<(), StoreError> {
    sqlx::query("update item set reserved = reserved - 1, version = version + 1 where id = $1")
        .bind(id.0)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Everything that is built in leaves the shop.
pub async fn ship(tx: &mut Tx<'_>, order: &Order, who: &Who) -> Result<(), StoreError> {
    let gone: Vec<i64> = sqlx::query_scalar(
        "select item_id from reservation where order_id = $1 and state = 'built in' order by item_id",
    )
    .bind(order.id.0)
    .fetch_all(&mut **tx)
    .await?;
    for item in gone {
        sqlx::query(
            "update item set reserved = reserved - 1, quantity = quantity - 1, version = version + 1,
                 state = case when quantity = 1 then 'shipped' else state end
             where id = $1",
        )
        .bind(item)
        .execute(&mut **tx)
        .await?;
        log(tx, who, Subject::Item(item), "shipped", &order.number).await?;
    }
    Ok(())
}

/// Puts another module in the place of one, at the bench; the old one is set aside, or goes back to the shelf.
pub async fn swap(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    swap: &Swap,
    who: &Who,
) -> Result<(Item, Order), StoreError> {
    let order = touch(tx, id, version).await?;
    if !matches!(order.stage, Stage::Reserved | Stage::Picked | Stage::Built | Stage::Verified) {
        let why = format!("order {} is {}; modules are exchanged while it is at the bench", order.number, order.stage);
        return Err(StoreError::NotNow { why, hint: "look at the order's steps, and take the one that comes next" });
    }
    let row = sqlx::query(
        "select id, item_id, state from reservation
         where order_id = $1 and machine = $2 and slot = $3 and state in ('held', 'picked', 'built in')",
    )
    .bind(id.0)
    .bind(i64::from(swap.machine))
    .bind(&swap.slot)
    .fetch_optional(&mut **tx)
    .await?;
    let Some(row) = row else {
        let which = format!("in slot {} of machine {} of {}", swap.slot, swap.machine, order.number);
        return Err(StoreError::Absent { what: "module", which });
    };
    let (promise, old): (i64, i64) = (cell(&row, "id")?, cell(&row, "item_id")?);
    let at: Promise = word(&row, "state", "promise", Promise::parse)?;
    let now = if order.stage == Stage::Reserved { at } else { Promise::BuiltIn.min(at.max(Promise::Picked)) };
    if let Err(why) = take(tx, swap.item).await? {
        return Err(StoreError::Taken(vec![Taken { item: swap.item, slot: swap.slot.clone(), why }]));
    }
    let left = if at == Promise::BuiltIn { Promise::TakenOut } else { Promise::Released };
    sqlx::query("update reservation set state = $1, at = $2, who = $3 where id = $4")
        .bind(left.word())
        .bind(who.at.seconds())
        .bind(&who.name)
        .bind(promise)
        .execute(&mut **tx)
        .await?;
    set_aside(tx, ItemId(old), &order, swap, who).await?;
    let claim = Claim { item: swap.item, machine: swap.machine, slot: swap.slot.clone() };
    place(tx, &order, &claim, now, who).await?;
    let detail =
        format!("machine {}, slot {}: item {} for item {old}: {}", swap.machine, swap.slot, swap.item, swap.why);
    log(tx, who, Subject::Order(id.0), "module exchanged", &detail).await?;
    // What was verified was another machine.
    if order.stage == Stage::Verified {
        enter(tx, id, None, Stage::Built).await?;
        step(tx, id, Stage::Built, who, "a module was exchanged").await?;
    }
    Ok((item(tx, swap.item).await?, one(tx, id).await?))
}

/// Takes one out of its promise; a faulty one of a lot becomes an item of its own, so that it is not sold again.
async fn set_aside(tx: &mut Tx<'_>, old: ItemId, order: &Order, swap: &Swap, who: &Who) -> Result<(), StoreError> {
    let was = item(tx, old).await?;
    give_back(tx, old).await?;
    if !swap.faulty {
        return log(tx, who, Subject::Item(old.0), "taken out", &format!("{}: {}", order.number, swap.why)).await;
    }
    let aside = split_off(tx, &was).await?;
    let detail = format!("{}, machine {}, slot {}: {}", order.number, swap.machine, swap.slot, swap.why);
    log(tx, who, Subject::Item(aside.0), "taken out as faulty", &detail).await?;
    let found = NewFailure { item: aside, order: Some(order.id), reason: swap.why.clone(), record: None };
    super::failures::write(tx, &found, who).await?;
    Ok(())
}

/// Holds one of an item back: the item itself, or one of a lot, which becomes an item of its own.
pub async fn split_off(tx: &mut Tx<'_>, was: &Item) -> Result<ItemId, StoreError> {
    if was.quantity <= 1 {
        sqlx::query("update item set state = 'held back', quantity = 1, version = version + 1 where id = $1")
            .bind(was.id.0)
            .execute(&mut **tx)
            .await?;
        return Ok(was.id);
    }
    sqlx::query(
        "update item set quantity = quantity - 1, received = received - 1, version = version + 1 where id = $1",
    )
    .bind(was.id.0)
    .execute(&mut **tx)
    .await?;
    let id: i64 = sqlx::query_scalar(
        "insert into item (model_id, maker, serial, serial_tail, condition, state, quantity, batch_id, bin, cost_minor,
             currency, screening, screening_note, made_year, made_week, received_on, note, received)
         select model_id, maker, null, null, condition, 'held back', 1, batch_id, bin, cost_minor, currency, screening,
             screening_note, made_year, made_week, received_on, note, 1 from item where id = $1 returning id",
    )
    .bind(was.id.0)
    .fetch_one(&mut **tx)
    .await?;
    Ok(ItemId(id))
}
