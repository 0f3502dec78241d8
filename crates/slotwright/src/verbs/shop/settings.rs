//! The shop's settings: kept in the store, so that no quote leaves the house without name and tax because a file was not named.

use super::calendar;
use crate::failure::Failure;
use crate::world::Data;
use catalog::{Folder, Input};
use domain::Money;
use domain::item::Who;
use domain::shop::{Percent, Shop};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::path::Path;
use store::{Settings, Store};

/// Who the shop is and how it prices.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ShopView {
    pub name: String,
    pub address: Vec<String>,
    /// On what a module costs, where neither a price list nor the margin of its class says more, such as `18 %`.
    pub margin: String,
    /// Null where none is set.
    pub tax: Option<TaxView>,
    /// For one machine, such as `60.00 EUR`; null where none is charged.
    pub labour: Option<String>,
    /// Days for which a quote holds.
    pub validity_days: u16,
    pub terms: Vec<String>,
}

/// A tax on the net price.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TaxView {
    pub name: String,
    /// Such as `19 %`.
    pub rate: String,
}

/// The settings that the store keeps.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SettingsView {
    #[serde(flatten)]
    pub shop: ShopView,
    /// The settings file's text.
    pub file: String,
    /// Since when they hold.
    pub at: String,
    /// Who kept them.
    pub by: String,
}

impl ShopView {
    /// As plain data.
    pub fn new(shop: &Shop) -> Self {
        Self {
            name: shop.name.clone(),
            address: shop.address.clone(),
            margin: shop.margin.to_string(),
            tax: shop.tax.as_ref().map(|(name, rate)| TaxView { name: name.clone(), rate: rate.to_string() }),
            labour: shop.labour.map(|l| l.to_string()),
            validity_days: shop.validity_days,
            terms: shop.terms.clone(),
        }
    }
    /// The settings again.
    ///
    /// # Errors
    /// Another program wrote them.
    pub fn shop(&self) -> Result<Shop, Failure> {
        let foreign = |text: &str| Failure::Shop {
            why: format!("the settings in the store hold `{text}`, which this program never writes"),
            hint: "name others with --shop".to_string(),
        };
        let percent = |text: &String| Percent::parse(text).ok_or_else(|| foreign(text));
        let tax = |tax: &TaxView| Ok::<_, Failure>((tax.name.clone(), percent(&tax.rate)?));
        Ok(Shop {
            name: self.name.clone(),
            address: self.address.clone(),
            margin: percent(&self.margin)?,
            tax: self.tax.as_ref().map(tax).transpose()?,
            labour: self.labour.as_ref().map(|l| Money::parse(l).map_err(|_| foreign(l))).transpose()?,
            validity_days: self.validity_days,
            terms: self.terms.clone(),
        })
    }
}

/// Keeps the settings of a file; they hold from now on, for every quote, paper and page that names no others.
///
/// # Errors
/// The file can't be read, or the store's.
pub fn keep(data: &Data, store: &Store, file: &Path, who: &Who) -> Result<SettingsView, Failure> {
    let files = Folder::default();
    let input = Input::file(&files, file)?;
    let shop = data.library.shop(&input)?;
    let text = String::from_utf8_lossy(input.bytes());
    Ok(view(&shop, &store.keep_settings(&text, who)?))
}

/// The settings that are kept, where there are some.
///
/// # Errors
/// The store's, or this program can't read them any more.
pub fn show(data: &Data, store: &Store) -> Result<Option<SettingsView>, Failure> {
    let Some(kept) = store.settings()? else { return Ok(None) };
    Ok(Some(view(&read(data, &kept)?, &kept)))
}

fn view(shop: &Shop, kept: &Settings) -> SettingsView {
    SettingsView {
        shop: ShopView::new(shop),
        file: kept.text.clone(),
        at: calendar::moment(kept.who.at),
        by: kept.who.name.clone(),
    }
}

/// The shop as the store keeps it, where it does.
///
/// # Errors
/// As [`show`].
pub fn kept(data: &Data, store: &Store) -> Result<Option<Shop>, Failure> {
    store.settings()?.map(|kept| read(data, &kept)).transpose()
}

/// The shop of a file, where one is named, else as the store keeps it.
///
/// # Errors
/// The file can't be read, else as [`show`].
pub fn named(data: &Data, store: &Store, file: Option<&Path>) -> Result<Option<Shop>, Failure> {
    match file {
        Some(path) => Ok(Some(data.library.shop(&Input::file(&Folder::default(), path)?)?)),
        None => kept(data, store),
    }
}

/// Settings of the store were asked for, and it keeps none.
pub fn none_kept() -> Failure {
    Failure::Shop {
        why: "the store keeps no settings of the shop".to_string(),
        hint: "keep them first with `slotwright store settings FILE`".to_string(),
    }
}

fn read(data: &Data, kept: &Settings) -> Result<Shop, Failure> {
    Ok(data.library.shop(&Input::text("the settings in the store", kept.text.as_str()))?)
}
