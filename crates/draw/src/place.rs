//! Gives every cell its place, and the drawing its frame, front edge and legend.

use crate::arrange::{Band, Block, Cell};
use crate::drawing::{Drawing, Item, Rect};
use crate::input::MapInput;
use crate::legend::LegendEntry;
use crate::look::Look;
use crate::measure::{printable, width};
use crate::state::{SlotState, SlotView, Views};
use crate::{frame, paint};

/// Between slots, and between a slot and a socket.
const GAP: f64 = 8.0;
/// Between rows.
const ROW_GAP: f64 = 16.0;
/// Between the blocks of two sockets.
const BLOCK_GAP: f64 = 28.0;
/// From the edge of the drawing.
const MARGIN: f64 = 16.0;
/// From the outline of the board to its cells.
const PADDING: f64 = 14.0;
/// Wider than this, slots are drawn tall and narrow, and blocks one below the other.
const COMFORTABLE: f64 = 1240.0;
/// Narrowest drawing, so that title and legend have room.
const NARROWEST: f64 = 560.0;
const TITLE_HEIGHT: f64 = 40.0;
const HEAD_HEIGHT: f64 = 20.0;
const BAR_HEIGHT: f64 = 44.0;
const SPACE: f64 = 10.0;

/// Places everything.
pub fn place(input: &MapInput<'_>, mut blocks: Vec<Block>, legend: Vec<LegendEntry>, views: &Views) -> Drawing {
    let laid = !input.build.board.layout.rows.is_empty();
    let mut look = Look::upright(views);
    if blocks.iter().any(|b| block_width(b, &look) > COMFORTABLE) {
        look = Look::tall(views);
    }
    let widths: Vec<f64> = blocks.iter().map(|b| block_width(b, &look)).collect();
    let top = MARGIN + TITLE_HEIGHT + if laid { frame::BACK_HEIGHT } else { 0.0 };
    let left = MARGIN + PADDING;
    let (mut x, mut y, mut lowest) = (left, top + PADDING, 0.0_f64);
    let mut right = 0.0_f64;
    for (block, wide) in blocks.iter_mut().zip(&widths) {
        let starts_row = x == left;
        if !starts_row && (laid || x + wide > COMFORTABLE + left) {
            (x, y) = (left, lowest + BLOCK_GAP);
        }
        let bottom = place_block(block, x, y, *wide, &look, !laid);
        lowest = lowest.max(bottom);
        x += wide + BLOCK_GAP;
        right = right.max(x - BLOCK_GAP);
    }
    let wide = (right + PADDING + MARGIN).max(NARROWEST);
    centre(&mut blocks, laid, (wide - MARGIN - PADDING - right) / 2.0);
    let board = Rect { x: MARGIN, y: top, w: wide - 2.0 * MARGIN, h: lowest + PADDING - top };
    finish(input, blocks, legend, views, &look, board)
}

/// Adds the frame, the items and the legend.
fn finish(
    input: &MapInput<'_>,
    blocks: Vec<Block>,
    legend: Vec<LegendEntry>,
    views: &Views,
    look: &Look,
    board: Rect,
) -> Drawing {
    let layout = &input.build.board.layout;
    let air = (!layout.rows.is_empty()).then_some(layout.air_front_to_back);
    let title = printable(if input.title.is_empty() { &input.build.board.title } else { input.title });
    let mut items = vec![frame::frame(&title, board, air)];
    for block in &blocks {
        paint::block(block, look, &mut items);
    }
    let below = board.bottom() + if air.is_some() { frame::FRONT_HEIGHT } else { 0.0 } + 12.0;
    let (machine, below) = frame::machine(&views.machine, board, below);
    let (list, bottom) = frame::legend(&legend, board, below);
    items.extend([machine, list].into_iter().filter(|i: &Item| !i.shapes.is_empty()));
    Drawing {
        width: board.w + 2.0 * MARGIN,
        height: bottom + MARGIN,
        description: description(input, views),
        title,
        id_prefix: input.id_prefix.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect(),
        blocks,
        air_front_to_back: air,
        machine: views.machine.clone(),
        legend,
        items,
    }
}

fn cell_width(cell: &Cell, look: &Look) -> f64 {
    match cell {
        Cell::Slot(..) | Cell::Gap => look.slot.0,
        Cell::Socket(..) => look.socket_width,
        Cell::Space => SPACE,
    }
}

