//! How slots look in a map: the measures that all of its slots share.

use crate::measure::{in_two, width, wrap};
use crate::state::{SlotView, Views};

/// Text inside a slot keeps this far from its edge.
pub const PAD: f64 = 8.0;
/// Size of a label.
pub const LABEL: f64 = 14.0;
/// Size of what sits in a slot.
pub const CONTENT: f64 = 13.0;
/// Size of everything else.
pub const SMALL: f64 = 12.0;

/// How slots look in a map: all alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Text runs upward in tall, narrow slots.
    pub tall: bool,
    /// Width and height of a slot.
    pub slot: (f64, f64),
    pub socket_width: f64,
    /// Lines that a label takes, at most.
    pub label_lines: usize,
    /// Has a channel more than one slot?
    pub tabs: bool,
    /// Is there an order of fitting or an origin?
    pub foot: bool,
    pub regions: bool,
}

impl Look {
    /// Text runs level; labels take two lines where they must.
    pub fn upright(views: &Views) -> Self {
        let need = |s: &SlotView| {
            let foot = f64::from(u8::from(s.install.is_some())) * 24.0
                + s.origin.map_or(0.0, |o| 4.0 + width(o.word(), SMALL, false));
            let content = width(&s.content, CONTENT, true).max(width(&s.organisation, SMALL, false));
            in_two(&s.label, label_width).max(content).max(foot) + 2.0 * PAD
        };
        let wide = views.slots.iter().map(need).fold(66.0, f64::max).min(124.0).ceil();
        let lines = |s: &SlotView| wrap(&s.label, wide - 2.0 * PAD, 2, label_width).len();
        let label_lines = views.slots.iter().map(lines).max().unwrap_or(1);
        let mut look = Self { tall: false, slot: (wide, 0.0), socket_width: 116.0, label_lines, ..Self::of(views) };
        let regions = if look.regions { 19.0 } else { 0.0 };
        let foot = if look.foot { 28.0 } else { 8.0 };
        look.slot.1 = 28.0 + 17.0 * label_lines as f64 + 18.0 + 17.0 + regions + foot;
        look
    }
    /// Text runs upward.
    pub fn tall(views: &Views) -> Self {
        let length = |s: &SlotView| label_width(&s.label).max(width(&turned_content(s), SMALL, false));
        let longest = views.slots.iter().map(length).fold(90.0, f64::max).min(200.0).ceil();
        let mut look = Self { tall: true, slot: (52.0, 0.0), socket_width: 116.0, label_lines: 1, ..Self::of(views) };
        look.slot.1 = 44.0 + longest + look.tall_foot();
        look
    }
    fn of(views: &Views) -> Self {
        Self {
            tall: false,
            slot: (0.0, 0.0),
            socket_width: 0.0,
            label_lines: 1,
            tabs: views.slots.iter().any(|s| s.address.position > 0),
            foot: views.slots.iter().any(|s| s.install.is_some() || s.origin.is_some()),
            regions: views.slots.iter().any(|s| s.region.is_some()),
        }
    }
    /// Room below the words of a tall slot.
    pub fn tall_foot(&self) -> f64 {
        let foot = if self.foot { 36.0 } else { 10.0 };
        foot + if self.regions { 16.0 } else { 0.0 }
    }
}

/// Width of a text as a label.
pub fn label_width(text: &str) -> f64 {
    width(text, LABEL, true)
}

/// What stands beside the label of a tall slot.
pub fn turned_content(view: &SlotView) -> String {
    let origin = view.origin.map_or("", |o| o.word());
    [view.content.as_str(), view.organisation.as_str(), origin].join(" ").trim_end().to_string()
}
