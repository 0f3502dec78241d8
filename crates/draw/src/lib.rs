//! Drawings: a build and its findings become one [`Drawing`], which is printed as SVG or as terminal text.
//! Sheets of paper, with that drawing among their blocks, are printed as PDF.
//!
//! `MapInput → slot views → rows of cells → places and shapes → svg, text`. No I/O, no clock, no HTML.

mod arrange;
mod canvas;
pub mod chart;
pub mod code;
mod drawing;
mod frame;
mod input;
mod legend;
mod look;
pub mod measure;
mod paint;
pub mod palette;
pub mod pdf;
mod place;
pub mod sheet;
mod state;
pub mod svg;
pub mod text;

pub use arrange::{Band, Block, Cell};
pub use drawing::{Anchor, Drawing, Fill, Item, ItemKind, Line, Rect, Shape, Words};
pub use input::{MapInput, PartOrigin};
pub use legend::{LegendEntry, LegendKey};
pub use state::{MarkShape, SlotState, SlotView, SocketView};

/// Draws the slot map of a build: the board as it lies where its data says how, else by address.
pub fn slot_map(input: &MapInput<'_>) -> Drawing {
    let views = state::views(input);
    let blocks = arrange::blocks(input.build, &views);
    let legend = legend::entries(&views);
    place::place(input, blocks, legend, &views)
}
