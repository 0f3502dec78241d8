//! A drawing on paper: its shapes in the light theme, scaled to the space that it has.

use super::page::{self, Mark, Op, Page, Stroke};
use super::{Face, Ink};
use crate::drawing::{Anchor, Drawing, Fill, Line, Rect, Shape, Words};
use crate::measure;
use crate::palette::{LIGHT, Tone};
use crate::state::MarkShape;

/// Puts a drawing on a page, `scale` pt to a px of it, from its upper left corner.
pub fn put(drawing: &Drawing, at: (f64, f64), scale: f64, onto: &mut Page) {
    let pen = Pen { at, scale };
    for shape in drawing.items.iter().flat_map(|i| &i.shapes) {
        pen.shape(shape, onto);
    }
}

struct Pen {
    at: (f64, f64),
    scale: f64,
}

impl Pen {
    fn point(&self, x: f64, y: f64) -> (f64, f64) {
        (self.at.0 + x * self.scale, self.at.1 + y * self.scale)
    }
    fn stroke(&self, ink: Ink, width: f64) -> Stroke {
        Stroke::solid(ink, width * self.scale)
    }
    fn rounded(&self, rect: Rect, radius: f64) -> Vec<Op> {
        let (x, y) = self.point(rect.x, rect.y);
        page::rounded(x, y, rect.w * self.scale, rect.h * self.scale, radius * self.scale)
    }
    fn lines(&self, points: &[(f64, f64)], close: bool) -> Vec<Op> {
        let placed: Vec<_> = points.iter().map(|(x, y)| self.point(*x, *y)).collect();
        page::lines(&placed, close)
    }
    fn shape(&self, shape: &Shape, onto: &mut Page) {
        match shape {
            Shape::Box { rect, radius, fill, edge } => self.boxed(*rect, *radius, *fill, *edge, onto),
            Shape::Words(words) => self.words(words, onto),
            Shape::Mark { x, y, size, shape, tone } => self.mark(*shape, *tone, (*x, *y), *size, onto),
            Shape::Disc { x, y, radius } => {
                let (x, y) = self.point(*x, *y);
                let ops = page::circle(x, y, radius * self.scale);
                onto.shape(ops, Some(LIGHT.page), Some(self.stroke(LIGHT.ink, 1.5)));
            }
            Shape::Tabs { x, y, count } => {
                for tab in 0..*count {
                    let rect = Rect { x: x + 8.0 * f64::from(tab), y: *y, w: 5.0, h: 11.0 };
                    onto.shape(self.rounded(rect, 1.0), Some(LIGHT.muted), None);
                }
            }
            Shape::Arrow { x, top, bottom, up } => {
                let (from, to, head) = if *up { (*bottom, *top, 6.0) } else { (*top, *bottom, -6.0) };
                let mut stroke = self.stroke(LIGHT.muted, 2.0);
                stroke.round = true;
                onto.shape(self.lines(&[(*x, from), (*x, to)], false), None, Some(stroke.clone()));
                let tip = [(x - 5.0, to + head), (*x, to), (x + 5.0, to + head)];
                onto.shape(self.lines(&tip, false), None, Some(stroke));
            }
        }
    }
    fn boxed(&self, rect: Rect, radius: f64, fill: Fill, edge: Option<(Tone, Line)>, onto: &mut Page) {
        let ground = match fill {
            Fill::None => None,
            Fill::Page | Fill::Hatch => Some(LIGHT.page),
            Fill::Tint(tone) => Some(LIGHT.tint(tone)),
            Fill::Solid(tone) => Some(LIGHT.edge(tone)),
        };
        if ground.is_some() {
            onto.shape(self.rounded(rect, radius), ground, None);
        }
        if fill == Fill::Hatch {
            self.hatch(rect, onto);
        }
        let Some((tone, line)) = edge else { return };
        let (width, dash) = match line {
            Line::Solid(width) => (width, None),
            Line::Dashed(width) => (width, Some((6.0, 4.0))),
            Line::Dotted(width) => (width, Some((0.1, 4.0))),
            Line::Double => (1.5, None),
        };
        let mut stroke = self.stroke(LIGHT.edge(tone), width);
        stroke.dash = dash.map(|(a, b)| (a * self.scale, b * self.scale));
        stroke.round = matches!(line, Line::Dotted(_));
        let radius = (radius - 1.0).max(0.0);
        onto.shape(self.rounded(rect.inset(width / 2.0), radius), None, Some(stroke.clone()));
        if line == Line::Double {
            onto.shape(self.rounded(rect.inset(4.0), radius), None, Some(stroke));
        }
    }
    /// Lines at 45 degrees, each cut to the rectangle.
    fn hatch(&self, rect: Rect, onto: &mut Page) {
        const STEP: f64 = 8.0;
        let mut d = STEP;
        while d < rect.w + rect.h {
            let from = if d <= rect.h { (rect.x, rect.y + d) } else { (rect.x + d - rect.h, rect.bottom()) };
            let to = if d <= rect.w { (rect.x + d, rect.y) } else { (rect.right(), rect.y + d - rect.w) };
            onto.shape(self.lines(&[from, to], false), None, Some(self.stroke(LIGHT.edge(Tone::Empty), 0.8)));
            d += STEP;
        }
    }
    fn words(&self, words: &Words, onto: &mut Page) {
        let face = if words.bold { Face::Bold } else { Face::Plain };
        let text = measure::printable(&words.text);
        let size = words.size * self.scale;
        // The drawing leaves room for the widest common face; this one is hardly wider.
        let size =
            size * (measure::width(&text, words.size, words.bold) * self.scale / face.width(&text, size)).min(1.0);
        let run = face.width(&text, size);
        let back = match words.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => run / 2.0,
            Anchor::End => run,
        };
        let (x, y) = self.point(words.x, words.y);
        let (x, y) = if words.turned { (x, y + back) } else { (x - back, y) };
        let ink = if words.muted { LIGHT.muted } else { LIGHT.ink };
        if !text.is_empty() {
            onto.marks.push(Mark::Text { x, y, text, face, size, ink, turned: words.turned });
        }
    }
    /// Marks lie in a square of 16, scaled.
    fn mark(&self, shape: MarkShape, tone: Tone, at: (f64, f64), size: f64, onto: &mut Page) {
        let inner = Pen { at: self.point(at.0, at.1), scale: self.scale * size / 16.0 };
        let ink = LIGHT.edge(tone);
        let firm = |ink| Stroke { round: true, ..inner.stroke(ink, 2.0) };
        let mut line = |points: &[(f64, f64)], ink| onto.shape(inner.lines(points, false), None, Some(firm(ink)));
        match shape {
            MarkShape::Square => {
                onto.shape(inner.rounded(Rect { x: 0.5, y: 0.5, w: 15.0, h: 15.0 }, 0.0), Some(ink), None);
                let mut line = |p: &[(f64, f64)]| onto.shape(inner.lines(p, false), None, Some(firm(LIGHT.page)));
                line(&[(4.0, 4.0), (12.0, 12.0)]);
                line(&[(12.0, 4.0), (4.0, 12.0)]);
            }
            MarkShape::Hexagon => {
                let corners = [(4.0, 0.8), (12.0, 0.8), (16.0, 8.0), (12.0, 15.2), (4.0, 15.2), (0.0, 8.0)];
                onto.shape(inner.lines(&corners, true), Some(ink), None);
                onto.shape(inner.lines(&[(4.0, 8.0), (12.0, 8.0)], false), None, Some(firm(LIGHT.page)));
            }
            MarkShape::Triangle => {
                onto.shape(inner.lines(&[(8.0, 0.5), (16.0, 15.5), (0.0, 15.5)], true), Some(ink), None);
            }
            MarkShape::Diamond => {
                let corners = [(8.0, 0.8), (15.2, 8.0), (8.0, 15.2), (0.8, 8.0), (8.0, 0.8)];
                line(&corners, ink);
                line(&[(6.3, 6.4), (7.2, 4.9), (9.0, 5.0), (9.6, 6.6), (8.4, 8.1), (8.0, 9.3)], ink);
                line(&[(8.0, 11.3), (8.0, 11.4)], ink);
            }
            MarkShape::Circle => {
                let (x, y) = inner.point(8.0, 8.0);
                onto.shape(page::circle(x, y, 7.0 * inner.scale), None, Some(firm(ink)));
                let mut line = |p: &[(f64, f64)]| onto.shape(inner.lines(p, false), None, Some(firm(ink)));
                line(&[(8.0, 7.4), (8.0, 11.6)]);
                line(&[(8.0, 4.6), (8.0, 4.7)]);
            }
        }
    }
}
