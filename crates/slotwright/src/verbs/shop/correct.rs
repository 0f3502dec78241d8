//! `stock correct`: what was written wrong of an item.

use super::calendar;
use super::intake::{read_batch, read_condition, read_cost, serial};
use super::offer::Modules;
use super::stock::ItemView;
use crate::failure::Failure;
use crate::verbs::resolve;
use crate::world::Data;
use domain::item::{Item, ItemId, Model, Who};
use store::{Bought, Correction, Store};

/// What a person writes; an empty text leaves things as they are, and a `-` takes away what may be absent.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    pub label: String,
    pub part_number: String,
    pub maker: String,
    pub die: String,
    pub serial: String,
    pub condition: String,
    pub count: String,
    pub cost: String,
    pub received: String,
    /// SUPPLIER/REFERENCE
    pub batch: String,
    pub why: String,
}

/// Mends it; `version` is the one that somebody looked at, where it matters.
///
/// # Errors
/// What is wrong with what was written, or why the store refuses it; nothing is changed then.
pub fn correct(
    data: &Data,
    store: &Store,
    id: ItemId,
    version: Option<i64>,
    asked: &Asked,
    who: &Who,
) -> Result<ItemView, Failure> {
    let item = store.item(id)?;
    let shop = |(why, hint): (String, String)| Failure::Shop { why, hint };
    let some = |text: &str| Some(text.trim().to_string()).filter(|t| !t.is_empty());
    if asked.why.trim().is_empty() {
        return Err(shop((
            "there is no reason given".to_string(),
            "say why: it stands in the item's history".to_string(),
        )));
    }
    let received = some(&asked.received).map(|day| calendar::read_day(&day)).transpose()?;
    let count = some(&asked.count).map(|count| {
        let wrong = || shop((format!("`{count}` is no count"), "write a whole number from 1".to_string()));
        count.parse::<u32>().map_err(|_| wrong())
    });
    let bought = some(&asked.batch).map(|batch| read_batch(&batch).map_err(shop)).transpose()?;
    let to = Correction {
        model: model(data, &item, asked)?,
        serial: some(&asked.serial).map(|text| Some(serial(&text)).filter(|_| text != "-")),
        condition: some(&asked.condition).map(|word| read_condition(&word).map_err(shop)).transpose()?,
        quantity: count.transpose()?,
        cost: some(&asked.cost).map(|cost| read_cost(&cost).map_err(shop)).transpose()?,
        received,
        bought: bought.map(|(supplier, reference)| Bought {
            supplier,
            reference,
            on: received.unwrap_or(item.received),
        }),
        why: asked.why.trim().to_string(),
    };
    Ok(ItemView::new(&store.correct_item(id, version.or(Some(item.version)), &to, who)?))
}

fn model(data: &Data, item: &Item, asked: &Asked) -> Result<Option<Model>, Failure> {
    let mut model = item.model.clone();
    if !asked.label.trim().is_empty() {
        let catalog = data.library.catalog();
        let module = match Modules::new(catalog).get(asked.label.trim()) {
            Some(module) => module,
            None => resolve::module(catalog, &asked.label)
                .map(std::sync::Arc::new)
                .map_err(|unread| Failure::Shop { why: unread.message, hint: unread.hint })?,
        };
        let kept = (model.part_number.take(), model.maker.take(), model.die.take());
        model = Model::of(&module, None);
        model.label = module.label.clone();
        model.part_number = kept.0.or(model.part_number);
        model.maker = kept.1.or(model.maker);
        model.die = kept.2.or(model.die);
    }
    for (text, of) in
        [(&asked.part_number, &mut model.part_number), (&asked.maker, &mut model.maker), (&asked.die, &mut model.die)]
    {
        match text.trim() {
            "" => {}
            "-" => *of = None,
            text => *of = Some(text.to_string()),
        }
    }
    Ok((model != item.model).then_some(model))
}
