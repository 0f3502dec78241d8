//! Sheets of paper: what stands on them ([`Sheet`]), broken into pages ([`pages`]) of marks that a writer prints.
//!
//! `Sheet → flow (lines, tables, steps, pictures) → Page → pdf`. Lengths are in pt, y grows down.

mod code;
mod face;
mod flow;
mod page;
mod picture;
mod rows;
mod steps;
mod stickers;

pub use face::{Face, printed_width};
pub use page::{Ink, Mark, Op, Page, Stroke};

use crate::drawing::Drawing;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 in (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Width and height in pt.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0 * PER_MM, 297.0 * PER_MM),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// Points of a millimetre: 72 an inch of 25.4 mm.
pub const PER_MM: f64 = 72.0 / 25.4;

/// One document: a heading on its first page, blocks in order, a line at the foot of every page.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    pub title: String,
    /// Beside the title, to the right: a number, a date.
    pub aside: Vec<String>,
    /// Who made it, above the title.
    pub from: Vec<String>,
    /// At the foot of every page, before the page number.
    pub foot: String,
    /// The language of the text as BCP 47 has it: `en`.
    pub language: String,
    pub blocks: Vec<Block>,
}

/// A part of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Heading(String),
    Text(String),
    /// Small print.
    Small(String),
    /// Cautions in a frame with a mark; one line each.
    Cautions(Vec<String>),
    /// Key and value, keys in one column.
    Facts(Vec<(String, String)>),
    Table(Table),
    /// Numbered steps, each with a box to tick.
    Steps(Vec<Step>),
    /// A slot map, as wide as the page at most.
    Map(Box<Drawing>),
    /// A slot map at the head of a new page, lying where it then comes out larger.
    MapPage(Box<Drawing>),
    /// Lines to sign on, each with what it is for.
    Signatures(Vec<String>),
    /// Lines to write on.
    Blank(u8),
    /// Labels to cut out and stick on, each with a two-dimensional code.
    Stickers(Vec<Sticker>),
    /// A new page.
    Break,
}

/// A table; its header stands again on every page that it runs over.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    pub columns: Vec<Column>,
    pub rows: Vec<Vec<String>>,
    /// Rows at the end that are set apart: sums.
    pub totals: Vec<Vec<String>>,
    /// A box to tick before every row.
    pub ticks: bool,
}

/// A column of a table.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Column {
    pub title: String,
    /// Share of the width; columns share it in these proportions.
    pub share: f64,
    /// Set to the right, as figures are.
    pub right: bool,
}

impl Column {
    /// A column of text.
    pub fn text(title: &str, share: f64) -> Self {
        Self { title: title.to_string(), share, right: false }
    }
    /// A column of figures.
    pub fn figures(title: &str, share: f64) -> Self {
        Self { title: title.to_string(), share, right: true }
    }
}

/// One step at the bench.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Step {
    pub act: String,
    /// How, in smaller type; may be empty.
    pub detail: String,
}

/// One label to stick on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sticker {
    /// What the code says.
    pub code: String,
    /// The first one in bold.
    pub lines: Vec<String>,
}

/// Breaks a sheet into pages.
pub fn pages(sheet: &Sheet, paper: Paper) -> Vec<Page> {
    flow::flow(sheet, paper)
}
