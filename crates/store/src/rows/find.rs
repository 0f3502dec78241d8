//! Searching: what the shelf holds, and single items, page by page.

use super::cells::{cell, count, day, money, word};
use super::stock::{model, read, tail};
use super::{Row, Tx};
use crate::error::StoreError;
use crate::stock::Page;
use domain::item::{FreeItem, FreeLot, Item, ItemId, ItemState, ModelId, Search, Shelf, Worth};
use domain::{Condition, Currency, Generation, Kind, Money};

/// Words of a search that are looked for; further ones are left out.
const WORDS: usize = 4;
/// Shortest end of a serial that is searched for.
const SERIAL_LEAST: usize = 3;

/// A search made ready: patterns for models, and the words that no model, bin or batch knows, which must be of serials.
struct Terms {
    /// One `like` pattern a word, `%` where there is none.
    models: [String; WORDS],
    bin: Option<String>,
    batch: Option<String>,
    serial: Option<String>,
}

/// Escapes what `like` would take for a pattern.
fn like(word: &str) -> String {
    word.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_")
}

/// Is it a bin's name? As a range with an order, because a database that expects many rows of an equality may read them all.
async fn bin(tx: &mut Tx<'_>, word: &str) -> Result<Option<String>, StoreError> {
    Ok(sqlx::query_scalar("select bin from item where bin >= $1 and bin <= $1 order by bin limit 1")
        .bind(word)
        .fetch_optional(&mut **tx)
        .await?)
}

async fn terms(tx: &mut Tx<'_>, search: &Search) -> Result<Terms, StoreError> {
    let lower = search.words.to_lowercase();
    let mut terms = Terms { models: std::array::from_fn(|_| "%".to_string()), bin: None, batch: None, serial: None };
    for (place, word) in lower.split_whitespace().take(WORDS).enumerate() {
        let pattern = format!("%{}%", like(word));
        let of_models: i64 = sqlx::query_scalar(
            "select count(*) from (select 1 as one from model where haystack like $1 escape '\\' limit 1) as found",
        )
        .bind(&pattern)
        .fetch_one(&mut **tx)
        .await?;
        let bin = match bin(tx, &word.to_uppercase()).await? {
            None => bin(tx, word).await?,
            found => found,
        };
        let batch: Option<String> =
            sqlx::query_scalar("select reference from batch where lower(reference) = $1 limit 1")
                .bind(word)
                .fetch_optional(&mut **tx)
                .await?;
        match (of_models, bin, batch) {
            (1.., _, _) => terms.models[place] = pattern,
            (_, Some(bin), _) => terms.bin = Some(bin),
            (_, _, Some(batch)) => terms.batch = Some(batch),
            _ => terms.serial = Some(word.to_string()),
        }
    }
    Ok(terms)
}

/// The shelf in one text of three: `$of` chooses models, `$in` items. What an index alone can answer must ask for no other column.
macro_rules! shelf_sql {
    ($of:literal, $in:literal) => {
        concat!(
            "with chosen as (
                 select id from model where haystack like $1 escape '\\' and haystack like $2 escape '\\'
                     and haystack like $3 escape '\\' and haystack like $4 escape '\\' and ",
            $of,
            " order by generation, capacity_mib, label, id limit $5 offset $6),
             sums as (
                 select model_id, condition, currency,
                     cast(sum(case when state = 'on the shelf' then quantity - reserved else 0 end) as bigint) as free,
                     cast(sum(reserved) as bigint) as reserved,
                     cast(sum(case when state = 'held back' then quantity else 0 end) as bigint) as held_back,
                     min(case when state = 'on the shelf' and quantity > reserved then cost_minor end) as cheapest,
                     max(case when state = 'on the shelf' and quantity > reserved then cost_minor end) as dearest
                 from item where model_id in (select id from chosen) and ",
            $in,
            " group by model_id, condition, currency)
             select sums.*, label, part_number, maker, die, generation, kind, capacity_mib, organisation, rate_mts
             from sums join model on model.id = model_id
             order by generation, capacity_mib, label, model_id, condition, currency"
        )
    };
}

/// How many models there are of the same.
macro_rules! count_sql {
    ($of:literal) => {
        concat!(
            "select count(*) from model where haystack like $1 escape '\\' and haystack like $2 escape '\\'
                 and haystack like $3 escape '\\' and haystack like $4 escape '\\' and ",
            $of
        )
    };
}

/// All of it; both parameters are empty then.
const WHOLE: (&str, &str) = (count_sql!("$5 = $6"), shelf_sql!("$7 = $8", "$7 = $8"));
/// What is in a bin, and of a batch where one is named too.
const IN_BIN: (&str, &str) = (
    count_sql!(
        "id in (select model_id from item
             where bin = $5 and ($6 = '' or batch_id in (select id from batch where reference = $6)))"
    ),
    shelf_sql!(
        "id in (select model_id from item
             where bin = $7 and ($8 = '' or batch_id in (select id from batch where reference = $8)))",
        "bin = $7 and ($8 = '' or batch_id in (select id from batch where reference = $8))"
    ),
);
/// What is of a batch.
const OF_BATCH: (&str, &str) = (
    count_sql!(
        "$5 = '' and id in (select model_id from item where batch_id in (select id from batch where reference = $6))"
    ),
    shelf_sql!(
        "$7 = '' and id in (select model_id from item where batch_id in (select id from batch where reference = $8))",
        "batch_id in (select id from batch where reference = $8)"
    ),
);

