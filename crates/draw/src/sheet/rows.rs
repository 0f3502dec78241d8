//! Tables and lists of facts, broken into rows that are as high as their fullest cell.

use super::face::{self, Face};
use super::page::Page;
use super::{Column, Table};
use crate::palette::LIGHT;

/// Type size of a table, in pt.
pub const SIZE: f64 = 9.0;
/// From one baseline to the next.
pub const LEAD: f64 = 11.5;
const PAD: f64 = 3.0;
const GAP: f64 = 6.0;
/// Room for the box to tick.
const TICK: f64 = 16.0;

/// A row ready to be put down.
#[derive(Debug, Clone)]
pub struct Row {
    cells: Vec<Vec<String>>,
    pub height: f64,
    face: Face,
    tick: bool,
}

/// Where the columns of a table lie.
#[derive(Debug, Clone)]
pub struct Columns {
    places: Vec<(f64, f64, bool)>,
    left: f64,
    width: f64,
    ticks: bool,
}

impl Columns {
    /// Shares out a width; no column gets less than its title's longest word needs, where there is room.
    pub fn new(table: &Table, left: f64, width: f64) -> Self {
        let inset = if table.ticks { TICK } else { 0.0 };
        let room = (width - inset - GAP * table.columns.len().saturating_sub(1) as f64).max(1.0);
        let least: Vec<f64> = table.columns.iter().map(|c| least(c).min(room)).collect();
        let spare = (room - least.iter().sum::<f64>()).max(0.0);
        let shares: Vec<f64> = table.columns.iter().map(|c| c.share.max(0.0)).collect();
        let sum = shares.iter().sum::<f64>().max(1e-9);
        let mut x = left + inset;
        let mut places = Vec::new();
        for ((column, least), share) in table.columns.iter().zip(&least).zip(&shares) {
            let w = least + spare * share / sum;
            places.push((x, w, column.right));
            x += w + GAP;
        }
        Self { places, left, width, ticks: table.ticks }
    }
    /// The header.
    pub fn header(&self, table: &Table) -> Row {
        let titles: Vec<String> = table.columns.iter().map(|c| c.title.clone()).collect();
        self.row(&titles, Face::Bold, false)
    }
    /// A row of the table.
    pub fn body(&self, cells: &[String]) -> Row {
        self.row(cells, Face::Plain, self.ticks)
    }
    /// A row of sums.
    pub fn total(&self, cells: &[String]) -> Row {
        self.row(cells, Face::Bold, false)
    }
    fn row(&self, cells: &[String], face: Face, tick: bool) -> Row {
        let none = String::new();
        let cells: Vec<Vec<String>> = self
            .places
            .iter()
            .enumerate()
            .map(|(i, (_, w, _))| face::lines(cells.get(i).unwrap_or(&none), face, SIZE, *w))
            .collect();
        let most = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
        Row { cells, height: LEAD * most as f64 + 2.0 * PAD, face, tick }
    }
    /// Puts a row down with its upper side at `y`, and a line under it.
    pub fn put(&self, row: &Row, y: f64, strong: bool, onto: &mut Page) {
        for ((x, w, right), lines) in self.places.iter().zip(&row.cells) {
            for (n, line) in lines.iter().enumerate() {
                let base = y + PAD + SIZE + LEAD * n as f64 - 1.0;
                match right {
                    true => onto.text_right(x + w, base, line, row.face, SIZE, LIGHT.ink),
                    false => onto.text(*x, base, line, row.face, SIZE, LIGHT.ink),
                }
            }
        }
        if row.tick {
            tick(self.left + 1.0, y + PAD, onto);
        }
        let (line, ink) = if strong { (1.0, LIGHT.ink) } else { (0.4, LIGHT.muted) };
        onto.rule((self.left, y + row.height), (self.left + self.width, y + row.height), ink, line);
    }
}

/// The longest word of a title, or of figures a usual sum.
fn least(column: &Column) -> f64 {
    let words = column.title.split_whitespace().map(|w| Face::Bold.width(w, SIZE));
    words.fold(14.0, f64::max)
}

/// A box to tick, some 3.5 mm wide.
pub fn tick(x: f64, y: f64, onto: &mut Page) {
    let stroke = super::page::Stroke::solid(LIGHT.ink, 0.9);
    onto.shape(super::page::rounded(x, y, 10.0, 10.0, 1.0), Some(LIGHT.page), Some(stroke));
}
