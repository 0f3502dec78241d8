//! Orders and their steps.

use super::cells::{anywhere, cell, count, foreign, word};
use super::history::log;
use super::{Row, Tx, promise};
use crate::error::StoreError;
use crate::orders::{OrderFilter, Revision};
use crate::stock::Page;
use domain::item::{Subject, Who};
use domain::order::{NewOrder, Order, OrderId, Priced, QuoteId, Stage, Stamped};
use domain::{Currency, Day, Money, Stamp};

/// Longest name of a customer.
const NAME_MOST: usize = 200;

/// Writes an order down.
pub async fn create(tx: &mut Tx<'_>, new: &NewOrder, who: &Who) -> Result<Order, StoreError> {
    if new.customer.trim().is_empty() {
        return Err(StoreError::Refused("an order needs a customer's name".to_string()));
    }
    if new.customer.chars().any(char::is_control) || new.customer.trim().chars().count() > NAME_MOST {
        let words = format!("a customer's name is one line of at most {NAME_MOST} characters");
        return Err(StoreError::Refused(words));
    }
    if new.priority > 9 || new.machines == 0 || new.machines > 10_000 {
        let words =
            format!("priority {} and {} machines: 0 to 9 and 1 to 10000 are allowed", new.priority, new.machines);
        return Err(StoreError::Refused(words));
    }
    let number = next(tx, "order").await?;
    let id: i64 = sqlx::query_scalar(
        "insert into orders (number, customer, priority, machines, due_on, need, stage, quote_id, created_at)
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9) returning id",
    )
    .bind(format!("O-{number:05}"))
    .bind(new.customer.trim())
    .bind(i64::from(new.priority))
    .bind(i64::from(new.machines))
    .bind(new.due.map(Day::days))
    .bind(&new.need)
    .bind(Stage::Asked.word())
    .bind(new.quote.map(|q| q.0))
    .bind(who.at.seconds())
    .fetch_one(&mut **tx)
    .await?;
    step(tx, OrderId(id), Stage::Asked, who, "").await?;
    one(tx, OrderId(id)).await
}

/// The next of a row of numbers.
pub async fn next(tx: &mut Tx<'_>, name: &str) -> Result<i64, StoreError> {
    let number = sqlx::query_scalar(
        "insert into counter (name, next) values ($1, 2)
         on conflict (name) do update set next = counter.next + 1 returning next - 1",
    )
    .bind(name)
    .fetch_one(&mut **tx)
    .await?;
    Ok(number)
}

// The price is the quote's as long as build and price are.
macro_rules! orders {
    ($rest:literal) => {
        concat!(
            "select orders.*, (select count(*) from quote where quote.id = orders.quote_id and quote.build = orders.build
                 and quote.net_minor = orders.price_minor and quote.currency = orders.currency) as quoted
             from orders ",
            $rest
        )
    };
}

/// One order.
pub async fn one(tx: &mut Tx<'_>, id: OrderId) -> Result<Order, StoreError> {
    let row = sqlx::query(orders!("where id = $1")).bind(id.0).fetch_optional(&mut **tx).await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "order", which: id.to_string() }), read)
}

/// One order by its number, in any case; the zeros and the letter may be left out.
pub async fn by_number(tx: &mut Tx<'_>, number: &str) -> Result<Order, StoreError> {
    let digits = number.trim().trim_start_matches(['O', 'o', '-']);
    let full = digits.parse::<u64>().map_or_else(|_| number.to_string(), |n| format!("O-{n:05}"));
    let row = sqlx::query(orders!("where number = $1")).bind(full).fetch_optional(&mut **tx).await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "order", which: number.to_string() }), read)
}