/// What the shelf holds by model and condition, page by page in the order of labels.
pub async fn shelf(tx: &mut Tx<'_>, search: &Search) -> Result<Page<Shelf>, StoreError> {
    let terms = terms(tx, search).await?;
    if terms.serial.is_some() {
        return Ok(Page { list: Vec::new(), found: 0 });
    }
    let [a, b, c, d] = &terms.models;
    let bin = search.bin.as_ref().or(terms.bin.as_ref()).map_or("", String::as_str);
    let batch = terms.batch.as_deref().unwrap_or_default();
    let (counting, listing) = match (bin, batch) {
        ("", "") => WHOLE,
        ("", _) => OF_BATCH,
        _ => IN_BIN,
    };
    let found: i64 =
        sqlx::query_scalar(counting).bind(a).bind(b).bind(c).bind(d).bind(bin).bind(batch).fetch_one(&mut **tx).await?;
    let rows = sqlx::query(listing)
        .bind(a)
        .bind(b)
        .bind(c)
        .bind(d)
        .bind(i64::from(search.most))
        .bind(i64::from(search.skip))
        .bind(bin)
        .bind(batch)
        .fetch_all(&mut **tx)
        .await?;
    let list = rows.iter().map(on_shelf).collect::<Result<_, _>>()?;
    Ok(Page { list, found: u64::try_from(found).unwrap_or_default() })
}

fn on_shelf(row: &Row) -> Result<Shelf, StoreError> {
    let currency = word(row, "currency", "currency", Currency::parse)?;
    let (cheapest, dearest): (Option<i64>, Option<i64>) = (cell(row, "cheapest")?, cell(row, "dearest")?);
    let money = |minor| Money::from_minor(minor, currency);
    Ok(Shelf {
        model_id: ModelId(cell(row, "model_id")?),
        model: model(row)?,
        condition: word(row, "condition", "condition", Condition::parse)?,
        free: count(row, "free")?,
        reserved: count(row, "reserved")?,
        held_back: count(row, "held_back")?,
        cost: cheapest.zip(dearest).map(|(a, b)| (money(a), money(b))),
    })
}

/// Single items, the newest first.
pub async fn items(tx: &mut Tx<'_>, search: &Search) -> Result<Page<Item>, StoreError> {
    let terms = terms(tx, search).await?;
    let rows = match &terms.serial {
        Some(serial) => by_serial(tx, search, &terms, serial).await?,
        None => by_model(tx, search, &terms).await?,
    };
    let list: Vec<Item> = rows.iter().map(read).collect::<Result<_, _>>()?;
    // One more than the page was asked for: it tells that there is a next one, and no count of all is needed.
    let found = u64::from(search.skip) + list.len() as u64;
    let list = list.into_iter().take(search.most as usize).collect();
    Ok(Page { list, found })
}

async fn by_serial(tx: &mut Tx<'_>, search: &Search, terms: &Terms, serial: &str) -> Result<Vec<Row>, StoreError> {
    if serial.chars().count() < SERIAL_LEAST {
        return Ok(Vec::new());
    }
    let backwards = tail(serial);
    let forwards = serial.to_uppercase();
    let [a, b, c, d] = &terms.models;
    let rows = sqlx::query(
        "with near as (
             select id from item where serial_tail >= $1 and serial_tail < $2
             union select id from item where serial >= $3 and serial < $4)
         select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts
         from near join item on item.id = near.id join model on model.id = model_id
         where haystack like $5 escape '\\' and haystack like $6 escape '\\' and haystack like $7 escape '\\'
             and haystack like $8 escape '\\' and ($9 = '' or state = $9) and ($10 = 0 or model_id = $10)
             and ($11 = '' or bin = $11) and ($12 = 0 or batch_id = $12)
             and ($13 = '' or batch_id in (select id from batch where reference = $13))
         order by item.id desc limit $14 offset $15",
    )
    .bind(backwards.clone())
    .bind(format!("{backwards}\u{10ffff}"))
    .bind(forwards.clone())
    .bind(format!("{forwards}\u{10ffff}"))
    .bind(a)
    .bind(b)
    .bind(c)
    .bind(d)
    .bind(search.state.map_or("", |s| s.word()))
    .bind(search.model.map_or(0, |m| m.0))
    .bind(search.bin.as_ref().or(terms.bin.as_ref()).map_or("", String::as_str))
    .bind(search.batch.map_or(0, |b| b.0))
    .bind(terms.batch.as_deref().unwrap_or_default())
    .bind(i64::from(search.most) + 1)
    .bind(i64::from(search.skip))
    .fetch_all(&mut **tx)
    .await?;
    Ok(rows)
}

