//! A drawing as text for a terminal: the same rows, boxes of characters, folded where the terminal is too narrow.

mod boxes;
mod code;
mod fold;

use crate::arrange::Block;
use crate::canvas::Canvas;
use crate::drawing::Drawing;
use crate::legend::LegendKey;
use crate::measure::{columns, cut, in_two, pieces, wrap};
use crate::palette::Tone;
use crate::state::SlotView;
use boxes::{edges, tag};

pub use code::{Ground, code};

/// How the text is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TextStyle {
    /// Columns of the terminal, or of the paper.
    pub columns: usize,
    /// Colour by ANSI escapes? States differ without it too.
    pub colour: bool,
    /// Box-drawing characters? Without them, ASCII alone.
    pub unicode: bool,
}

impl Default for TextStyle {
    fn default() -> Self {
        Self { columns: 80, colour: false, unicode: true }
    }
}

/// Widest inside of a slot's box, in columns.
const WIDEST: usize = 14;
/// Narrowest, for `128 GiB`.
const NARROWEST: usize = 7;

/// Prints the map. Lines are as wide as the style allows, or as one slot where that is wider.
pub fn render(drawing: &Drawing, style: &TextStyle) -> String {
    let sheet = Sheet::new(drawing, style);
    let mut canvas = Canvas::default();
    let mut line = 0;
    sheet.words(&mut canvas, &mut line, &drawing.title);
    sheet.words(&mut canvas, &mut line, &drawing.description);
    line += 1;
    if drawing.air_front_to_back.is_some() {
        canvas.put(0, line, "back of the chassis", None);
        line += 1;
    }
    sheet.blocks(&mut canvas, &mut line);
    if let Some(front_to_back) = drawing.air_front_to_back {
        let arrow = match (front_to_back, style.unicode) {
            (true, true) => '\u{2191}',
            (true, false) => '^',
            (false, true) => '\u{2193}',
            (false, false) => 'v',
        };
        let wide = canvas.width().min(style.columns).max(24);
        let words = format!(" {arrow} air   FRONT   {arrow} air ");
        let side = wide.saturating_sub(columns(&words)) / 2;
        let rule = if style.unicode { "\u{2550}" } else { "=" };
        canvas.put(0, line, &format!("{0}{words}{0}", rule.repeat(side)), None);
        line += 1;
    }
    sheet.cut_short(&mut canvas, &mut line);
    for (state, words) in &drawing.machine {
        let tag = tag(*state).unwrap_or_default();
        canvas.put(0, line, &tag, Some(state.tone()));
        canvas.put(columns(&tag) + 1, line, &sheet.fit(&format!("whole machine, {words}"), 5), None);
        line += 1;
    }
    line += 1;
    sheet.legend(&mut canvas, line);
    canvas.print(style.colour)
}

/// What is printed, and the measures that all slots share.
struct Sheet<'a> {
    drawing: &'a Drawing,
    style: &'a TextStyle,
    /// Inside of a slot's box.
    inner: usize,
    label_lines: usize,
    rows: Rows,
    /// Columns between cells.
    gap: usize,
}

/// Which rows the slots have.
#[derive(Clone, Copy)]
struct Rows {
    /// The row of tabs and tags.
    tabs: bool,
    /// Has a channel more than one slot?
    deep: bool,
    install: bool,
    origins: bool,
    regions: bool,
}

fn chars_wide(text: &str) -> f64 {
    columns(text) as f64
}

impl<'a> Sheet<'a> {
    fn new(drawing: &'a Drawing, style: &'a TextStyle) -> Self {
        let slots = || drawing.blocks.iter().flat_map(Block::slots).map(|(view, _)| view);
        let rows = Rows {
            tabs: slots().any(|s| s.address.position > 0 || s.state.letter().is_some()),
            deep: slots().any(|s| s.address.position > 0),
            install: slots().any(|s| s.install.is_some()),
            origins: slots().any(|s| s.origin.is_some()),
            regions: slots().any(|s| s.region.is_some()),
        };
        let most = WIDEST.min(style.columns.saturating_sub(2)).max(NARROWEST);
        let widest = |label: fn(&str) -> usize| {
            let need = |s: &SlotView| label(&s.label).max(columns(&s.content)).max(columns(&s.organisation));
            slots().map(need).max().unwrap_or(0).clamp(NARROWEST, most)
        };
        let easy = widest(|label| in_two(label, chars_wide) as usize);
        let tight = widest(|label| pieces(label).map(columns).max().unwrap_or(0));
        let sheet = |(inner, gap)| {
            let lines = |view: &SlotView| wrap(&view.label, inner as f64, 3, chars_wide).len();
            let label_lines = slots().map(lines).max().unwrap_or(1);
            Self { drawing, style, inner, label_lines, rows, gap }
        };
        // The first of these that folds the rows least.
        let ways = [(easy, 1), (tight, 1), (easy, 0), (tight, 0)];
        let best = ways.into_iter().min_by_key(|way| sheet(*way).parts());
        sheet(best.unwrap_or((tight, 0)))
    }

    fn fit(&self, text: &str, taken: usize) -> String {
        let room = self.style.columns.saturating_sub(taken) as f64;
        self.plain(cut(text, room, chars_wide))
    }

    /// Words broken at spaces.
    fn words(&self, canvas: &mut Canvas, line: &mut usize, text: &str) {
        let mut row = String::new();
        for word in text.split_whitespace() {
            if !row.is_empty() && columns(&row) + 1 + columns(word) > self.style.columns {
                canvas.put(0, *line, &row, None);
                *line += 1;
                row.clear();
            }
            if !row.is_empty() {
                row.push(' ');
            }
            row.push_str(word);
        }
        canvas.put(0, *line, &self.fit(&row, 0), None);
        *line += 1;
    }

    /// Labels that had to be cut, in full.
    fn cut_short(&self, canvas: &mut Canvas, line: &mut usize) {
        let slots = self.drawing.blocks.iter().flat_map(Block::slots);
        for (view, _) in slots {
            let shown = wrap(&view.label, self.inner as f64, self.label_lines, chars_wide);
            if shown.concat().chars().count() < view.label.chars().filter(|c| !c.is_whitespace()).count() {
                self.words(canvas, line, &format!("{} stands for {}", self.label(view).concat(), view.label));
            }
        }
    }

    fn legend(&self, canvas: &mut Canvas, mut line: usize) {
        for entry in &self.drawing.legend {
            let (key, tone): (String, Option<Tone>) = match entry.key {
                LegendKey::State(state) => {
                    let [ul, ur, _, _, level, _] = edges(state, self.style.unicode);
                    let tag = tag(state).unwrap_or_else(|| String::from(level).repeat(3));
                    (format!("{ul}{tag}{ur}"), Some(state.tone()))
                }
                LegendKey::Tabs(count) => (self.tab().repeat(usize::from(count)), None),
                LegendKey::Install => ("#1".into(), None),
                LegendKey::Region => ("reg 1".into(), None),
            };
            canvas.put(0, line, &key, tone);
            canvas.put(7, line, &self.fit(&entry.words, 7), None);
            line += 1;
        }
    }
}