/// Orders, those that go first on top; of closed ones the newest.
pub async fn list(tx: &mut Tx<'_>, filter: &OrderFilter) -> Result<Page<Order>, StoreError> {
    let pattern = anywhere(&filter.words);
    let stage = filter.stage.map_or("", |s| s.word());
    let found: i64 = sqlx::query_scalar(
        "select count(*) from orders where ($1 = '' or stage = $1)
             and ($2 = 0 or stage not in ('shipped', 'cancelled')) and (lower(customer) like $3 or lower(number) like $3)",
    )
    .bind(stage)
    .bind(i64::from(filter.open))
    .bind(&pattern)
    .fetch_one(&mut **tx)
    .await?;
    let rows = sqlx::query(orders!(
        "where ($1 = '' or stage = $1)
             and ($2 = 0 or stage not in ('shipped', 'cancelled')) and (lower(customer) like $3 or lower(number) like $3)
         order by case when stage in ('shipped', 'cancelled') then 1 else 0 end, priority,
             case when stage in ('shipped', 'cancelled') then -id else id end limit $4 offset $5"
    ))
    .bind(stage)
    .bind(i64::from(filter.open))
    .bind(&pattern)
    .bind(i64::from(filter.most))
    .bind(i64::from(filter.skip))
    .fetch_all(&mut **tx)
    .await?;
    let list = rows.iter().map(read).collect::<Result<_, _>>()?;
    Ok(Page { list, found: u64::try_from(found).unwrap_or_default() })
}

/// The steps that an order took, the first on top.
pub async fn steps(tx: &mut Tx<'_>, id: OrderId) -> Result<Vec<Stamped>, StoreError> {
    let rows = sqlx::query("select * from order_stage where order_id = $1 order by at, place")
        .bind(id.0)
        .fetch_all(&mut **tx)
        .await?;
    let stamped = |row: &Row| {
        let place: i64 = cell(row, "place")?;
        let step = Stamped {
            stage: word(row, "stage", "stage", Stage::parse)?,
            who: Who { name: cell(row, "who")?, at: Stamp::from_seconds(cell(row, "at")?) },
            note: cell(row, "note")?,
        };
        Ok((place, step))
    };
    let mut steps: Vec<(i64, Stamped)> = rows.iter().map(stamped).collect::<Result<_, StoreError>>()?;
    // Steps of the first schema have no place of their own.
    steps.sort_by_key(|(place, step)| (step.who.at.seconds(), *place, step.stage));
    Ok(steps.into_iter().map(|(_, step)| step).collect())
}

/// Sets the chosen build and what it comes to; what was promised for another build is let go.
pub async fn choose(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    build: &str,
    Priced { price, cost }: Priced,
    who: &Who,
) -> Result<Order, StoreError> {
    let order = enter(tx, id, version, Stage::Chosen).await?;
    promise::release_all(tx, &order, who).await?;
    if let Some(cost) = cost.filter(|c| c.currency() != price.currency()) {
        let why = format!("the price is {price}, and the modules cost {cost}: both must be in one currency");
        return Err(StoreError::Refused(why));
    }
    sqlx::query("update orders set build = $1, price_minor = $2, currency = $3, cost_minor = $4 where id = $5")
        .bind(build)
        .bind(price.minor())
        .bind(price.currency().to_string())
        .bind(cost.map(Money::minor))
        .bind(id.0)
        .execute(&mut **tx)
        .await?;
    step(tx, id, Stage::Chosen, who, "").await?;
    one(tx, id).await
}

/// Takes an order to its next stage, or back, or cancels it.
pub async fn advance(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    to: Stage,
    note: &str,
    who: &Who,
) -> Result<Order, StoreError> {
    let order = enter(tx, id, version, to).await?;
    match to {
        Stage::Cancelled | Stage::Asked | Stage::Chosen => promise::release_all(tx, &order, who).await?,
        Stage::Reserved => {
            return Err(StoreError::Refused("an order becomes reserved by promising modules to it".to_string()));
        }
        Stage::Picked => promise::need_all(tx, &order, "picked").await?,
        Stage::Built if order.stage == Stage::Picked => promise::build_in(tx, &order).await?,
        Stage::Shipped => promise::ship(tx, &order, who).await?,
        Stage::Built | Stage::Verified => {}
    }
    step(tx, id, to, who, note).await?;
    one(tx, id).await
}

/// Moves the order on and so keeps others off it until the transaction ends; gives it as it was.
pub async fn enter(tx: &mut Tx<'_>, id: OrderId, version: Option<i64>, to: Stage) -> Result<Order, StoreError> {
    let order = touch(tx, id, version).await?;
    if !order.stage.leads_to(to) {
        return Err(StoreError::Stage { order: order.number, from: order.stage, to });
    }
    sqlx::query("update orders set stage = $1 where id = $2").bind(to.word()).bind(id.0).execute(&mut **tx).await?;
    Ok(order)
}

