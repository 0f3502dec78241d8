//! Taking stock: what a bin should hold, and what was found.

use super::Tx;
use super::history::log;
use super::stock::{change, read};
use crate::error::StoreError;
use crate::stock::ItemChange;
use crate::takes::Counted;
use domain::item::{Item, ItemState, Subject, Who};

/// What a bin should hold, in the order of numbers.
pub async fn of_bin(tx: &mut Tx<'_>, bin: &str) -> Result<Vec<Item>, StoreError> {
    let rows = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts
         from item join model on model.id = model_id
         where bin = $1 and quantity > 0 and state in ('on the shelf', 'held back') order by item.id",
    )
    .bind(bin)
    .fetch_all(&mut **tx)
    .await?;
    rows.iter().map(read).collect()
}

/// Makes the store say what was found: all of it, or nothing.
pub async fn accept(tx: &mut Tx<'_>, counted: &Counted, who: &Who) -> Result<i64, StoreError> {
    let id: i64 =
        sqlx::query_scalar("insert into stock_take (bin, at, who, result) values ($1, $2, $3, $4) returning id")
            .bind(&counted.bin)
            .bind(who.at.seconds())
            .bind(&who.name)
            .bind(&counted.result)
            .fetch_one(&mut **tx)
            .await?;
    let why = format!("stock-take {id}");
    for (item, version) in &counted.here {
        let to = ItemChange { bin: Some(counted.bin.clone()), why: why.clone(), ..ItemChange::default() };
        change(tx, *item, Some(*version), &to, who).await?;
    }
    for (item, version) in &counted.back {
        let (bin, state) = (Some(counted.bin.clone()), Some(ItemState::Shelf));
        let to = ItemChange { bin, state, why: why.clone(), ..ItemChange::default() };
        change(tx, *item, Some(*version), &to, who).await?;
    }
    for (item, version) in &counted.missing {
        let to = ItemChange { state: Some(ItemState::Missing), why: why.clone(), ..ItemChange::default() };
        change(tx, *item, Some(*version), &to, who).await?;
    }
    let words = format!(
        "bin {}: {} moved here, {} back on the shelf, {} missing",
        counted.bin,
        counted.here.len(),
        counted.back.len(),
        counted.missing.len()
    );
    log(tx, who, Subject::StockTake(id), "accepted", &words).await?;
    Ok(id)
}