async fn by_model(tx: &mut Tx<'_>, search: &Search, terms: &Terms) -> Result<Vec<Row>, StoreError> {
    let [a, b, c, d] = &terms.models;
    let rows = sqlx::query(
        "select item.*, label, part_number, die, generation, kind, capacity_mib, organisation, rate_mts
         from item join model on model.id = model_id
         where haystack like $1 escape '\\' and haystack like $2 escape '\\' and haystack like $3 escape '\\'
             and haystack like $4 escape '\\' and ($5 = '' or state = $5) and ($6 = 0 or model_id = $6)
             and ($7 = '' or bin = $7) and ($8 = 0 or batch_id = $8)
             and ($9 = '' or batch_id in (select id from batch where reference = $9))
         order by item.id desc limit $10 offset $11",
    )
    .bind(a)
    .bind(b)
    .bind(c)
    .bind(d)
    .bind(search.state.map_or("", |s| s.word()))
    .bind(search.model.map_or(0, |m| m.0))
    .bind(search.bin.as_ref().or(terms.bin.as_ref()).map_or("", String::as_str))
    .bind(search.batch.map_or(0, |b| b.0))
    .bind(terms.batch.as_deref().unwrap_or_default())
    .bind(i64::from(search.most) + 1)
    .bind(i64::from(search.skip))
    .fetch_all(&mut **tx)
    .await?;
    Ok(rows)
}

/// What is in stock, summed up.
pub async fn worth(tx: &mut Tx<'_>) -> Result<Vec<Worth>, StoreError> {
    let rows = sqlx::query(
        "select generation, kind, condition, state, currency, cast(sum(quantity) as bigint) as modules,
             cast(sum(quantity * cost_minor) as bigint) as cost_minor
         from item join model on model.id = model_id where state in ('on the shelf', 'held back') and quantity > 0
         group by generation, kind, condition, state, currency order by generation, kind, condition, state desc, currency",
    )
    .fetch_all(&mut **tx)
    .await?;
    let worth = |row: &Row| {
        let modules: i64 = cell(row, "modules")?;
        Ok(Worth {
            generation: word(row, "generation", "generation", Generation::parse)?,
            kind: word(row, "kind", "kind of module", Kind::parse)?,
            condition: word(row, "condition", "condition", Condition::parse)?,
            state: word(row, "state", "state of an item", ItemState::parse)?,
            modules: u64::try_from(modules).unwrap_or_default(),
            cost: money(row, "cost_minor")?,
        })
    };
    rows.iter().map(worth).collect()
}

/// What can be promised, gathered by label, condition and cost.
pub async fn free_lots(tx: &mut Tx<'_>) -> Result<Vec<FreeLot>, StoreError> {
    let rows = sqlx::query(
        "select label, condition, cost_minor, currency, min(bin) as bin, cast(sum(quantity - reserved) as bigint) as free
         from item join model on model.id = model_id where state = 'on the shelf' and quantity > reserved
         group by label, condition, cost_minor, currency order by label, condition, cost_minor, currency",
    )
    .fetch_all(&mut **tx)
    .await?;
    let lot = |row: &Row| {
        let currency = word(row, "currency", "currency", Currency::parse)?;
        Ok(FreeLot {
            label: cell(row, "label")?,
            condition: word(row, "condition", "condition", Condition::parse)?,
            each: Money::from_minor(cell(row, "cost_minor")?, currency),
            count: count(row, "free")?,
            bin: cell(row, "bin")?,
        })
    };
    rows.iter().map(lot).collect()
}

/// Everything that can be promised, item by item, in the order of their numbers.
pub async fn free_items(tx: &mut Tx<'_>) -> Result<Vec<FreeItem>, StoreError> {
    let rows = sqlx::query(
        "select item.id as id, label, condition, part_number, model.maker as maker, die, cost_minor, currency, received_on,
             quantity - reserved as free
         from item join model on model.id = model_id where state = 'on the shelf' and quantity > reserved order by item.id",
    )
    .fetch_all(&mut **tx)
    .await?;
    let item = |row: &Row| {
        let currency = word(row, "currency", "currency", Currency::parse)?;
        let (maker, die): (String, String) = (cell(row, "maker")?, cell(row, "die")?);
        Ok(FreeItem {
            id: ItemId(cell(row, "id")?),
            label: cell(row, "label")?,
            condition: word(row, "condition", "condition", Condition::parse)?,
            part_number: cell(row, "part_number")?,
            die: format!("{maker} {die}").trim().to_string(),
            cost: Money::from_minor(cell(row, "cost_minor")?, currency),
            received: day(row, "received_on")?,
            count: count(row, "free")?,
        })
    };
    rows.iter().map(item).collect()
}