/// Counts a change of the order and so keeps others off it until the transaction ends; gives it as it was but for that.
pub async fn touch(tx: &mut Tx<'_>, id: OrderId, version: Option<i64>) -> Result<Order, StoreError> {
    // The update comes first: it waits for others who are at this order, and what is read after it is the newest.
    sqlx::query("update orders set version = version + 1 where id = $1").bind(id.0).execute(&mut **tx).await?;
    let order = one(tx, id).await?;
    if version.is_some_and(|v| v.checked_add(1) != Some(order.version)) {
        return Err(StoreError::Changed { what: "order", which: order.number });
    }
    Ok(order)
}

/// Stamps a step.
pub async fn step(tx: &mut Tx<'_>, id: OrderId, stage: Stage, who: &Who, note: &str) -> Result<(), StoreError> {
    sqlx::query(
        "insert into order_stage (order_id, stage, at, who, note, place)
         values ($1, $2, $3, $4, $5, (select version from orders where id = $1))",
    )
    .bind(id.0)
    .bind(stage.word())
    .bind(who.at.seconds())
    .bind(&who.name)
    .bind(note)
    .execute(&mut **tx)
    .await?;
    log(tx, who, Subject::Order(id.0), stage.word(), note).await
}

/// Changes what does not touch the build: priority and due day.
pub async fn revise(
    tx: &mut Tx<'_>,
    id: OrderId,
    version: Option<i64>,
    revision: &Revision,
    who: &Who,
) -> Result<Order, StoreError> {
    let order = touch(tx, id, version).await?;
    if !order.stage.is_open() {
        let why = format!("order {} is {}, so its priority and due day stay as they are", order.number, order.stage);
        return Err(StoreError::NotNow { why, hint: "write a new order where one is wanted" });
    }
    let (priority, due) = (revision.priority.unwrap_or(order.priority), revision.due.unwrap_or(order.due));
    if priority > 9 {
        return Err(StoreError::Refused(format!("priority {priority}: 0 to 9 are allowed")));
    }
    if (priority, due) == (order.priority, order.due) {
        let why = format!("order {} has that priority and due day already", order.number);
        return Err(StoreError::Refused(why));
    }
    sqlx::query("update orders set priority = $1, due_on = $2 where id = $3")
        .bind(i64::from(priority))
        .bind(due.map(Day::days))
        .bind(id.0)
        .execute(&mut **tx)
        .await?;
    log(tx, who, Subject::Order(id.0), "changed", &revision.words).await?;
    one(tx, id).await
}

fn read(row: &Row) -> Result<Order, StoreError> {
    let priority: i64 = cell(row, "priority")?;
    let (minor, currency): (Option<i64>, Option<String>) = (cell(row, "price_minor")?, cell(row, "currency")?);
    let cost: Option<i64> = cell(row, "cost_minor")?;
    let currency = currency.map(|code| Currency::parse(&code).ok_or_else(|| foreign("currency", &code))).transpose()?;
    let money = |minor: Option<i64>| minor.zip(currency).map(|(minor, currency)| Money::from_minor(minor, currency));
    let due: Option<i64> = cell(row, "due_on")?;
    let quote: Option<i64> = cell(row, "quote_id")?;
    Ok(Order {
        id: OrderId(cell(row, "id")?),
        number: cell(row, "number")?,
        customer: cell(row, "customer")?,
        priority: u8::try_from(priority).map_err(|_| foreign("priority", priority))?,
        machines: count(row, "machines")?,
        due: due.map(Day::from_days),
        need: cell(row, "need")?,
        stage: word(row, "stage", "stage", Stage::parse)?,
        build: cell(row, "build")?,
        price: money(minor),
        cost: money(cost),
        quoted: count(row, "quoted")? > 0,
        quote: quote.map(QuoteId),
        version: cell(row, "version")?,
        created: Stamp::from_seconds(cell(row, "created_at")?),
    })
}
