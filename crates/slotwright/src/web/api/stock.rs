//! Stock: the shelf by model, single items, taking in, moving and marking.

use super::answer::Made;
use super::call::Call;
use super::problem::{Problem, Wrong};
use crate::failure::Failure;
use crate::verbs::shop::act::{self, Act};
use crate::verbs::shop::correct;
use crate::verbs::shop::intake::{self, ScreenedView, Terms};
use crate::verbs::shop::stock::{self, ItemCloselyView, ItemListView, ItemView, ShelfView};
use domain::item::{ItemState, ModelId, Search};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Most rows of one intake.
const ROWS_MOST: usize = 5000;

/// Modules to take in: all of them, or none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IntakeBody {
    #[schemars(length(min = 1, max = 5000))]
    items: Vec<IntakeRow>,
}

/// A module with its serial, or a lot of like ones without; a label or a part number must be there.
#[derive(Debug, Default, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct IntakeRow {
    /// The JEDEC module label, such as `64GB 2Rx4 PC4-2933Y-RB2`.
    label: String,
    part_number: String,
    maker: String,
    /// Maker, density or revision of the dies, where it is known.
    die: String,
    serial: String,
    /// Year and week as on the label, such as `2020-W14`.
    made: String,
    /// 1 where it is left out.
    #[schemars(range(min = 1))]
    count: Option<u32>,
    /// `new` or `used`; used where it is left out.
    condition: String,
    bin: String,
    /// What one cost, such as `42.50 EUR`.
    cost: String,
    supplier: String,
    /// The supplier's reference of the delivery.
    batch: String,
    /// `2026-11-25`; today where it is left out.
    received: String,
    note: String,
}

/// Where an item is moved.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MoveBody {
    /// One word of at most 40 characters.
    bin: String,
    /// Of a lot only so many, which become an item of their own; the answer is that item. All of it where it is left out.
    #[schemars(range(min = 1))]
    count: Option<u32>,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// What becomes of an item.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkBody {
    state: Mark,
    /// Stands in its history.
    why: String,
    /// Of a lot only so many, which become an item of their own; the answer is that item. All of it where it is left out.
    #[schemars(range(min = 1))]
    count: Option<u32>,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// What was written wrong of an item; what is left out stays as it is.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CorrectBody {
    /// The JEDEC module label.
    label: String,
    /// `-` where there is none; likewise `maker`, `die` and `serial`.
    part_number: String,
    maker: String,
    die: String,
    serial: String,
    /// `new` or `used`.
    condition: String,
    #[schemars(range(min = 1))]
    count: Option<u32>,
    /// What one cost, such as `42.50 EUR`.
    cost: String,
    /// `SUPPLIER/REFERENCE`
    batch: String,
    /// `2026-11-25`
    received: String,
    /// Stands in its history.
    why: String,
    /// The version that was looked at; without it, what is there now.
    version: Option<i64>,
}

/// A state that can be set by hand.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
pub enum Mark {
    #[serde(rename = "on the shelf")]
    Shelf,
    #[serde(rename = "held back")]
    HeldBack,
    #[serde(rename = "scrapped")]
    Scrapped,
    #[serde(rename = "missing")]
    Missing,
}

pub fn models(call: &Call) -> Result<Made<ShelfView>, Problem> {
    Ok(Made::of(stock::shelf(&call.store, &search(call))?))
}

pub fn items(call: &Call) -> Result<Made<ItemListView>, Problem> {
    Ok(Made::of(stock::items(&call.store, &search(call))?))
}

fn search(call: &Call) -> Search {
    let (skip, most) = call.page();
    let query = &call.query;
    Search {
        words: query.get("words").to_string(),
        state: query.some("state").and_then(ItemState::parse),
        model: query.some("model").and_then(|m| m.parse().ok()).map(ModelId),
        bin: query.some("bin").map(str::to_uppercase),
        skip,
        most,
        ..Search::default()
    }
}

pub fn one(call: &Call) -> Result<Made<ItemCloselyView>, Problem> {
    let view = stock::closely(&call.store, call.item()?)?;
    Ok(Made::at(view.item.version, view))
}

