//! `stock`: what the shop has, taking in, moving, setting aside.

use super::act::read_bin;
use super::calendar;
use super::intake::{read_batch, serial};
use super::offer::Modules;
use crate::failure::Failure;
use crate::verbs::modules::MoneyView;
use crate::verbs::resolve;
use crate::world::Data;
use domain::item::{BatchId, Event, Item, ItemId, Model, NewItem, Screened, Search, Shelf, Subject, Who};
use domain::{Condition, Day, Money};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use store::{Bought, Store, StoreError};

/// What the shelf holds, by model and condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ShelfView {
    pub models: Vec<ShelfLine>,
    /// Models that were found in all.
    pub found: u64,
}

/// One model in one condition.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ShelfLine {
    pub model: i64,
    pub label: String,
    pub part_number: Option<String>,
    pub maker: Option<String>,
    /// Maker, density or revision of the dies, as far as known.
    pub dies: Option<String>,
    pub condition: String,
    pub free: u32,
    pub reserved: u32,
    pub held_back: u32,
    /// The cheapest and the dearest of what is free.
    pub cost_least: Option<MoneyView>,
    pub cost_most: Option<MoneyView>,
}

/// Single items.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ItemListView {
    pub items: Vec<ItemView>,
    /// Is there another page?
    pub more: bool,
}

/// A module with its serial, or a lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ItemView {
    pub item: i64,
    pub label: String,
    pub part_number: Option<String>,
    pub maker: Option<String>,
    pub die: Option<String>,
    pub serial: Option<String>,
    pub condition: String,
    /// `on the shelf`, `held back`, `shipped`, `sent back`, `scrapped` or `missing`.
    pub state: String,
    pub quantity: u32,
    pub reserved: u32,
    /// How many can still be promised.
    pub free: u32,
    pub bin: String,
    pub cost: MoneyView,
    /// `not screened`, `clean`, `look at it` or `reject`.
    pub screening: String,
    /// What was seen, in words.
    pub screening_note: String,
    pub received: String,
    pub note: String,
    pub version: i64,
}

/// An item with what happened to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ItemCloselyView {
    #[serde(flatten)]
    pub item: ItemView,
    pub supplier: Option<String>,
    pub batch: Option<String>,
    /// Until when it can go back.
    pub warranty_until: Option<String>,
    pub history: Vec<EventView>,
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EventView {
    pub at: String,
    pub who: String,
    pub act: String,
    pub detail: String,
}

/// What was taken in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct IntakeView {
    pub items: Vec<i64>,
    /// Of these, such as were here before.
    pub again: usize,
}

impl ItemView {
    /// As the store has it.
    pub fn new(item: &Item) -> Self {
        Self {
            item: item.id.0,
            label: item.model.label.clone(),
            part_number: item.model.part_number.clone(),
            maker: item.model.maker.clone(),
            die: item.model.die.clone(),
            serial: item.serial.clone(),
            condition: item.condition.to_string(),
            state: item.state.to_string(),
            quantity: item.quantity,
            reserved: item.reserved,
            free: item.free(),
            bin: item.bin.clone(),
            cost: MoneyView::new(item.cost),
            screening: item.screened.to_string(),
            screening_note: item.screening_note.clone(),
            received: calendar::day(item.received),
            note: item.note.clone(),
            version: item.version,
        }
    }
}

impl ShelfLine {
    fn new(shelf: &Shelf) -> Self {
        Self {
            model: shelf.model_id.0,
            label: shelf.model.label.clone(),
            part_number: shelf.model.part_number.clone(),
            maker: shelf.model.maker.clone(),
            dies: shelf.model.die.clone(),
            condition: shelf.condition.to_string(),
            free: shelf.free,
            reserved: shelf.reserved,
            held_back: shelf.held_back,
            cost_least: shelf.cost.map(|c| MoneyView::new(c.0)),
            cost_most: shelf.cost.map(|c| MoneyView::new(c.1)),
        }
    }
}

impl EventView {
    /// As the store has it.
    pub fn new(event: &Event) -> Self {
        Self {
            at: calendar::moment(event.who.at),
            who: event.who.name.clone(),
            act: event.act.clone(),
            detail: event.detail.clone(),
        }
    }
}

/// What the shelf holds.
///
/// # Errors
/// The store's.
pub fn shelf(store: &Store, search: &Search) -> Result<ShelfView, Failure> {
    let page = store.shelf(search)?;
    Ok(ShelfView { models: page.list.iter().map(ShelfLine::new).collect(), found: page.found })
}

/// Single items, the newest first.
///
/// # Errors
/// The store's.
pub fn items(store: &Store, search: &Search) -> Result<ItemListView, Failure> {
    let page = store.items(search)?;
    let more = page.found > u64::from(search.skip) + page.list.len() as u64;
    Ok(ItemListView { items: page.list.iter().map(ItemView::new).collect(), more })
}

/// One item with its history.
///
/// # Errors
/// There is none.
pub fn closely(store: &Store, id: ItemId) -> Result<ItemCloselyView, Failure> {
    let item = store.item(id)?;
    let history = store.history(Subject::Item(id.0))?;
    let batch = item.batch.map(|b| store.batch(b)).transpose()?;
    Ok(ItemCloselyView {
        item: ItemView::new(&item),
        supplier: batch.as_ref().map(|b| b.bought.supplier.clone()),
        batch: batch.as_ref().map(|b| b.bought.reference.clone()),
        warranty_until: batch.as_ref().and_then(|b| b.warranty_until).map(calendar::day),
        history: history.iter().map(EventView::new).collect(),
    })
}

