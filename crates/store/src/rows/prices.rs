//! Price lists and margins, each from a day on.

use super::cells::{cell, money, some, word};
use super::history::log;
use super::{Row, Tx};
use crate::error::StoreError;
use crate::quotes::KeptList;
use domain::item::{Subject, Who};
use domain::quote::{Margin, Price, PriceList};
use domain::shop::Percent;
use domain::{Condition, Currency, Day};
use std::collections::BTreeSet;

/// Takes in a list; with `correct` it takes the place of the one of that name and day.
pub async fn take(tx: &mut Tx<'_>, list: &PriceList, correct: bool, who: &Who) -> Result<i64, StoreError> {
    holds(list)?;
    let name = list.name.trim();
    match (named(tx, name, list.valid_from).await?, correct) {
        (Some((_, true)), false) => return Err(there(name)),
        (Some((old, _)), _) => set_aside(tx, old, name, list.valid_from, who).await?,
        (None, true) => {
            let which = format!("`{name}` from that day");
            return Err(StoreError::Absent { what: "price list", which });
        }
        (None, false) => {}
    }
    let id: Option<i64> = sqlx::query_scalar(
        "insert into price_list (name, valid_from, valid_until, currency) values ($1, $2, $3, $4)
         on conflict (name, valid_from) do nothing returning id",
    )
    .bind(list.name.trim())
    .bind(list.valid_from.days())
    .bind(list.valid_until.map(Day::days))
    .bind(list.currency.to_string())
    .fetch_optional(&mut **tx)
    .await?;
    let id = id.ok_or_else(|| there(name))?;
    for price in &list.prices {
        sqlx::query("insert into price (list_id, label, condition, each_minor, supplier) values ($1, $2, $3, $4, $5)")
            .bind(id)
            .bind(&price.label)
            .bind(price.condition.word())
            .bind(price.each.minor())
            .bind(price.supplier.as_deref().unwrap_or_default())
            .execute(&mut **tx)
            .await?;
    }
    log(tx, who, Subject::PriceList(id), "taken in", &format!("{}: {} prices", list.name.trim(), list.prices.len()))
        .await?;
    Ok(id)
}

fn there(name: &str) -> StoreError {
    StoreError::NotNow {
        why: format!("a price list `{name}` from that day is there already"),
        hint: "say that it is corrected, and this one takes its place; or withdraw that one first",
    }
}

/// The list of a name and day: its number, and whether it holds.
async fn named(tx: &mut Tx<'_>, name: &str, from: Day) -> Result<Option<(i64, bool)>, StoreError> {
    // The update comes first: it waits for others who are at this list.
    sqlx::query("update price_list set state = state where name = $1 and valid_from = $2")
        .bind(name)
        .bind(from.days())
        .execute(&mut **tx)
        .await?;
    let row = sqlx::query("select id, state from price_list where name = $1 and valid_from = $2")
        .bind(name)
        .bind(from.days())
        .fetch_optional(&mut **tx)
        .await?;
    row.map(|row| Ok((cell(&row, "id")?, cell::<String>(&row, "state")? == "holds"))).transpose()
}

/// Keeps an older list under a name of its own, so that the newer one has its place.
async fn set_aside(tx: &mut Tx<'_>, id: i64, name: &str, from: Day, who: &Who) -> Result<(), StoreError> {
    let version = format!("{name}, version ");
    let before: i64 = sqlx::query_scalar(
        "select count(*) from price_list where valid_from = $1 and substr(name, 1, cast($2 as integer)) = $3 and state <> 'holds'",
    )
    .bind(from.days())
    .bind(i64::try_from(version.chars().count()).unwrap_or_default())
    .bind(&version)
    .fetch_one(&mut **tx)
    .await?;
    sqlx::query("update price_list set name = $1, state = case when state = 'holds' then 'corrected' else state end where id = $2")
        .bind(format!("{version}{}", before + 1))
        .bind(id)
        .execute(&mut **tx)
        .await?;
    log(tx, who, Subject::PriceList(id), "corrected", "another list took its place").await
}

/// Takes a list back: its prices hold no more.
pub async fn withdraw(tx: &mut Tx<'_>, name: &str, from: Day, why: &str, who: &Who) -> Result<(), StoreError> {
    let name = name.trim();
    let Some((id, true)) = named(tx, name, from).await? else {
        let which = format!("`{name}` from that day that holds");
        return Err(StoreError::Absent { what: "price list", which });
    };
    sqlx::query("update price_list set state = 'withdrawn' where id = $1").bind(id).execute(&mut **tx).await?;
    log(tx, who, Subject::PriceList(id), "withdrawn", why).await
}