/// Widths of the columns of a block whose rows are alike; `None` where rows differ in length.
fn columns(block: &Block, look: &Look) -> Option<Vec<f64>> {
    let many: Vec<&Band> = block.bands.iter().filter(|b| !is_bar(b)).collect();
    let length = many.first()?.cells.len();
    many.iter().all(|b| b.cells.len() == length).then(|| {
        let widest = |at: usize| many.iter().map(|b| cell_width(&b.cells[at], look)).fold(0.0, f64::max);
        (0..length).map(widest).collect()
    })
}

/// A row that is one socket alone.
fn is_bar(band: &Band) -> bool {
    matches!(band.cells.as_slice(), [Cell::Socket(..)])
}

fn spread(widths: impl Iterator<Item = f64>) -> f64 {
    let (count, sum) = widths.fold((0, 0.0), |(n, sum), w| (n + 1, sum + w));
    sum + GAP * f64::from((count - 1).max(0))
}

fn band_width(band: &Band, look: &Look) -> f64 {
    spread(band.cells.iter().map(|c| cell_width(c, look)))
}

fn block_width(block: &Block, look: &Look) -> f64 {
    let rows = match columns(block, look) {
        Some(columns) => spread(columns.into_iter()),
        None => 0.0,
    };
    let bands = block.bands.iter().map(|b| band_width(b, look)).fold(rows, f64::max);
    bands.max(width(&block.title, 14.0, true))
}

/// Places the cells of a block; says where it ends.
fn place_block(block: &mut Block, left: f64, top: f64, wide: f64, look: &Look, bars: bool) -> f64 {
    let columns = columns(block, look);
    let mut y = top + if block.title.is_empty() { 0.0 } else { HEAD_HEIGHT };
    for band in &mut block.bands {
        if !band.heads.is_empty() {
            y += HEAD_HEIGHT;
        }
        let bar = is_bar(band);
        let slots = band.cells.iter().any(|c| matches!(c, Cell::Slot(..)));
        let high = match (slots, bar && bars) {
            (true, _) => look.slot.1,
            (false, true) => BAR_HEIGHT,
            (false, false) => look.slot.1.min(96.0),
        };
        let widths: Vec<f64> = match &columns {
            _ if bar && bars => vec![wide],
            Some(columns) if !bar => columns.clone(),
            _ => band.cells.iter().map(|c| cell_width(c, look)).collect(),
        };
        let mut x = left + (wide - spread(widths.iter().copied())) / 2.0;
        for (cell, column) in band.cells.iter_mut().zip(&widths) {
            let own = if bar { *column } else { cell_width(cell, look) };
            let place = Rect { x: x + (column - own) / 2.0, y, w: own, h: high };
            match cell {
                Cell::Slot(_, rect) | Cell::Socket(_, rect) => *rect = place,
                Cell::Gap | Cell::Space => {}
            }
            x += column + GAP;
        }
        y += high + ROW_GAP;
    }
    y - ROW_GAP
}

/// Moves a lone or laid-out block to the middle of a drawing that is wider than it.
fn centre(blocks: &mut [Block], laid: bool, by: f64) {
    if by <= 0.0 || !(laid || blocks.len() == 1) {
        return;
    }
    for cell in blocks.iter_mut().flat_map(|b| &mut b.bands).flat_map(|b| &mut b.cells) {
        if let Cell::Slot(_, rect) | Cell::Socket(_, rect) = cell {
            rect.x += by;
        }
    }
}

fn description(input: &MapInput<'_>, views: &Views) -> String {
    let board = &input.build.board;
    let filled = input.build.filled().count();
    let capacity: domain::Capacity = input.build.filled().map(|(_, m)| m.capacity).sum();
    let one = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let mut text = format!(
        "{} and {} of {}: {filled} filled with {capacity}",
        one(board.sockets.len(), "socket"),
        one(views.slots.len(), "slot"),
        printable(&board.title),
    );
    let count = |state: SlotState| views.slots.iter().filter(|s: &&SlotView| s.state == state).count();
    for state in SlotState::ALL {
        let n = count(state);
        if state != SlotState::Filled && n > 0 {
            text.push_str(&format!(", {n} {}", state.word()));
        }
    }
    for (_, words) in &views.machine {
        text.push_str(&format!("; whole machine {words}"));
    }
    text.push('.');
    text
}
