//! Access tokens, each kept by its sum only.

use super::cells::{cell, foreign};
use super::history::log;
use super::{Row, Tx};
use crate::error::StoreError;
use crate::tokens::{Token, USED_AGAIN};
use domain::Stamp;
use domain::item::{Subject, Who};

/// Keeps a token.
pub async fn create(tx: &mut Tx<'_>, name: &str, hash: &str, scopes: &str, who: &Who) -> Result<Token, StoreError> {
    let id: Option<i64> = sqlx::query_scalar(
        "insert into token (name, hash, scopes, created_at) values ($1, $2, $3, $4)
         on conflict (name) do nothing returning id",
    )
    .bind(name)
    .bind(hash)
    .bind(scopes)
    .bind(who.at.seconds())
    .fetch_optional(&mut **tx)
    .await?;
    let id = id.ok_or_else(|| {
        StoreError::Refused(format!("there is a token `{name}` already, and a name stands for one token for good"))
    })?;
    log(tx, who, Subject::Token(id), "made", &format!("{name}: {scopes}")).await?;
    named(tx, name).await
}

/// All of them, by name.
pub async fn all(tx: &mut Tx<'_>) -> Result<Vec<Token>, StoreError> {
    let rows = sqlx::query("select * from token order by name").fetch_all(&mut **tx).await?;
    rows.iter().map(read).collect()
}

/// Ends a token; one that has ended stays as it is.
pub async fn revoke(tx: &mut Tx<'_>, name: &str, who: &Who) -> Result<Token, StoreError> {
    let token = named(tx, name).await?;
    if token.revoked.is_some() {
        return Ok(token);
    }
    sqlx::query("update token set revoked_at = $1 where id = $2")
        .bind(who.at.seconds())
        .bind(token.id)
        .execute(&mut **tx)
        .await?;
    log(tx, who, Subject::Token(token.id), "revoked", name).await?;
    named(tx, name).await
}

/// The one of that sum, ended or not.
pub async fn by_hash(tx: &mut Tx<'_>, hash: &str) -> Result<Option<Token>, StoreError> {
    let row = sqlx::query("select * from token where hash = $1").bind(hash).fetch_optional(&mut **tx).await?;
    row.as_ref().map(read).transpose()
}

/// Notes that it was used.
pub async fn used(tx: &mut Tx<'_>, id: i64, at: Stamp) -> Result<(), StoreError> {
    sqlx::query("update token set used_at = $1 where id = $2 and (used_at is null or used_at < $3)")
        .bind(at.seconds())
        .bind(id)
        .bind(at.seconds() - USED_AGAIN)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

async fn named(tx: &mut Tx<'_>, name: &str) -> Result<Token, StoreError> {
    let row = sqlx::query("select * from token where name = $1").bind(name).fetch_optional(&mut **tx).await?;
    row.as_ref().map_or_else(|| Err(StoreError::Absent { what: "token", which: name.to_string() }), read)
}

fn read(row: &Row) -> Result<Token, StoreError> {
    let moment = |name| Ok::<_, StoreError>(cell::<Option<i64>>(row, name)?.map(Stamp::from_seconds));
    let scopes: String = cell(row, "scopes")?;
    if scopes.trim().is_empty() {
        return Err(foreign("token's scopes", scopes));
    }
    Ok(Token {
        id: cell(row, "id")?,
        name: cell(row, "name")?,
        scopes: scopes.split_whitespace().map(str::to_string).collect(),
        created: Stamp::from_seconds(cell(row, "created_at")?),
        used: moment("used_at")?,
        revoked: moment("revoked_at")?,
    })
}