/// One thing to take in, as a person writes it; empty texts say nothing.
#[derive(Debug, Clone, Default)]
pub struct Row {
    pub label: String,
    pub part_number: String,
    pub maker: String,
    pub die: String,
    pub serial: String,
    pub count: String,
    pub condition: String,
    pub bin: String,
    pub cost: String,
    /// SUPPLIER/REFERENCE
    pub batch: String,
    pub received: String,
    pub note: String,
}

/// Makes an item of a row; `today` is when it was received where the row doesn't say.
///
/// # Errors
/// What is wrong with which cell, and what to write there.
pub fn new_item(data: &Data, row: &Row, today: Day) -> Result<(NewItem, Option<Bought>), Failure> {
    let wrong = |why: String, hint: &str| Failure::Shop { why, hint: hint.to_string() };
    let catalog = data.library.catalog();
    let module = match Modules::new(catalog).get(row.label.trim()) {
        Some(module) => module,
        None => resolve::module(catalog, &row.label)
            .map(std::sync::Arc::new)
            .map_err(|unread| wrong(unread.message, &unread.hint))?,
    };
    let text = |t: &str| Some(t.trim().to_string()).filter(|t| !t.is_empty());
    let mut model = Model::of(&module, text(&row.die));
    model.label = module.label.clone();
    model.part_number = text(&row.part_number).or(model.part_number);
    model.maker = text(&row.maker).or(model.maker);
    let count = match row.count.trim() {
        "" => 1,
        count => count.parse().map_err(|_| wrong(format!("`{count}` is no count"), "write a whole number from 1"))?,
    };
    let condition = match row.condition.trim() {
        "" => Condition::Used,
        word => {
            Condition::parse(word).ok_or_else(|| wrong(format!("`{word}` is no condition"), "write new or used"))?
        }
    };
    if row.cost.trim().is_empty() {
        return Err(wrong("the cost is missing".to_string(), "write what one cost, such as \"42.50 EUR\""));
    }
    let cost = Money::parse(&row.cost).map_err(|e| wrong(e.to_string(), e.hint()))?;
    let received = if row.received.trim().is_empty() { today } else { calendar::read_day(&row.received)? };
    let bought = text(&row.batch).map(|batch| read_batch(&batch).map_err(|(why, hint)| Failure::Shop { why, hint }));
    let bought = bought.transpose()?.map(|(supplier, reference)| Bought { supplier, reference, on: received });
    let item = NewItem {
        model,
        serial: text(&row.serial).map(|s| serial(&s)),
        condition,
        quantity: count,
        batch: None,
        bin: text(&row.bin).map_or_else(|| Ok(String::new()), |bin| read_bin(&bin))?,
        cost,
        screened: Screened::Not,
        screening_note: String::new(),
        made: None,
        received,
        note: row.note.trim().to_string(),
    };
    Ok((item, bought))
}

/// Takes items in: all, or none.
///
/// # Errors
/// The store's; a refused row names itself.
pub fn take_in(store: &Store, items: &[(NewItem, Option<Bought>)], who: &Who) -> Result<IntakeView, Failure> {
    let took = store.take_in_bought(items, who).map_err(|e| match e {
        // It is one row, and whoever wrote it sees it.
        StoreError::Rows(faults) if faults.len() == 1 => Failure::Shop {
            why: faults.into_iter().map(|f| f.why).collect(),
            hint: "nothing was taken in: correct serial, count or cost".to_string(),
        },
        other => Failure::Store(other),
    })?;
    let again = took.iter().filter(|t| t.again).count();
    Ok(IntakeView { items: took.iter().map(|t| t.id.0).collect(), again })
}

/// A cell that a spreadsheet does not take for a formula: a person's text may begin like one.
pub fn harmless(cell: &str) -> String {
    let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    format!("{}{cell}", if formula { "'" } else { "" })
}

const COLUMNS: [&str; 13] = [
    "label",
    "part number",
    "maker",
    "die",
    "serial",
    "count",
    "condition",
    "bin",
    "cost",
    "supplier",
    "batch",
    "received",
    "note",
];

/// Everything that there is as a table that `intake` reads again.
///
/// # Errors
/// The store's.
pub fn export(store: &Store) -> Result<String, Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let failed = |why: String| Failure::Shop { why, hint: "try again".to_string() };
    writer.write_record(COLUMNS).map_err(|e| failed(e.to_string()))?;
    let of = |b: store::Batch| (b.id, (b.bought.supplier, b.bought.reference));
    let batches: BTreeMap<BatchId, (String, String)> = store.batches()?.into_iter().map(of).collect();
    let mut search = Search { most: 1000, state: Some(domain::item::ItemState::Shelf), ..Search::default() };
    loop {
        let page = store.items(&search)?;
        for item in &page.list {
            let text = |t: &Option<String>| t.clone().unwrap_or_default();
            let model = &item.model;
            let (count, cost) = (item.quantity.to_string(), item.cost.to_string());
            let (part, maker, die, serial) =
                (text(&model.part_number), text(&model.maker), text(&model.die), text(&item.serial));
            let received = calendar::day(item.received);
            let (supplier, reference) = item.batch.and_then(|b| batches.get(&b)).cloned().unwrap_or_default();
            let cells: [&str; 13] = [
                &model.label,
                &part,
                &maker,
                &die,
                &serial,
                &count,
                item.condition.word(),
                &item.bin,
                &cost,
                &supplier,
                &reference,
                &received,
                &item.note,
            ];
            writer.write_record(cells.map(harmless)).map_err(|e| failed(e.to_string()))?;
        }
        if page.list.len() < 1000 {
            break;
        }
        search.skip += 1000;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}
