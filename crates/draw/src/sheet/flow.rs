//! Blocks onto pages, one below the other; what does not fit goes over to the next page, headers with it.

use super::face::{self, Face};
use super::page::{self, Page, Stroke};
use super::steps::Steps;
use super::{Block, PER_MM, Paper, Sheet, Step, Sticker, Table, picture, rows, stickers};
use crate::drawing::Drawing;
use crate::palette::{LIGHT, Tone};

const SIDE: f64 = 18.0 * PER_MM;
const TOP: f64 = 16.0 * PER_MM;
const FOOT: f64 = 18.0 * PER_MM;
const BODY: f64 = 10.0;
const LEAD: f64 = 13.5;
const SMALL: f64 = 8.0;
/// A line to sign on.
const SIGNATURE: f64 = 40.0;

/// Breaks a sheet into pages, with the foot on each.
pub fn flow(sheet: &Sheet, paper: Paper) -> Vec<Page> {
    let (width, height) = paper.size();
    let mut flow = Flow { pages: Vec::new(), paper: (width, height), width, height, y: TOP };
    flow.turn();
    flow.head(sheet);
    for (at, block) in sheet.blocks.iter().enumerate() {
        flow.block(block, sheet.blocks.get(at + 1));
    }
    let count = flow.pages.len();
    for (n, page) in flow.pages.iter_mut().enumerate() {
        let (width, height) = (page.width, page.height);
        let y = height - FOOT + 14.0;
        page.rule((SIDE, y - 9.0), (width - SIDE, y - 9.0), LIGHT.muted, 0.4);
        let number = format!("page {} of {count}", n + 1);
        let room = width - 2.0 * SIDE - Face::Plain.width(&number, SMALL) - 12.0;
        let foot = face::lines(&sheet.foot, Face::Plain, SMALL, room);
        for (line, text) in foot.iter().take(2).enumerate() {
            page.text(SIDE, y + 10.0 * line as f64, text, Face::Plain, SMALL, LIGHT.muted);
        }
        page.text_right(width - SIDE, y, &number, Face::Plain, SMALL, LIGHT.muted);
    }
    flow.pages
}

struct Flow {
    pages: Vec<Page>,
    paper: (f64, f64),
    /// Of the page that is written on.
    width: f64,
    height: f64,
    y: f64,
}

