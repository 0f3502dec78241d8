//! Quotes and their versions.

use super::cells::{anywhere, cell, count, day, money, word};
use super::history::log;
use super::{Row, Tx, orders};
use crate::error::StoreError;
use crate::quotes::{QuoteFilter, Terms};
use crate::stock::Page;
use domain::Stamp;
use domain::item::{Subject, Who};
use domain::order::{NewOrder, Order, Priced, QuoteId};
use domain::quote::{NewQuote, Quote, QuoteState};

/// Writes the first version down.
pub async fn create(tx: &mut Tx<'_>, new: &NewQuote, who: &Who) -> Result<Quote, StoreError> {
    let number = orders::next(tx, "quote").await?;
    insert(tx, &format!("Q-{number:05}"), 1, new, who).await
}

async fn insert(tx: &mut Tx<'_>, number: &str, version: u32, new: &NewQuote, who: &Who) -> Result<Quote, StoreError> {
    holds(new)?;
    let id: i64 = sqlx::query_scalar(
        "insert into quote (number, version, customer, need, build, paper, machines, net_minor, total_minor, currency,
             issued_on, valid_until, state, at, who)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) returning id",
    )
    .bind(number)
    .bind(i64::from(version))
    .bind(new.customer.trim())
    .bind(&new.need)
    .bind(&new.build)
    .bind(&new.paper)
    .bind(i64::from(new.machines))
    .bind(new.net.minor())
    .bind(new.total.minor())
    .bind(new.net.currency().to_string())
    .bind(new.issued.days())
    .bind(new.valid_until.days())
    .bind(QuoteState::Open.word())
    .bind(who.at.seconds())
    .bind(&who.name)
    .fetch_one(&mut **tx)
    .await?;
    log(tx, who, Subject::Quote(id), "quoted", &format!("{number} version {version}, net {}", new.net)).await?;
    by_id(tx, QuoteId(id)).await
}

fn holds(new: &NewQuote) -> Result<(), StoreError> {
    let wrong = if new.customer.trim().is_empty() {
        "a quote needs a customer's name".to_string()
    } else if new.machines == 0 || new.machines > 10_000 {
        format!("{} machines: 1 to 10000 are allowed", new.machines)
    } else if new.valid_until < new.issued {
        "the quote's last day lies before its first".to_string()
    } else if new.net.currency() != new.total.currency() {
        format!("the net price is in {} and the total in {}", new.net.currency(), new.total.currency())
    } else {
        return Ok(());
    };
    Err(StoreError::Refused(wrong))
}

/// Writes the next version down and supersedes the one before.
pub async fn revise(
    tx: &mut Tx<'_>,
    number: &str,
    version: u32,
    new: &NewQuote,
    who: &Who,
) -> Result<Quote, StoreError> {
    let number = full(number);
    // The update comes first: it waits for others who are at this quote.
    let done = sqlx::query("update quote set state = $1 where number = $2 and version = $3 and state = $4")
        .bind(QuoteState::Superseded.word())
        .bind(&number)
        .bind(i64::from(version))
        .bind(QuoteState::Open.word())
        .execute(&mut **tx)
        .await?;
    let old = one(tx, &number, None).await?;
    if old.version != version {
        return Err(StoreError::Changed { what: "quote", which: number });
    }
    if done.rows_affected() != 1 {
        return Err(not_open(&old, "revised"));
    }
    log(tx, who, Subject::Quote(old.id.0), QuoteState::Superseded.word(), &format!("by version {}", version + 1))
        .await?;
    insert(tx, &number, version + 1, new, who).await
}

/// Takes an open quote back.
pub async fn withdraw(
    tx: &mut Tx<'_>,
    number: &str,
    version: Option<u32>,
    why: &str,
    who: &Who,
) -> Result<Quote, StoreError> {
    let quote = newest(tx, number, version).await?;
    settle(tx, &quote, QuoteState::Withdrawn, "withdrawn").await?;
    log(tx, who, Subject::Quote(quote.id.0), QuoteState::Withdrawn.word(), why).await?;
    by_id(tx, quote.id).await
}

/// Turns a version into an order.
pub async fn order(tx: &mut Tx<'_>, id: QuoteId, terms: Terms, who: &Who) -> Result<Order, StoreError> {
    let quote = by_id(tx, id).await?;
    settle(tx, &quote, QuoteState::Ordered, "ordered").await?;
    let name = format!("quote {} version {}", quote.number, quote.version);
    if quote.is_expired(terms.day) {
        let why = format!("{name} has expired");
        return Err(StoreError::NotNow { why, hint: "revise it, and order the new version" });
    }
    if terms.day < quote.offer.issued {
        let why = format!("{name} is dated later than the day on which it would be ordered");
        return Err(StoreError::NotNow { why, hint: "name a day from its own on" });
    }
    let offer = &quote.offer;
    let new = NewOrder {
        customer: offer.customer.clone(),
        priority: terms.priority,
        machines: offer.machines,
        due: terms.due,
        need: offer.need.clone(),
        quote: Some(id),
    };
    let order = orders::create(tx, &new, who).await?;
    log(tx, who, Subject::Quote(id.0), QuoteState::Ordered.word(), &order.number).await?;
    orders::choose(tx, order.id, None, &offer.build, Priced { price: offer.net, cost: None }, who).await
}