/// By the reader of lists, so that what comes in this way is screened as all else is.
pub fn take_in(call: &Call, body: &IntakeBody) -> Result<Made<ScreenedView>, Problem> {
    let rows = &body.items;
    if rows.is_empty() || rows.len() > ROWS_MOST {
        return Err(Problem::wrong(
            format!("{} items are given", rows.len()),
            format!("give 1 to {ROWS_MOST} at a time"),
        ));
    }
    let wrong: Vec<Wrong> = rows.iter().enumerate().filter_map(|(i, row)| row.fault(i)).collect();
    if !wrong.is_empty() {
        return Err(Problem::wrong(format!("{} items can't be taken in", wrong.len()), NOTHING).with(wrong));
    }
    let table = table(rows).map_err(|e| Problem::bad(e, "send it again"))?;
    let terms = Terms::read("", "", "", "", "", call.who.at.day())?;
    match intake::list_sent(&call.data, &call.store, &table, &[], &terms, &call.who) {
        Ok(view) => Ok(Made::of(view)),
        Err(Failure::Intake(faults)) => {
            let wrong = |fault: &intake::RowFault| {
                // The first line is the header.
                let row = fault.line.and_then(|l| l.checked_sub(2));
                Wrong {
                    pointer: row.map_or_else(|| "/items".to_string(), |r| format!("/items/{r}")),
                    detail: fault.why.clone(),
                    hint: fault.hint.clone(),
                }
            };
            let faults: Vec<Wrong> = faults.iter().map(wrong).collect();
            Err(Problem::wrong(format!("{} items can't be taken in", faults.len()), NOTHING).with(faults))
        }
        Err(other) => Err(other.into()),
    }
}

const NOTHING: &str = "nothing was taken in: mend these items and send all of it again";

const HEADER: [&str; 14] = [
    "label",
    "part number",
    "maker",
    "die",
    "serial",
    "made",
    "count",
    "condition",
    "bin",
    "cost",
    "supplier",
    "batch",
    "received",
    "note",
];

impl IntakeRow {
    const fn cells<'a>(&'a self, count: &'a str) -> [&'a str; 14] {
        [
            self.label.as_str(),
            self.part_number.as_str(),
            self.maker.as_str(),
            self.die.as_str(),
            self.serial.as_str(),
            self.made.as_str(),
            count,
            self.condition.as_str(),
            self.bin.as_str(),
            self.cost.as_str(),
            self.supplier.as_str(),
            self.batch.as_str(),
            self.received.as_str(),
            self.note.as_str(),
        ]
    }
    /// A row without a module would be passed over as empty, and a text of two lines would be two rows.
    fn fault(&self, index: usize) -> Option<Wrong> {
        let (detail, hint) = if self.cells("").iter().any(|c| c.contains(['\n', '\r', '\t'])) {
            ("a text of it has more than one line", "write each in one line")
        } else if self.label.trim().is_empty() && self.part_number.trim().is_empty() {
            ("it has neither label nor part number", "give one of the two")
        } else if self.count == Some(0) {
            ("its count is 0", "give a count from 1")
        } else {
            return None;
        };
        Some(Wrong { pointer: format!("/items/{index}"), detail: detail.to_string(), hint: hint.to_string() })
    }
}

fn table(rows: &[IntakeRow]) -> Result<String, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADER).map_err(|e| e.to_string())?;
    for row in rows {
        let count = row.count.map(|c| c.to_string()).unwrap_or_default();
        writer.write_record(row.cells(&count)).map_err(|e| e.to_string())?;
    }
    let bytes = writer.into_inner().map_err(|e| e.to_string())?;
    String::from_utf8(bytes).map_err(|e| e.to_string())
}

pub fn shift(call: &Call, body: &MoveBody) -> Result<Made<ItemView>, Problem> {
    done(call, body.version, &Act::Move(body.bin.clone()), body.count, "")
}

pub fn mark(call: &Call, body: &MarkBody) -> Result<Made<ItemView>, Problem> {
    let act = match body.state {
        Mark::Shelf => Act::Shelve,
        Mark::HeldBack => Act::Hold,
        Mark::Scrapped => Act::Scrap,
        Mark::Missing => Act::Miss,
    };
    done(call, body.version, &act, body.count, &body.why)
}

fn done(call: &Call, version: Option<i64>, act: &Act, part: Option<u32>, why: &str) -> Result<Made<ItemView>, Problem> {
    let view = act::act(&call.store, call.item()?, call.seen(version)?, (act, part), why, &call.who)?;
    Ok(Made::at(view.version, view))
}

pub fn correct(call: &Call, body: &CorrectBody) -> Result<Made<ItemView>, Problem> {
    let asked = correct::Asked {
        label: body.label.clone(),
        part_number: body.part_number.clone(),
        maker: body.maker.clone(),
        die: body.die.clone(),
        serial: body.serial.clone(),
        condition: body.condition.clone(),
        count: body.count.map(|c| c.to_string()).unwrap_or_default(),
        cost: body.cost.clone(),
        received: body.received.clone(),
        batch: body.batch.clone(),
        why: body.why.clone(),
    };
    let view = correct::correct(&call.data, &call.store, call.item()?, call.seen(body.version)?, &asked, &call.who)?;
    Ok(Made::at(view.version, view))
}