impl Flow {
    fn room(&self) -> f64 {
        self.width - 2.0 * SIDE
    }
    fn bottom(&self) -> f64 {
        self.height - FOOT
    }
    /// A new page.
    fn turn(&mut self) {
        self.turn_to(self.paper);
    }
    /// A new page of another size.
    fn turn_to(&mut self, (width, height): (f64, f64)) {
        (self.width, self.height) = (width, height);
        self.pages.push(Page { width, height, marks: Vec::new() });
        self.y = TOP;
    }
    fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.turn();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }
    /// Turns the page if so much does not fit any more.
    fn need(&mut self, height: f64) {
        if self.y + height > self.bottom() && self.y > TOP {
            self.turn();
        }
    }
    fn paragraph(&mut self, text: &str, face: Face, size: f64, lead: f64, inset: f64) {
        for line in face::lines(text, face, size, self.room() - inset) {
            self.need(lead);
            let y = self.y + size;
            self.page().text(SIDE + inset, y, &line, face, size, LIGHT.ink);
            self.y += lead;
        }
    }
    fn head(&mut self, sheet: &Sheet) {
        let right = self.width - SIDE;
        let mut y = TOP + 9.0;
        for line in &sheet.aside {
            self.page().text_right(right, y, line, Face::Plain, 9.0, LIGHT.ink);
            y += 12.0;
        }
        let aside = sheet.aside.iter().map(|l| Face::Plain.width(l, 9.0)).fold(0.0, f64::max);
        for (n, line) in sheet.from.iter().enumerate() {
            let face = if n == 0 { Face::Bold } else { Face::Plain };
            self.paragraph(line, face, 9.0, 12.0, 0.0);
        }
        if !sheet.from.is_empty() {
            self.y += 10.0;
        }
        let room = if sheet.from.is_empty() { self.room() - aside - 12.0 } else { self.room() };
        if !sheet.from.is_empty() {
            self.y = self.y.max(y);
        }
        for line in face::lines(&sheet.title, Face::Bold, 17.0, room) {
            let y = self.y + 16.0;
            self.page().text(SIDE, y, &line, Face::Bold, 17.0, LIGHT.ink);
            self.y += 22.0;
        }
        self.y = self.y.max(y) + 4.0;
    }
    fn block(&mut self, block: &Block, next: Option<&Block>) {
        match block {
            Block::Heading(text) => self.heading(text, next),
            Block::Text(text) => {
                self.paragraph(text, Face::Plain, BODY, LEAD, 0.0);
                self.y += 5.0;
            }
            Block::Small(text) => {
                self.paragraph(text, Face::Plain, SMALL, 10.5, 0.0);
                self.y += 4.0;
            }
            Block::Cautions(lines) => self.cautions(lines),
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => self.table(table, next),
            Block::Steps(steps) => self.steps(steps),
            Block::Map(drawing) => self.map(drawing),
            Block::MapPage(drawing) => self.map_page(drawing),
            Block::Signatures(lines) => self.signatures(lines),
            Block::Blank(lines) => {
                for _ in 0..*lines {
                    self.need(24.0);
                    self.y += 24.0;
                    let (y, right) = (self.y, self.width - SIDE);
                    self.page().rule((SIDE, y), (right, y), LIGHT.muted, 0.5);
                }
                self.y += 8.0;
            }
            Block::Stickers(all) => self.stickers(all),
            Block::Break if self.y > TOP => self.turn(),
            Block::Break => {}
        }
    }
    /// A heading stays with the beginning of what follows.
    fn heading(&mut self, text: &str, next: Option<&Block>) {
        let follows = match next {
            Some(Block::Map(drawing)) => self.map_size(drawing).1,
            Some(Block::Cautions(_)) => 70.0,
            Some(_) => 42.0,
            None => 0.0,
        };
        self.y += 7.0;
        self.need(20.0 + follows.min(self.bottom() - TOP - 40.0));
        self.paragraph(text, Face::Bold, 12.0, 16.0, 0.0);
        self.y += 3.0;
    }
    fn cautions(&mut self, lines: &[String]) {
        const INSET: f64 = 34.0;
        let room = self.room() - INSET - 10.0;
        let broken: Vec<Vec<String>> = lines.iter().map(|l| face::lines(l, Face::Plain, BODY, room - 10.0)).collect();
        let height = broken.iter().map(|b| b.len() as f64 * LEAD + 3.0).sum::<f64>() + 14.0;
        self.need(height.min(self.bottom() - TOP));
        let (top, width) = (self.y, self.room());
        let page = self.page();
        let frame = page::rounded(SIDE, top, width, height, 4.0);
        page.shape(frame, Some(LIGHT.tint(Tone::Slower)), Some(Stroke::solid(LIGHT.ink, 1.4)));
        warning(SIDE + 8.0, top + 8.0, page);
        let mut y = top + 7.0;
        for lines in &broken {
            page.shape(page::circle(SIDE + INSET + 2.0, y + 6.6, 1.6), Some(LIGHT.ink), None);
            for line in lines {
                page.text(SIDE + INSET + 10.0, y + BODY, line, Face::Plain, BODY, LIGHT.ink);
                y += LEAD;
            }
            y += 3.0;
        }
        self.y = top + height + 8.0;
    }
    fn facts(&mut self, facts: &[(String, String)]) {
        let widest = facts.iter().map(|(k, _)| Face::Plain.width(k, BODY)).fold(0.0, f64::max);
        let inset = widest.min(self.room() / 3.0) + 12.0;
        for (key, value) in facts {
            let keys = face::lines(key, Face::Plain, BODY, inset - 10.0);
            let values = face::lines(value, Face::Plain, BODY, self.room() - inset);
            let height = keys.len().max(values.len()) as f64 * LEAD;
            self.need(height.min(4.0 * LEAD));
            for at in 0..keys.len().max(values.len()) {
                self.need(LEAD);
                let y = self.y + BODY;
                let page = self.page();
                page.text(SIDE, y, keys.get(at).map_or("", String::as_str), Face::Plain, BODY, LIGHT.muted);
                page.text(SIDE + inset, y, values.get(at).map_or("", String::as_str), Face::Plain, BODY, LIGHT.ink);
                self.y += LEAD;
            }
        }
        self.y += 6.0;
    }
    /// Signatures that follow don't stand on a page alone: the last rows go over with them.
    fn table(&mut self, table: &Table, next: Option<&Block>) {
        let columns = rows::Columns::new(table, SIDE, self.room());
        let header = columns.header(table);
        let head = |flow: &mut Self| {
            let y = flow.y;
            columns.put(&header, y, true, flow.page());
            flow.y += header.height;
        };
        self.need(header.height + 2.0 * rows::LEAD + 12.0);
        head(self);
        let after = match next {
            Some(Block::Signatures(_)) => 8.0 + SIGNATURE,
            _ => 0.0,
        };
        let body: Vec<_> = table.rows.iter().map(|cells| columns.body(cells)).collect();
        for (at, row) in body.iter().enumerate() {
            let left = &body[at..];
            let closing =
                if left.len() == 2 && at > 0 { left.iter().map(|r| r.height).sum::<f64>() + after } else { 0.0 };
            if self.y + row.height.max(closing) > self.bottom() {
                self.turn();
                head(self);
            }
            let y = self.y;
            columns.put(row, y, false, self.page());
            self.y += row.height;
        }
        let totals: Vec<_> = table.totals.iter().map(|t| columns.total(t)).collect();
        self.need(totals.iter().map(|t| t.height).sum());
        for row in &totals {
            let y = self.y;
            columns.put(row, y, false, self.page());
            self.y += row.height;
        }
        self.y += 8.0;
    }
    fn steps(&mut self, all: &[Step]) {
        let mut steps = Steps::new(all, self.room());
        let mut first = 0;
        while first < all.len() {
            let fitting = steps.fitting(first, self.bottom() - self.y);
            if fitting == 0 && self.y > TOP {
                self.turn();
                // After a lying page the paper is upright again.
                steps = Steps::new(all, self.room());
                continue;
            }
            let (at, count) = ((SIDE, self.y), fitting.max(1));
            self.y += steps.put((first, count), at, self.page());
            first += count;
        }
        self.y += 4.0;
    }
    /// Width, height and scale of a drawing on this paper.
    fn map_size(&self, drawing: &Drawing) -> (f64, f64, f64) {
        let room = (self.room(), self.bottom() - TOP - 30.0);
        let scale = (room.0 / drawing.width.max(1.0)).min(room.1 / drawing.height.max(1.0)).min(0.75);
        (drawing.width * scale, drawing.height * scale, scale)
    }
    fn map(&mut self, drawing: &Drawing) {
        let (_, height, scale) = self.map_size(drawing);
        self.need(height);
        let at = (SIDE, self.y);
        picture::put(drawing, at, scale, self.page());
        self.y += height + 8.0;
    }
    /// A new page, upright or lying, whichever shows more; what follows stands below it, as far as there is room.
    fn map_page(&mut self, drawing: &Drawing) {
        let fit = |w: f64, h: f64| {
            let room = (w - 2.0 * SIDE, h - TOP - FOOT);
            (room.0 / drawing.width.max(1.0)).min(room.1 / drawing.height.max(1.0)).min(1.0)
        };
        let (width, height) = self.paper;
        let (upright, lying) = (fit(width, height), fit(height, width));
        if self.y <= TOP {
            self.pages.pop();
        }
        self.turn_to(if lying > upright { (height, width) } else { (width, height) });
        let scale = lying.max(upright);
        picture::put(drawing, (SIDE, TOP), scale, self.page());
        self.y += drawing.height * scale + 4.0;
    }
    /// Lines to sign on, beside each other.
    fn signatures(&mut self, lines: &[String]) {
        const GAP: f64 = 24.0;
        self.need(SIGNATURE);
        let width = (self.room() + GAP) / lines.len().max(1) as f64 - GAP;
        let y = self.y + 26.0;
        for (at, line) in lines.iter().enumerate() {
            let left = SIDE + at as f64 * (width + GAP);
            let page = self.page();
            page.rule((left, y), (left + width, y), LIGHT.ink, 0.6);
            page.text(left, y + 10.0, line, Face::Plain, SMALL, LIGHT.muted);
        }
        self.y += SIGNATURE;
    }
    fn stickers(&mut self, all: &[Sticker]) {
        let in_row = stickers::in_row(self.width - 2.0 * 10.0 * PER_MM);
        let left = (self.width - stickers::WIDTH * in_row as f64) / 2.0;
        for row in all.chunks(in_row) {
            self.need(stickers::HEIGHT);
            for (n, sticker) in row.iter().enumerate() {
                let at = (left + stickers::WIDTH * n as f64, self.y);
                stickers::put(sticker, at, self.page());
            }
            self.y += stickers::HEIGHT;
        }
        self.y += 8.0;
    }
}

/// A triangle with an exclamation mark.
fn warning(x: f64, y: f64, page: &mut Page) {
    let corners = [(x + 9.0, y), (x + 18.0, y + 16.0), (x, y + 16.0)];
    let stroke = Stroke { round: true, ..Stroke::solid(LIGHT.ink, 1.6) };
    page.shape(page::lines(&corners, true), None, Some(stroke.clone()));
    page.shape(page::lines(&[(x + 9.0, y + 5.5), (x + 9.0, y + 10.0)], false), None, Some(stroke));
    page.shape(page::circle(x + 9.0, y + 13.0, 1.1), Some(LIGHT.ink), None);
}