/// Takes an open version to its end; only one of those who try it at once does.
async fn settle(tx: &mut Tx<'_>, quote: &Quote, to: QuoteState, done: &str) -> Result<(), StoreError> {
    let changed = sqlx::query("update quote set state = $1 where id = $2 and state = $3")
        .bind(to.word())
        .bind(quote.id.0)
        .bind(QuoteState::Open.word())
        .execute(&mut **tx)
        .await?;
    if changed.rows_affected() == 1 { Ok(()) } else { Err(not_open(&by_id(tx, quote.id).await?, done)) }
}

fn not_open(quote: &Quote, done: &str) -> StoreError {
    if quote.state == QuoteState::Superseded {
        return StoreError::Changed { what: "quote", which: quote.number.clone() };
    }
    let order = quote.order.as_ref().map_or_else(String::new, |o| format!(" as {o}"));
    let why = format!(
        "quote {} version {} is {}{order}; only an open one can be {done}",
        quote.number, quote.version, quote.state
    );
    StoreError::NotNow { why, hint: "make a new quote where one is wanted" }
}

/// The newest version, which must be the one that somebody looked at, where one is named.
pub async fn newest(tx: &mut Tx<'_>, number: &str, version: Option<u32>) -> Result<Quote, StoreError> {
    let quote = one(tx, number, None).await?;
    if version.is_some_and(|v| v != quote.version) {
        return Err(StoreError::Changed { what: "quote", which: quote.number });
    }
    Ok(quote)
}

/// Versions, each with the order that it became.
macro_rules! quotes {
    ($rest:literal) => {
        concat!(
            "select q.*, (select min(o.number) from orders o where o.quote_id = q.id) as order_number from quote q ",
            $rest
        )
    };
}

/// One version, the newest if none is named.
pub async fn one(tx: &mut Tx<'_>, number: &str, version: Option<u32>) -> Result<Quote, StoreError> {
    let absent = || {
        let which = version.map_or_else(|| number.to_string(), |v| format!("{number} version {v}"));
        StoreError::Absent { what: "quote", which }
    };
    let row = sqlx::query(quotes!("where number = $1 and ($2 = 0 or version = $2) order by version desc limit 1"))
        .bind(full(number))
        .bind(i64::from(version.unwrap_or(0)))
        .fetch_optional(&mut **tx)
        .await?;
    row.as_ref().map_or_else(|| Err(absent()), read)
}

/// One version by its number in the store.
pub async fn by_id(tx: &mut Tx<'_>, id: QuoteId) -> Result<Quote, StoreError> {
    let row = sqlx::query(quotes!("where id = $1")).bind(id.0).fetch_optional(&mut **tx).await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "quote", which: id.to_string() }), read)
}

/// All versions, the first on top.
pub async fn versions(tx: &mut Tx<'_>, number: &str) -> Result<Vec<Quote>, StoreError> {
    let rows =
        sqlx::query(quotes!("where number = $1 order by version")).bind(full(number)).fetch_all(&mut **tx).await?;
    if rows.is_empty() {
        return Err(StoreError::Absent { what: "quote", which: number.to_string() });
    }
    rows.iter().map(read).collect()
}

/// The newest version of every quote, the newest quote on top.
pub async fn list(tx: &mut Tx<'_>, filter: &QuoteFilter) -> Result<Page<Quote>, StoreError> {
    let pattern = anywhere(&filter.words);
    let state = filter.state.map_or("", |s| s.word());
    let found: i64 = sqlx::query_scalar(
        "select count(*) from quote q where ($1 = '' or state = $1)
             and (lower(customer) like $2 or lower(number) like $2)
             and not exists (select 1 from quote l where l.number = q.number and l.version > q.version)",
    )
    .bind(state)
    .bind(&pattern)
    .fetch_one(&mut **tx)
    .await?;
    let rows = sqlx::query(quotes!(
        "where ($1 = '' or state = $1)
             and (lower(customer) like $2 or lower(number) like $2)
             and not exists (select 1 from quote l where l.number = q.number and l.version > q.version)
         order by number desc limit $3 offset $4"
    ))
    .bind(state)
    .bind(&pattern)
    .bind(i64::from(filter.most))
    .bind(i64::from(filter.skip))
    .fetch_all(&mut **tx)
    .await?;
    let list = rows.iter().map(read).collect::<Result<_, _>>()?;
    Ok(Page { list, found: u64::try_from(found).unwrap_or_default() })
}

/// The number in full; the letter and the zeros may be left out, in any case.
fn full(number: &str) -> String {
    let digits = number.trim().trim_start_matches(['Q', 'q', '-']);
    digits.parse::<u64>().map_or_else(|_| number.trim().to_string(), |n| format!("Q-{n:05}"))
}

fn read(row: &Row) -> Result<Quote, StoreError> {
    Ok(Quote {
        id: QuoteId(cell(row, "id")?),
        number: cell(row, "number")?,
        version: count(row, "version")?,
        offer: NewQuote {
            customer: cell(row, "customer")?,
            need: cell(row, "need")?,
            build: cell(row, "build")?,
            paper: cell(row, "paper")?,
            machines: count(row, "machines")?,
            net: money(row, "net_minor")?,
            total: money(row, "total_minor")?,
            issued: day(row, "issued_on")?,
            valid_until: day(row, "valid_until")?,
        },
        state: word(row, "state", "state of a quote", QuoteState::parse)?,
        order: cell(row, "order_number")?,
        who: Who { name: cell(row, "who")?, at: Stamp::from_seconds(cell(row, "at")?) },
    })
}
