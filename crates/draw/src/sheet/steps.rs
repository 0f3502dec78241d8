//! Numbered steps with boxes to tick: one below the other, or in columns where all of them are short.

use super::face::{self, Face};
use super::page::Page;
use super::{Step, rows};
use crate::palette::LIGHT;

const BODY: f64 = 10.0;
const LEAD: f64 = 13.5;
const SMALL: f64 = 8.5;
const DETAIL_LEAD: f64 = 11.0;
/// Room for the box and the number.
const INSET: f64 = 38.0;
/// Narrowest column, and the space between two.
const COLUMN: f64 = 205.0;
const GAP: f64 = 14.0;
/// Lines of a step that is short.
const LINES_MOST: usize = 3;
/// Fewer steps than this stay in one column.
const COLUMNS_FROM: usize = 8;

/// Steps broken into lines, and the columns that they stand in.
pub struct Steps {
    broken: Vec<(Vec<String>, Vec<String>)>,
    columns: usize,
    width: f64,
}

impl Steps {
    /// For a width in pt.
    pub fn new(steps: &[Step], room: f64) -> Self {
        let columns = (((room + GAP) / (COLUMN + GAP)) as usize).max(1);
        let width = |columns: usize| (room + GAP) / columns as f64 - GAP;
        let broken = |columns: usize| -> Vec<(Vec<String>, Vec<String>)> {
            let room = width(columns) - INSET;
            let lines = |text: &str, size| face::lines(text, Face::Plain, size, room);
            let detail = |text: &str| if text.trim().is_empty() { Vec::new() } else { lines(text.trim(), SMALL) };
            steps.iter().map(|s| (lines(&s.act, BODY), detail(&s.detail))).collect()
        };
        let in_columns = broken(columns);
        let short = steps.len() >= COLUMNS_FROM
            && in_columns.iter().all(|(act, detail)| act.len() + detail.len() <= LINES_MOST);
        if short {
            return Self { broken: in_columns, columns, width: width(columns) };
        }
        Self { broken: broken(1), columns: 1, width: room }
    }
    /// How many there are.
    pub fn count(&self) -> usize {
        self.broken.len()
    }
    /// Height of one.
    fn height(&self, at: usize) -> f64 {
        let Some((act, detail)) = self.broken.get(at) else { return 0.0 };
        (act.len() as f64 * LEAD + detail.len() as f64 * DETAIL_LEAD + 5.0).max(18.0)
    }
    /// How many from `first` on stand in so much height, none where not even one does. A last one is not left alone.
    pub fn fitting(&self, first: usize, height: f64) -> usize {
        let left = self.count().saturating_sub(first);
        let most = if self.columns > 1 {
            (height / self.row()) as usize * self.columns
        } else {
            let mut sum = 0.0;
            (first..self.count())
                .take_while(|at| {
                    sum += self.height(*at);
                    sum <= height
                })
                .count()
        };
        if most > 0 && most + 1 == left { most - 1 } else { most.min(left) }
    }
    /// Height of a row of columns.
    fn row(&self) -> f64 {
        (0..self.count()).map(|at| self.height(at)).fold(18.0, f64::max)
    }
    /// Puts so many down, column by column; the height that they take.
    pub fn put(&self, (first, count): (usize, usize), (left, top): (f64, f64), page: &mut Page) -> f64 {
        let rows = count.div_ceil(self.columns).max(1);
        let (mut y, mut lowest) = (top, top);
        for at in 0..count {
            let column = at / rows;
            if at % rows == 0 {
                y = top;
            }
            let x = left + column as f64 * (self.width + GAP);
            self.one(first + at, (x, y), page);
            y += if self.columns > 1 { self.row() } else { self.height(first + at) };
            lowest = lowest.max(y);
        }
        lowest - top
    }
    fn one(&self, at: usize, (x, y): (f64, f64), page: &mut Page) {
        let Some((act, detail)) = self.broken.get(at) else { return };
        rows::tick(x, y + 1.0, page);
        page.text_right(x + INSET - 8.0, y + BODY, &format!("{}.", at + 1), Face::Bold, BODY, LIGHT.ink);
        let mut y = y;
        for line in act {
            page.text(x + INSET, y + BODY, line, Face::Plain, BODY, LIGHT.ink);
            y += LEAD;
        }
        for line in detail {
            page.text(x + INSET, y + 8.0, line, Face::Plain, SMALL, LIGHT.muted);
            y += DETAIL_LEAD;
        }
    }
}
