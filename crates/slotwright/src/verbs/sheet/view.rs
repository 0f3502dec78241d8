//! A sheet as plain data, in the order in which it stands on paper.

use draw::sheet::{Block, Sheet, Table};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SheetView {
    pub title: String,
    /// Who made it.
    pub from: Vec<String>,
    /// Number, date, validity.
    pub aside: Vec<String>,
    pub blocks: Vec<BlockView>,
}

/// A part of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BlockView {
    Heading(String),
    Text(String),
    Small(String),
    Cautions(Vec<String>),
    /// Key and value.
    Facts(Vec<(String, String)>),
    Table(TableView),
    Steps(Vec<StepView>),
    /// What the slot map shows, in a sentence.
    Map(String),
    Signatures(Vec<String>),
    /// Lines to write on.
    Blank(u8),
    Stickers(Vec<StickerView>),
}

/// A table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct TableView {
    pub columns: Vec<String>,
    pub rows: Vec<Vec<String>>,
    pub totals: Vec<Vec<String>>,
}

/// A step at the bench.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StepView {
    pub act: String,
    pub detail: String,
}

/// A label to stick on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StickerView {
    /// What its code says.
    pub code: String,
    pub lines: Vec<String>,
}

impl SheetView {
    /// A sheet as plain data.
    pub fn new(sheet: &Sheet) -> Self {
        Self {
            title: sheet.title.clone(),
            from: sheet.from.clone(),
            aside: sheet.aside.clone(),
            blocks: sheet.blocks.iter().filter_map(block).collect(),
        }
    }
}

fn block(block: &Block) -> Option<BlockView> {
    Some(match block {
        Block::Heading(text) => BlockView::Heading(text.clone()),
        Block::Text(text) => BlockView::Text(text.clone()),
        Block::Small(text) => BlockView::Small(text.clone()),
        Block::Cautions(lines) => BlockView::Cautions(lines.clone()),
        Block::Facts(facts) => BlockView::Facts(facts.clone()),
        Block::Table(table) => BlockView::Table(self::table(table)),
        Block::Steps(steps) => {
            BlockView::Steps(steps.iter().map(|s| StepView { act: s.act.clone(), detail: s.detail.clone() }).collect())
        }
        Block::Map(drawing) | Block::MapPage(drawing) => BlockView::Map(drawing.description.clone()),
        Block::Signatures(lines) => BlockView::Signatures(lines.clone()),
        Block::Blank(lines) => BlockView::Blank(*lines),
        Block::Stickers(all) => BlockView::Stickers(
            all.iter().map(|s| StickerView { code: s.code.clone(), lines: s.lines.clone() }).collect(),
        ),
        Block::Break => return None,
    })
}

fn table(table: &Table) -> TableView {
    TableView {
        columns: table.columns.iter().map(|c| c.title.clone()).collect(),
        rows: table.rows.clone(),
        totals: table.totals.clone(),
    }
}