/// Every list, those that begin last on top.
pub async fn lists(tx: &mut Tx<'_>) -> Result<Vec<KeptList>, StoreError> {
    let rows = sqlx::query(
        "select l.*, (select count(*) from price where list_id = l.id) as prices from price_list l
         order by valid_from desc, l.id desc",
    )
    .fetch_all(&mut **tx)
    .await?;
    rows.iter().map(kept).collect()
}

fn kept(row: &Row) -> Result<KeptList, StoreError> {
    let until: Option<i64> = cell(row, "valid_until")?;
    Ok(KeptList {
        name: cell(row, "name")?,
        valid_from: super::cells::day(row, "valid_from")?,
        valid_until: until.map(Day::from_days),
        currency: word(row, "currency", "currency", Currency::parse)?,
        prices: super::cells::count(row, "prices")?,
        state: cell(row, "state")?,
    })
}

fn holds(list: &PriceList) -> Result<(), StoreError> {
    let refused = |why: String| Err(StoreError::Refused(why));
    if list.name.trim().is_empty() || list.prices.is_empty() {
        return refused("a price list needs a name and at least one price".to_string());
    }
    if list.valid_until.is_some_and(|until| until < list.valid_from) {
        return refused("the price list's last day lies before its first".to_string());
    }
    let mut seen = BTreeSet::new();
    for price in &list.prices {
        if price.each.currency() != list.currency {
            return refused(format!("`{}` is priced in {}, the list is in {}", price.label, price.each, list.currency));
        }
        if price.condition == Condition::Installed || price.each.minor() < 0 {
            return refused(format!("`{}`: modules are priced new or used, from 0 on", price.label));
        }
        if !seen.insert((&price.label, price.condition, &price.supplier)) {
            return refused(format!("`{}`, {}, is priced twice", price.label, price.condition));
        }
    }
    Ok(())
}

/// What holds on a day, the newest list first.
pub async fn on(tx: &mut Tx<'_>, day: Day) -> Result<Vec<Price>, StoreError> {
    let rows = sqlx::query(
        "select label, condition, each_minor, supplier, currency from price join price_list on price_list.id = list_id
         where state = 'holds' and valid_from <= $1 and (valid_until is null or valid_until >= $1)
         order by label, condition, supplier, valid_from desc, price_list.id desc",
    )
    .bind(day.days())
    .fetch_all(&mut **tx)
    .await?;
    let mut prices = rows.iter().map(price).collect::<Result<Vec<_>, _>>()?;
    prices.dedup_by(|later, first| {
        (&later.label, later.condition, &later.supplier) == (&first.label, first.condition, &first.supplier)
    });
    Ok(prices)
}

/// Every margin that was set, by class, the newest first.
pub async fn margins(tx: &mut Tx<'_>) -> Result<Vec<Margin>, StoreError> {
    let rows = sqlx::query("select * from margin order by class, valid_from desc").fetch_all(&mut **tx).await?;
    rows.iter().map(margin).collect()
}

/// Sets a margin from a day on.
pub async fn set_margin(tx: &mut Tx<'_>, margin: &Margin, who: &Who) -> Result<(), StoreError> {
    let class = tidy(&margin.class);
    if class.is_empty() {
        return Err(StoreError::Refused("a margin needs the class of modules that it is for".to_string()));
    }
    sqlx::query(
        "insert into margin (class, valid_from, hundredths) values ($1, $2, $3)
         on conflict (class, valid_from) do update set hundredths = excluded.hundredths",
    )
    .bind(&class)
    .bind(margin.valid_from.days())
    .bind(i64::from(margin.percent.hundredths()))
    .execute(&mut **tx)
    .await?;
    let detail = format!("{class}: {}", margin.percent);
    log(tx, who, Subject::Margin(margin.valid_from.days()), "set", &detail).await
}

/// The margin of each class that holds on a day.
pub async fn margins_on(tx: &mut Tx<'_>, day: Day) -> Result<Vec<Margin>, StoreError> {
    let rows = sqlx::query("select * from margin where valid_from <= $1 order by class, valid_from desc")
        .bind(day.days())
        .fetch_all(&mut **tx)
        .await?;
    let mut margins = rows.iter().map(margin).collect::<Result<Vec<_>, _>>()?;
    margins.dedup_by(|later, first| later.class == first.class);
    Ok(margins)
}

/// Small letters, single spaces.
fn tidy(class: &str) -> String {
    class.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn margin(row: &Row) -> Result<Margin, StoreError> {
    let hundredths = super::cells::count(row, "hundredths")?;
    Ok(Margin {
        class: cell(row, "class")?,
        valid_from: super::cells::day(row, "valid_from")?,
        percent: Percent::from_hundredths(hundredths),
    })
}

fn price(row: &Row) -> Result<Price, StoreError> {
    Ok(Price {
        label: cell(row, "label")?,
        condition: word(row, "condition", "condition", Condition::parse)?,
        each: money(row, "each_minor")?,
        supplier: some(row, "supplier")?,
    })
}
