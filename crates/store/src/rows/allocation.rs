//! Proposals of the allocation, and what becomes of them.

use super::cells::cell;
use super::history::log;
use super::{Row, Tx, orders, promise};
use crate::allocation::{Allocation, AllocationHead, Assigned};
use crate::error::StoreError;
use domain::item::{Subject, Who};
use domain::order::OrderId;

/// Keeps a proposal; older ones that still wait are withdrawn.
pub async fn propose(tx: &mut Tx<'_>, answer: &str, served: &[OrderId], who: &Who) -> Result<i64, StoreError> {
    sqlx::query("update allocation set state = 'withdrawn' where state = 'proposed'").execute(&mut **tx).await?;
    let id: i64 = sqlx::query_scalar(
        "insert into allocation (at, who, state, answer) values ($1, $2, 'proposed', $3) returning id",
    )
    .bind(who.at.seconds())
    .bind(&who.name)
    .bind(answer)
    .fetch_one(&mut **tx)
    .await?;
    for order in served {
        sqlx::query("insert into allocation_order (allocation_id, order_id, state) values ($1, $2, 'proposed')")
            .bind(id)
            .bind(order.0)
            .execute(&mut **tx)
            .await?;
    }
    log(tx, who, Subject::Allocation(id), "proposed", &format!("{} orders", served.len())).await?;
    Ok(id)
}

/// One proposal.
pub async fn one(tx: &mut Tx<'_>, id: i64) -> Result<Allocation, StoreError> {
    let row = sqlx::query("select * from allocation where id = $1").bind(id).fetch_optional(&mut **tx).await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "allocation", which: id.to_string() }), read)
}

/// The newest one.
pub async fn newest(tx: &mut Tx<'_>) -> Result<Option<Allocation>, StoreError> {
    let row = sqlx::query("select * from allocation order by id desc limit 1").fetch_optional(&mut **tx).await?;
    row.as_ref().map(read).transpose()
}

/// The newest one, without its document.
pub async fn newest_head(tx: &mut Tx<'_>) -> Result<Option<AllocationHead>, StoreError> {
    let row =
        sqlx::query("select id, at, state from allocation order by id desc limit 1").fetch_optional(&mut **tx).await?;
    let head =
        |row: &Row| Ok(AllocationHead { number: cell(row, "id")?, made: cell(row, "at")?, state: cell(row, "state")? });
    row.as_ref().map(head).transpose()
}

/// Orders of a proposal that still wait for modules, with their versions.
pub async fn waiting(tx: &mut Tx<'_>, id: i64) -> Result<Vec<(OrderId, i64)>, StoreError> {
    let rows = sqlx::query(
        "select orders.id, orders.version from allocation_order join orders on orders.id = order_id
         where allocation_id = $1 and stage in ('asked', 'chosen') order by orders.id",
    )
    .bind(id)
    .fetch_all(&mut **tx)
    .await?;
    rows.iter().map(|row| Ok((OrderId(cell(row, "id")?), cell(row, "version")?))).collect()
}

/// Orders that a proposal serves, each with what became of that: `proposed` or `accepted`.
pub async fn states(tx: &mut Tx<'_>, id: i64) -> Result<Vec<(OrderId, String)>, StoreError> {
    let rows = sqlx::query("select order_id, state from allocation_order where allocation_id = $1 order by order_id")
        .bind(id)
        .fetch_all(&mut **tx)
        .await?;
    rows.iter().map(|row| Ok((OrderId(cell(row, "order_id")?), cell(row, "state")?))).collect()
}

/// Chooses the builds and promises the modules of these orders: all, or none.
pub async fn accept(tx: &mut Tx<'_>, id: i64, assigned: &[Assigned], who: &Who) -> Result<(), StoreError> {
    sqlx::query("update allocation set state = state where id = $1").bind(id).execute(&mut **tx).await?;
    let kept = one(tx, id).await?;
    if !["proposed", "partly accepted"].contains(&kept.state.as_str()) {
        let why = format!("allocation {id} is {}; only a proposed one can be accepted", kept.state);
        return Err(StoreError::NotNow { why, hint: "propose again, and accept that one" });
    }
    if assigned.is_empty() {
        return Err(StoreError::Refused(format!("allocation {id} serves none of these orders")));
    }
    for one in assigned {
        let done = sqlx::query(
            "update allocation_order set state = 'accepted'
             where allocation_id = $1 and order_id = $2 and state = 'proposed'",
        )
        .bind(id)
        .bind(one.order.0)
        .execute(&mut **tx)
        .await?;
        if done.rows_affected() != 1 {
            let order = orders::one(tx, one.order).await?.number;
            return Err(match states(tx, id).await?.iter().any(|(of, _)| *of == one.order) {
                true => StoreError::NotNow {
                    why: format!("order {order} was accepted from allocation {id} already"),
                    hint: "accept the others without it",
                },
                false => StoreError::NotNow {
                    why: format!("allocation {id} gives nothing to order {order}"),
                    hint: "look at what it gives to whom, or propose again",
                },
            });
        }
        orders::choose(tx, one.order, Some(one.version), &one.build, one.priced, who).await?;
        promise::hold(tx, one.order, None, &one.claims, who).await?;
    }
    let left: i64 =
        sqlx::query_scalar("select count(*) from allocation_order where allocation_id = $1 and state = 'proposed'")
            .bind(id)
            .fetch_one(&mut **tx)
            .await?;
    let state = if left == 0 { "accepted" } else { "partly accepted" };
    sqlx::query("update allocation set state = $1 where id = $2").bind(state).bind(id).execute(&mut **tx).await?;
    log(tx, who, Subject::Allocation(id), state, &format!("{} orders", assigned.len())).await
}

fn read(row: &Row) -> Result<Allocation, StoreError> {
    Ok(Allocation { number: cell(row, "id")?, state: cell(row, "state")?, answer: cell(row, "answer")? })
}
