//! The drawing: every cell of the map with its place, and the shapes that picture it. Lengths are in px, y grows down.

use crate::arrange::Block;
use crate::legend::LegendEntry;
use crate::palette::Tone;
use crate::state::{MarkShape, SlotState};
use domain::SlotIndex;

/// A rectangle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect {
    pub x: f64,
    pub y: f64,
    pub w: f64,
    pub h: f64,
}

impl Rect {
    /// Its right side.
    pub fn right(&self) -> f64 {
        self.x + self.w
    }
    /// Its lower side.
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }
    /// The middle of its width.
    pub fn middle(&self) -> f64 {
        self.x + self.w / 2.0
    }
    /// The rectangle, smaller by so much on every side.
    #[must_use]
    pub fn inset(&self, by: f64) -> Self {
        let (w, h) = ((self.w - 2.0 * by).max(0.0), (self.h - 2.0 * by).max(0.0));
        Self { x: self.x + by, y: self.y + by, w, h }
    }
}

/// How an edge is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Line {
    Solid(f64),
    Dashed(f64),
    Dotted(f64),
    /// Two thin lines.
    Double,
}

/// What fills a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fill {
    None,
    Page,
    Tint(Tone),
    /// Lines at 45 degrees.
    Hatch,
    /// The edge colour of a tone.
    Solid(Tone),
}

/// A line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// Where it begins, is centred on or ends, on the baseline.
    pub x: f64,
    pub y: f64,
    pub text: String,
    /// In px.
    pub size: f64,
    pub bold: bool,
    pub anchor: Anchor,
    pub muted: bool,
    /// Runs upward, turned by a quarter.
    pub turned: bool,
}

/// Which end of a text its place is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

impl Words {
    /// Plain words that begin at a place.
    pub fn new(x: f64, y: f64, text: impl Into<String>, size: f64) -> Self {
        let (bold, muted, turned) = (false, false, false);
        Self { x, y, text: text.into(), size, bold, anchor: Anchor::Start, muted, turned }
    }
    /// In bold.
    #[must_use]
    pub fn bold(self) -> Self {
        Self { bold: true, ..self }
    }
    /// In the lesser ink.
    #[must_use]
    pub fn muted(self) -> Self {
        Self { muted: true, ..self }
    }
    /// With its place at the middle or the end.
    #[must_use]
    pub fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }
    /// Running upward.
    #[must_use]
    pub fn turned(self) -> Self {
        Self { turned: true, ..self }
    }
}

/// One thing to draw.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    Box {
        rect: Rect,
        radius: f64,
        fill: Fill,
        edge: Option<(Tone, Line)>,
    },
    Words(Words),
    /// The mark of a finding, in a square of `size` at its upper left corner.
    Mark {
        x: f64,
        y: f64,
        size: f64,
        shape: MarkShape,
        tone: Tone,
    },
    /// An outlined disc.
    Disc {
        x: f64,
        y: f64,
        radius: f64,
    },
    /// Tabs side by side, as many as the slot's place in its channel, from its upper left corner.
    Tabs {
        x: f64,
        y: f64,
        count: u8,
    },
    /// An arrow from bottom to top, or the other way.
    Arrow {
        x: f64,
        top: f64,
        bottom: f64,
        up: bool,
    },
}

/// What an item pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemKind {
    Frame,
    Slot(SlotIndex, SlotState),
    Socket(u8),
    Legend,
}

/// Shapes that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    pub kind: ItemKind,
    /// What it shows, in one sentence; empty for frames.
    pub name: String,
    pub shapes: Vec<Shape>,
}

/// A drawn slot map.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    pub width: f64,
    pub height: f64,
    pub title: String,
    /// One sentence on what the drawing shows.
    pub description: String,
    /// Begins every id.
    pub id_prefix: String,
    /// The cells as they lie, with their places.
    pub blocks: Vec<Block>,
    /// Does the map lie as the board does? `Some(true)`: air moves from front to back. `None`: drawn by address.
    pub air_front_to_back: Option<bool>,
    /// Findings of the whole machine.
    pub machine: Vec<(SlotState, String)>,
    pub legend: Vec<LegendEntry>,
    /// What is drawn, back to front.
    pub items: Vec<Item>,
}
