//! A page: marks with places, which any writer prints alike. Lengths are in pt from the upper left corner.

use super::Face;
use crate::palette::Colour;

/// What a page holds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Page {
    pub width: f64,
    pub height: f64,
    pub marks: Vec<Mark>,
}

/// A colour of ink.
pub type Ink = Colour;

/// One mark on paper.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line of text on its baseline.
    Text {
        x: f64,
        y: f64,
        text: String,
        face: Face,
        size: f64,
        ink: Ink,
        /// Runs upward.
        turned: bool,
    },
    /// A shape, filled, drawn or both.
    Path { ops: Vec<Op>, fill: Option<Ink>, stroke: Option<Stroke> },
}

/// How a path is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    pub ink: Ink,
    pub width: f64,
    /// Lengths of dash and gap; none for a solid line.
    pub dash: Option<(f64, f64)>,
    pub round: bool,
}

impl Stroke {
    /// A solid line.
    pub fn solid(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: None, round: false }
    }
}

/// A step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Op {
    Move(f64, f64),
    Line(f64, f64),
    /// Two control points and the end of a Bézier curve.
    Curve([f64; 6]),
    Close,
}

/// The control length of a quarter circle of radius 1 as one Bézier curve.
const QUARTER: f64 = 0.552_284_749_8;

/// A rectangle with round corners.
pub fn rounded(x: f64, y: f64, w: f64, h: f64, radius: f64) -> Vec<Op> {
    let r = radius.min(w / 2.0).min(h / 2.0).max(0.0);
    if r == 0.0 {
        return vec![Op::Move(x, y), Op::Line(x + w, y), Op::Line(x + w, y + h), Op::Line(x, y + h), Op::Close];
    }
    let k = r * (1.0 - QUARTER);
    let (right, bottom) = (x + w, y + h);
    vec![
        Op::Move(x + r, y),
        Op::Line(right - r, y),
        Op::Curve([right - k, y, right, y + k, right, y + r]),
        Op::Line(right, bottom - r),
        Op::Curve([right, bottom - k, right - k, bottom, right - r, bottom]),
        Op::Line(x + r, bottom),
        Op::Curve([x + k, bottom, x, bottom - k, x, bottom - r]),
        Op::Line(x, y + r),
        Op::Curve([x, y + k, x + k, y, x + r, y]),
        Op::Close,
    ]
}

/// A circle.
pub fn circle(x: f64, y: f64, r: f64) -> Vec<Op> {
    rounded(x - r, y - r, 2.0 * r, 2.0 * r, r)
}

/// Straight lines through points, closed or open.
pub fn lines(points: &[(f64, f64)], close: bool) -> Vec<Op> {
    let mut ops: Vec<Op> =
        points.iter().enumerate().map(|(i, (x, y))| if i == 0 { Op::Move(*x, *y) } else { Op::Line(*x, *y) }).collect();
    if close {
        ops.push(Op::Close);
    }
    ops
}

impl Page {
    /// A line of text.
    pub fn text(&mut self, x: f64, y: f64, text: &str, face: Face, size: f64, ink: Ink) {
        if !text.is_empty() {
            let text = text.to_string();
            self.marks.push(Mark::Text { x, y, text, face, size, ink, turned: false });
        }
    }
    /// A line of text that ends at `x`.
    pub fn text_right(&mut self, x: f64, y: f64, text: &str, face: Face, size: f64, ink: Ink) {
        self.text(x - face.width(text, size), y, text, face, size, ink);
    }
    /// A level or upright line.
    pub fn rule(&mut self, from: (f64, f64), to: (f64, f64), ink: Ink, width: f64) {
        self.shape(lines(&[from, to], false), None, Some(Stroke::solid(ink, width)));
    }
    /// A shape.
    pub fn shape(&mut self, ops: Vec<Op>, fill: Option<Ink>, stroke: Option<Stroke>) {
        self.marks.push(Mark::Path { ops, fill, stroke });
    }
    /// All texts of the page, in the order in which they were put there.
    pub fn texts(&self) -> impl Iterator<Item = &str> {
        self.marks.iter().filter_map(|m| match m {
            Mark::Text { text, .. } => Some(text.as_str()),
            Mark::Path { .. } => None,
        })
    }
}
