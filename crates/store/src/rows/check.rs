//! Does the store hold together? Each question has no row for an answer where it does.

use super::Tx;
use crate::error::StoreError;

/// (what is wrong with a row that is found, the question)
const QUESTIONS: &[(&str, &str)] = &[
    (
        "item counts another number of promises than there are",
        "select cast(item.id as text) from item where reserved <> (
             select count(*) from reservation join orders on orders.id = order_id
             where item_id = item.id and reservation.state in ('held', 'picked', 'built in')
                 and stage not in ('shipped', 'cancelled'))",
    ),
    (
        "item has more promised than there is",
        "select cast(id as text) from item where reserved > quantity or reserved < 0",
    ),
    (
        "item with a serial is promised to two places at once",
        "select cast(item_id as text) from reservation join item on item.id = item_id
             join orders on orders.id = order_id
         where serial is not null and reservation.state in ('held', 'picked', 'built in')
             and stage not in ('shipped', 'cancelled')
         group by item_id having count(*) > 1",
    ),
    (
        "item is promised but not on the shelf",
        "select cast(id as text) from item where reserved > 0 and state <> 'on the shelf'",
    ),
    (
        "order without promises is past the choice",
        "select number from orders where stage in ('reserved', 'picked', 'built', 'verified') and not exists (
             select 1 from reservation where order_id = orders.id and state in ('held', 'picked', 'built in'))",
    ),
    (
        "order holds modules before its time or after its end",
        "select number from orders where stage in ('asked', 'chosen', 'cancelled') and exists (
             select 1 from reservation where order_id = orders.id and state in ('held', 'picked', 'built in'))",
    ),
    (
        "order's newest step is another than its stage",
        "select number from orders where not exists (
             select 1 from order_stage where order_id = orders.id and order_stage.stage = orders.stage)",
    ),
    (
        "cost of an item is in another currency than most (correct it: nothing can be summed up or planned otherwise)",
        "select cast(id as text) from item where state in ('on the shelf', 'held back') and currency <> (
             select currency from item where state in ('on the shelf', 'held back')
             group by currency order by count(*) desc, currency limit 1) order by id",
    ),
    (
        "item has no line of history",
        "select cast(id as text) from item where not exists (
             select 1 from history where subject = 'item' and subject_id = item.id)",
    ),
    (
        "quote has more than one version that is open or ordered",
        "select number from quote where state in ('open', 'ordered') group by number having count(*) > 1",
    ),
    (
        "quote and orders disagree about whether it was ordered",
        "select number from quote where (state = 'ordered') <> exists (select 1 from orders where quote_id = quote.id)",
    ),
];

/// What does not hold, at most a hundred lines.
pub async fn all(tx: &mut Tx<'_>) -> Result<Vec<String>, StoreError> {
    let mut wrong = Vec::new();
    for (what, question) in QUESTIONS {
        let rows: Vec<String> = sqlx::query_scalar(*question).fetch_all(&mut **tx).await?;
        wrong.extend(rows.into_iter().take(100).map(|which| format!("{what}: {which}")));
    }
    Ok(wrong)
}
