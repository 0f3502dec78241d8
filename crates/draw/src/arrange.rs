//! Which cell lies beside which: by the board's layout, or by address where it has none.

use crate::drawing::Rect;
use crate::state::{SlotView, SocketView, Views};
use domain::board::RowItem;
use domain::{Build, SlotIndex};
use std::collections::BTreeSet;

/// A place in a row.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Slot(SlotView, Rect),
    Socket(SocketView, Rect),
    /// Nothing, as wide as a slot.
    Gap,
    /// Nothing, narrow: between two controllers.
    Space,
}

/// One row of cells, left to right.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Band {
    pub cells: Vec<Cell>,
    /// Headings over the cells, one a cell; empty for none.
    pub heads: Vec<String>,
}

/// Rows that stay together, top to bottom.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// Its heading; empty for none.
    pub title: String,
    pub bands: Vec<Band>,
}

impl Block {
    /// Its slots with their places.
    pub fn slots(&self) -> impl Iterator<Item = (&SlotView, &Rect)> {
        self.bands.iter().flat_map(|b| &b.cells).filter_map(|c| match c {
            Cell::Slot(view, rect) => Some((view, rect)),
            _ => None,
        })
    }
}

/// Slots of a row that the layout forgot.
const FORGOTTEN_A_ROW: usize = 12;

/// The cells of a build, still without places.
pub fn blocks(build: &Build, views: &Views) -> Vec<Block> {
    if build.board.layout.rows.is_empty() {
        return by_address(build, views);
    }
    let mut drawn = BTreeSet::new();
    let mut block = Block::default();
    for row in &build.board.layout.rows {
        let cells = row.iter().map(|item| laid(item, views, &mut drawn)).collect();
        block.bands.push(Band { cells, heads: Vec::new() });
    }
    let forgotten: Vec<&SlotView> = views.slots.iter().filter(|v| !drawn.contains(&v.slot)).collect();
    let mut blocks = vec![block];
    if !forgotten.is_empty() {
        let rows = forgotten.chunks(FORGOTTEN_A_ROW);
        let bands = rows.map(|r| Band { cells: r.iter().map(|v| slot(v)).collect(), heads: Vec::new() }).collect();
        blocks.push(Block { title: "place on the board not known".into(), bands });
    }
    blocks
}

fn slot(view: &SlotView) -> Cell {
    Cell::Slot(view.clone(), Rect::default())
}

fn laid(item: &RowItem, views: &Views, drawn: &mut BTreeSet<SlotIndex>) -> Cell {
    match item {
        RowItem::Slot(index) => match views.slots.get(index.at()) {
            Some(view) if drawn.insert(*index) => slot(view),
            _ => Cell::Gap,
        },
        RowItem::Socket(socket) => match views.sockets.get(usize::from(*socket)) {
            Some(view) => Cell::Socket(view.clone(), Rect::default()),
            None => Cell::Gap,
        },
        RowItem::Gap => Cell::Gap,
    }
}

/// A block a socket: channels are columns, the first slots on top, the processor below.
fn by_address(build: &Build, views: &Views) -> Vec<Block> {
    build
        .board
        .sockets
        .iter()
        .zip(&views.sockets)
        .map(|(socket, view)| {
            let deepest = socket.channels().map(|(_, _, slots)| slots.len()).max().unwrap_or(0);
            let mut bands: Vec<Band> = (0..deepest)
                .map(|position| {
                    let mut band = Band::default();
                    let mut last = 0;
                    for (controller, channel, slots) in socket.channels() {
                        if controller != last {
                            band.cells.push(Cell::Space);
                            band.heads.push(String::new());
                            last = controller;
                        }
                        let view = slots.get(position).and_then(|s| views.slots.get(s.at()));
                        band.cells.push(view.map_or(Cell::Gap, slot));
                        band.heads.push(if socket.controllers.len() > 1 {
                            format!("ch {controller}.{channel}")
                        } else {
                            format!("ch {channel}")
                        });
                    }
                    if position > 0 {
                        band.heads.clear();
                    }
                    band
                })
                .collect();
            bands.push(Band { cells: vec![Cell::Socket(view.clone(), Rect::default())], heads: Vec::new() });
            Block { title: String::new(), bands }
        })
        .collect()
}
