//! Where things lie: slots are big enough, apart, inside the drawing, and in the order of the board.

use crate::boards;
use draw::{Cell, Drawing, MapInput, Rect, slot_map};

fn drawings() -> Vec<Drawing> {
    boards::shapes()
        .into_iter()
        .map(|board| {
            let build = boards::build(board);
            slot_map(&MapInput::new(&build, &boards::findings(&build)))
        })
        .collect()
}

fn slots(drawing: &Drawing) -> Vec<Rect> {
    drawing.blocks.iter().flat_map(|b| b.slots()).map(|(_, r)| *r).collect()
}

/// Every slot and socket box.
fn cells(drawing: &Drawing) -> Vec<Rect> {
    let cells = drawing.blocks.iter().flat_map(|b| &b.bands).flat_map(|b| &b.cells);
    cells
        .filter_map(|cell| match cell {
            Cell::Slot(_, rect) | Cell::Socket(_, rect) => Some(*rect),
            Cell::Gap | Cell::Space => None,
        })
        .collect()
}

#[test]
fn every_slot_is_drawn_once_44_px_or_more_and_8_px_apart() {
    for (drawing, board) in drawings().iter().zip(boards::shapes()) {
        assert_eq!(slots(drawing).len(), board.slots.len(), "{}", drawing.title);
        assert!(slots(drawing).iter().all(|r| r.w.min(r.h) >= 44.0), "{}", drawing.title);
        let all = cells(drawing);
        assert_eq!(all.len(), board.slots.len() + board.sockets.len(), "{}", drawing.title);
        for (at, a) in all.iter().enumerate() {
            assert!(a.x >= 0.0 && a.right() <= drawing.width, "{}", drawing.title);
            assert!(a.y >= 0.0 && a.bottom() <= drawing.height, "{}", drawing.title);
            for b in &all[at + 1..] {
                let apart = (b.x - a.right()).max(a.x - b.right()).max(b.y - a.bottom()).max(a.y - b.bottom());
                assert!(apart >= 7.99, "{}: {a:?} and {b:?} are {apart} px apart", drawing.title);
            }
        }
    }
}

#[test]
fn a_laid_out_board_lies_as_its_rows_do() {
    let board = boards::laid(boards::board("Rows", &["rear", "front"], &[&[2; 6]]), true);
    let rows = board.layout.rows.clone();
    let build = boards::build(board);
    let drawing = slot_map(&MapInput::new(&build, &[]));
    assert_eq!(drawing.air_front_to_back, Some(true));
    let bands = &drawing.blocks[0].bands;
    assert_eq!(bands.len(), rows.len());
    let mut upper = 0.0;
    for (band, row) in bands.iter().zip(&rows) {
        assert_eq!(band.cells.len(), row.len());
        let places: Vec<Rect> = band
            .cells
            .iter()
            .filter_map(|c| match c {
                Cell::Slot(_, r) | Cell::Socket(_, r) => Some(*r),
                _ => None,
            })
            .collect();
        assert!(places.windows(2).all(|w| w[0].right() < w[1].x && w[0].y == w[1].y));
        assert!(places[0].y > upper, "rows go from back to front");
        upper = places[0].bottom();
    }
}

#[test]
fn slots_that_the_layout_forgot_are_drawn_all_the_same() {
    let mut board = boards::laid(boards::board("Gaps", &["main"], &[&[2, 2, 2]]), true);
    board.layout.rows[0].truncate(3);
    let build = boards::build(board);
    let drawing = slot_map(&MapInput::new(&build, &[]));
    assert_eq!(slots(&drawing).len(), 6);
    assert_eq!(drawing.blocks.len(), 2);
}

#[test]
fn ninety_six_slots_stay_legible() {
    let names = ["n1", "n2", "n3", "n4", "n5", "n6", "n7", "n8"];
    let build = boards::build(boards::board("Ninety-six", &names, &[&[2; 6]]));
    let drawing = slot_map(&MapInput::new(&build, &[]));
    assert_eq!(slots(&drawing).len(), 96);
    assert!(drawing.width <= 1400.0, "{} px wide", drawing.width);
}
