//! A shop's settings.

use super::amounts;
use crate::decode::At;
use crate::error::{Fault, Problem};
use crate::reading::Reading;
use crate::shape::shop::ShopFile;
use domain::shop::{Percent, Shop};

/// The settings of a file.
pub(crate) fn shop(reading: &mut Reading, name: &str, bytes: &[u8]) -> Option<Shop> {
    let root = reading.parse(name, bytes)?;
    reading.check_format(&root, true);
    let file: ShopFile = reading.decode(&root)?;
    let margin = file.margin.as_ref().map_or(Some(Percent::default()), |text| percent(reading, text));
    let tax = file.tax.as_ref().map(|tax| Some((tax.name.clone(), percent(reading, &tax.rate)?)));
    let labour = file.labour.as_ref().map(|text| amounts::money(reading, text));
    let days = file.validity_days.as_ref().map(|d| reading.ranged(d, "the days that a quote holds", 1, 365));
    Some(Shop {
        name: file.name.value.clone(),
        address: file.address.clone(),
        margin: margin?,
        tax: given(tax)?,
        labour: given(labour)?,
        validity_days: given(days)?.unwrap_or(14),
        terms: file.terms.clone(),
    })
}

/// What was not written is no fault; what was written wrong is.
fn given<T>(field: Option<Option<T>>) -> Option<Option<T>> {
    field.map_or(Some(None), |read| read.map(Some))
}

fn percent(reading: &mut Reading, text: &At<String>) -> Option<Percent> {
    let read = Percent::parse(&text.value);
    if read.is_none() {
        let words = format!("`{}` is no percentage: write it as \"18 %\" or \"7.25 %\", 0 to 1000", text.value);
        reading.report(Fault::new(Some(text.span), Problem::Contradiction(words)));
    }
    read
}
