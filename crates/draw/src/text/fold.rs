//! Rows of cells on lines of the terminal: side by side where they fit, folded where they do not.

use super::{Sheet, WIDEST, chars_wide};
use crate::arrange::{Band, Block, Cell};
use crate::canvas::Canvas;
use crate::measure::{columns, cut, pieces};
use crate::state::SocketView;
use std::ops::Range;

impl Sheet<'_> {
    fn cell_width(&self, cell: &Cell) -> usize {
        match cell {
            Cell::Slot(..) => self.inner + 2,
            Cell::Socket(view, _) => self.socket_width(view),
            Cell::Gap => self.inner + 2,
            Cell::Space => 1,
        }
    }
    fn socket_width(&self, view: &SocketView) -> usize {
        let parts = pieces(&view.processor).map(columns).max().unwrap_or(0);
        columns(&view.name).max(parts).clamp(10, WIDEST) + 2
    }
    /// Lines of cells that the whole map takes.
    pub fn parts(&self) -> usize {
        let bands = self.drawing.blocks.iter().flat_map(|b| &b.bands);
        bands.map(|b| self.fold(&b.cells).len()).sum()
    }
    fn band_width(&self, cells: &[Cell]) -> usize {
        let gaps = self.gap * cells.len().saturating_sub(1);
        cells.iter().map(|c| self.cell_width(c)).sum::<usize>() + gaps
    }

    /// Blocks side by side where they fit, each row folded where it must be.
    pub fn blocks(&self, canvas: &mut Canvas, line: &mut usize) {
        let (mut column, mut lowest) = (0, *line);
        for block in &self.drawing.blocks {
            let picture = self.block(block);
            if column > 0 && column + 3 + picture.width() > self.style.columns {
                (column, *line) = (0, lowest + 1);
            }
            let start = if column > 0 { column + 3 } else { 0 };
            canvas.place(start, *line, &picture);
            column = start + picture.width();
            lowest = lowest.max(*line + picture.height());
        }
        *line = lowest;
    }

    fn block(&self, block: &Block) -> Canvas {
        let mut picture = Canvas::default();
        let mut line = 0;
        if !block.title.is_empty() {
            picture.put(0, 0, &self.fit(&block.title, 0), None);
            line = 1;
        }
        // Channels that are columns stay columns: all rows of one part come before the next part.
        let bands: Vec<&Band> = block.bands.iter().collect();
        let by_column = bands.first().is_some_and(|b| !b.heads.is_empty());
        let alike = |b: &&&Band| by_column && b.cells.len() > 1;
        let (columns, rows) = bands.split_at(bands.iter().take_while(alike).count());
        self.group(columns, &mut picture, &mut line);
        for row in rows.chunks(1) {
            match row[0].cells.as_slice() {
                [Cell::Socket(view, _)] if self.drawing.air_front_to_back.is_none() => {
                    self.bar(view, &mut picture, line);
                    line += 3;
                }
                _ => self.group(row, &mut picture, &mut line),
            }
        }
        picture
    }

    /// Draws rows of one width part by part.
    fn group(&self, bands: &[&Band], picture: &mut Canvas, line: &mut usize) {
        let Some(first) = bands.first() else { return };
        let parts = self.fold(&first.cells);
        let many = parts.len();
        for (number, part) in parts.into_iter().enumerate() {
            if many > 1 {
                let words = format!("part {} of {many} of this row, from left to right", number + 1);
                picture.put(0, *line, &self.fit(&words, 0), None);
                *line += 1;
            }
            for band in bands {
                *line += self.band(band, part.clone(), picture, *line);
            }
        }
    }

    /// Cuts a row into pieces that fit: at a socket or a gap where it can be, else where the line is full. Gaps at the
    /// ends of a piece are left out.
    fn fold(&self, cells: &[Cell]) -> Vec<Range<usize>> {
        let is_gap = |at: usize| matches!(cells[at], Cell::Gap | Cell::Space);
        let fits = |part: Range<usize>| self.band_width(&cells[part]) <= self.style.columns;
        let (mut parts, mut start) = (Vec::new(), 0);
        while start < cells.len() {
            if start > 0 && is_gap(start) {
                start += 1;
                continue;
            }
            let mut full = start + 1;
            while full < cells.len() && fits(start..full + 1) {
                full += 1;
            }
            let beside = |at: &usize| !matches!((&cells[*at - 1], &cells[*at]), (Cell::Slot(..), Cell::Slot(..)));
            let end = if full == cells.len() { full } else { (start + 1..=full).rev().find(beside).unwrap_or(full) };
            let last = (start + 1..=end).rev().find(|at| !is_gap(at - 1)).unwrap_or(end);
            parts.push(start..if end == cells.len() && parts.is_empty() { end } else { last });
            start = end;
        }
        parts
    }

    /// Draws a row; says how many lines it took.
    fn band(&self, band: &Band, part: Range<usize>, picture: &mut Canvas, line: usize) -> usize {
        let heads = usize::from(!band.heads.is_empty());
        let from = part.start;
        let cells = &band.cells[part];
        let slots = cells.iter().any(|c| matches!(c, Cell::Slot(..)));
        let high = if slots { self.slot_lines() + 2 } else { 4 };
        let mut column = 0;
        for (at, cell) in cells.iter().enumerate() {
            let wide = self.cell_width(cell);
            if let Some(head) = band.heads.get(from + at) {
                let head = self.plain(cut(head, wide as f64, chars_wide));
                picture.put(column + 1, line, &head, None);
            }
            match cell {
                Cell::Slot(view, _) => self.slot(view, picture, column, line + heads),
                Cell::Socket(view, _) => self.socket(view, picture, (column, line + heads), (wide, high)),
                Cell::Gap | Cell::Space => {}
            }
            column += wide + self.gap;
        }
        high + heads
    }
}
