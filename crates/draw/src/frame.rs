//! Pictures of the frame around the map: title, outline, back and front edges, machine findings, legend.

use crate::drawing::{Anchor, Fill, Item, ItemKind, Line, Rect, Shape, Words};
use crate::legend::{LegendEntry, LegendKey};
use crate::look::{CONTENT, LABEL, SMALL};
use crate::measure::{cut, width};
use crate::paint::{MARK, cell_box, install_disc};
use crate::palette::Tone;
use crate::state::SlotState;

/// Room for the words at the back of the chassis.
pub const BACK_HEIGHT: f64 = 24.0;
/// Room for the front edge.
pub const FRONT_HEIGHT: f64 = 44.0;

/// The title, the outline of the board and its back and front edges.
pub fn frame(title: &str, board: Rect, air: Option<bool>) -> Item {
    let mut shapes = Vec::new();
    let title = cut(title, board.w, |t| width(t, 18.0, true));
    shapes.push(Shape::Words(Words::new(board.x, 34.0, title, 18.0).bold()));
    shapes.push(Shape::Box { rect: board, radius: 8.0, fill: Fill::Page, edge: Some((Tone::Empty, Line::Solid(1.0))) });
    if let Some(front_to_back) = air {
        let back = Words::new(board.middle(), board.y - 8.0, "back of the chassis", SMALL);
        shapes.push(Shape::Words(back.muted().at(Anchor::Middle)));
        let (top, bottom) = (board.bottom() + 8.0, board.bottom() + 34.0);
        let rect = Rect { x: board.x, y: top, w: board.w, h: bottom - top };
        let edge = Some((Tone::Empty, Line::Solid(2.0)));
        shapes.push(Shape::Box { rect, radius: 4.0, fill: Fill::Page, edge });
        let front = Words::new(board.middle(), top + 18.0, "FRONT", LABEL).bold().at(Anchor::Middle);
        shapes.push(Shape::Words(front));
        for share in [0.15, 0.85] {
            let x = board.x + board.w * share;
            shapes.push(Shape::Arrow { x, top: top + 4.0, bottom: bottom - 4.0, up: front_to_back });
            shapes.push(Shape::Words(Words::new(x + 12.0, top + 17.5, "air", SMALL).muted()));
        }
    }
    Item { kind: ItemKind::Frame, name: String::new(), shapes }
}

/// Findings of the whole machine, one a line.
pub fn machine(found: &[(SlotState, String)], board: Rect, top: f64) -> (Item, f64) {
    let mut shapes = Vec::new();
    let mut y = top;
    for (state, words) in found {
        if let (Some(shape), Some(letter)) = (state.mark(), state.letter()) {
            shapes.push(Shape::Mark { x: board.x, y, size: MARK, shape, tone: state.tone() });
            let letter = Words::new(board.x + MARK + 10.0, y + 12.5, letter, CONTENT);
            shapes.push(Shape::Words(letter.bold().at(Anchor::Middle)));
        }
        let text = cut(&format!("whole machine, {words}"), board.w - 40.0, |t| width(t, CONTENT, false));
        shapes.push(Shape::Words(Words::new(board.x + MARK + 24.0, y + 12.5, text, CONTENT)));
        y += 22.0;
    }
    (Item { kind: ItemKind::Legend, name: "findings of the whole machine".into(), shapes }, y)
}

/// The legend, as many entries a line as fit.
pub fn legend(entries: &[LegendEntry], board: Rect, top: f64) -> (Item, f64) {
    let mut shapes = Vec::new();
    let (mut x, mut y) = (board.x, top + 4.0);
    for entry in entries {
        let wide = 50.0 + width(&entry.words, SMALL, false) + 20.0;
        if x > board.x && x + wide > board.right() + 20.0 {
            (x, y) = (board.x, y + 30.0);
        }
        legend_key(entry.key, Rect { x, y, w: 42.0, h: 22.0 }, &mut shapes);
        let words = cut(&entry.words, board.w - 48.0, |t| width(t, SMALL, false));
        shapes.push(Shape::Words(Words::new(x + 50.0, y + 15.5, words, SMALL)));
        x += wide;
    }
    let bottom = if entries.is_empty() { top } else { y + 24.0 };
    (Item { kind: ItemKind::Legend, name: "legend".into(), shapes }, bottom)
}

fn legend_key(key: LegendKey, rect: Rect, shapes: &mut Vec<Shape>) {
    match key {
        LegendKey::State(state) => {
            cell_box(rect, state, state == SlotState::Unusable, None, shapes);
            if let (Some(shape), Some(letter)) = (state.mark(), state.letter()) {
                shapes.push(Shape::Mark {
                    x: rect.right() - 18.0,
                    y: rect.y + 5.0,
                    size: 12.0,
                    shape,
                    tone: state.tone(),
                });
                let words = Words::new(rect.x + 13.0, rect.y + 15.5, letter, SMALL);
                shapes.push(Shape::Words(words.bold().at(Anchor::Middle)));
            }
        }
        LegendKey::Tabs(count) => shapes.push(Shape::Tabs { x: rect.x + 14.0, y: rect.y + 6.0, count }),
        LegendKey::Install => install_disc(1, rect.middle(), rect.y + 11.0, shapes),
        LegendKey::Region => {
            shapes.push(Shape::Words(Words::new(rect.x + 2.0, rect.y + 15.5, "reg 1", SMALL).muted()));
        }
    }
}
