//! The shape of a shop's settings file.

use crate::decode::At;
use schemars::JsonSchema;
use serde::Deserialize;

/// Who the shop is and how it prices.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "shop", rename = "Shop")]
#[allow(dead_code, reason = "format is read before the shape")]
pub(crate) struct ShopFile {
    /// The version of this file format: 1, also if absent.
    pub format: Option<At<u32>>,
    /// The shop's name, as it stands on its quotes.
    pub name: At<String>,
    /// Lines of its address, and how to reach it.
    #[serde(default)]
    pub address: Vec<String>,
    /// On top of what modules cost, such as "18 %"; none if absent.
    pub margin: Option<At<String>>,
    /// The tax on the net price; none if absent.
    pub tax: Option<TaxTable>,
    /// Labour for one machine, such as "60.00 EUR".
    pub labour: Option<At<String>>,
    /// Days for which a quote holds, 1 to 365; 14 if absent.
    pub validity_days: Option<At<u16>>,
    /// Sentences at the end of every quote.
    #[serde(default)]
    pub terms: Vec<String>,
}

/// A tax.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct TaxTable {
    /// What it is called, such as "VAT".
    pub name: String,
    /// Its share of the net price, such as "19 %".
    pub rate: At<String>,
}
