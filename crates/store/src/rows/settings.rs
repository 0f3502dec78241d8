//! The shop's settings: each text that held, the newest on top.

use super::cells::cell;
use super::history::log;
use super::{Row, Tx};
use crate::error::StoreError;
use crate::settings::Settings;
use domain::Stamp;
use domain::item::{Subject, Who};

/// Keeps a text; it holds from now on.
pub async fn keep(tx: &mut Tx<'_>, text: &str, who: &Who) -> Result<Settings, StoreError> {
    let id: i64 = sqlx::query_scalar("insert into shop_settings (text, at, who) values ($1, $2, $3) returning id")
        .bind(text)
        .bind(who.at.seconds())
        .bind(&who.name)
        .fetch_one(&mut **tx)
        .await?;
    log(tx, who, Subject::Settings(id), "kept", "").await?;
    Ok(Settings { text: text.to_string(), who: who.clone() })
}

/// What holds.
pub async fn newest(tx: &mut Tx<'_>) -> Result<Option<Settings>, StoreError> {
    let row = sqlx::query("select * from shop_settings order by id desc limit 1").fetch_optional(&mut **tx).await?;
    row.as_ref().map(read).transpose()
}

fn read(row: &Row) -> Result<Settings, StoreError> {
    Ok(Settings {
        text: cell(row, "text")?,
        who: Who { name: cell(row, "who")?, at: Stamp::from_seconds(cell(row, "at")?) },
    })
}
