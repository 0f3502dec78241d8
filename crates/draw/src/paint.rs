//! Pictures of slots and sockets, as shapes.

use crate::arrange::{Block, Cell};
use crate::drawing::{Anchor, Fill, Item, ItemKind, Line, Rect, Shape, Words};
use crate::look::{CONTENT, LABEL, Look, PAD, SMALL, label_width, turned_content};
use crate::measure::{cut, width, wrap};
use crate::palette::Tone;
use crate::state::{SlotState, SlotView, SocketView};

/// Width and height of a finding's mark.
pub const MARK: f64 = 15.0;

fn edge(state: SlotState) -> Line {
    match state {
        SlotState::Wrong => Line::Solid(4.0),
        SlotState::Unsupported => Line::Double,
        SlotState::Slower => Line::Solid(3.0),
        SlotState::Unproven => Line::Dotted(2.0),
        SlotState::Note | SlotState::Filled => Line::Solid(2.0),
        SlotState::Empty => Line::Dashed(1.5),
        SlotState::Unusable => Line::Solid(1.0),
    }
}

fn ground(state: SlotState) -> Fill {
    match state {
        SlotState::Unproven | SlotState::Empty | SlotState::Unusable => Fill::Page,
        other => Fill::Tint(other.tone()),
    }
}

/// The box of a state, hatched around its words where `hatched`.
pub fn cell_box(rect: Rect, state: SlotState, hatched: bool, plate: Option<Rect>, shapes: &mut Vec<Shape>) {
    let fill = if hatched { Fill::Hatch } else { ground(state) };
    let radius = 4.0;
    shapes.push(Shape::Box { rect, radius, fill, edge: Some((state.tone(), edge(state))) });
    if let Some(rect) = plate.filter(|_| hatched) {
        shapes.push(Shape::Box { rect, radius: 2.0, fill: Fill::Page, edge: None });
    }
}

/// Everything in a block.
pub fn block(block: &Block, look: &Look, items: &mut Vec<Item>) {
    let first = block.slots().next().map(|(_, r)| *r);
    if let Some(rect) = first.filter(|_| !block.title.is_empty()) {
        let words = Words::new(rect.x, rect.y - 8.0, block.title.clone(), LABEL).bold();
        items.push(Item { kind: ItemKind::Frame, name: String::new(), shapes: vec![Shape::Words(words)] });
    }
    for band in &block.bands {
        for (at, cell) in band.cells.iter().enumerate() {
            match cell {
                Cell::Slot(view, rect) => {
                    items.push(slot(view, *rect, look));
                    if let Some(head) = band.heads.get(at).filter(|h| !h.is_empty()) {
                        let words = Words::new(rect.middle(), rect.y - 7.0, head.clone(), SMALL);
                        let shapes = vec![Shape::Words(words.muted().at(Anchor::Middle))];
                        items.push(Item { kind: ItemKind::Frame, name: String::new(), shapes });
                    }
                }
                Cell::Socket(view, rect) => items.push(socket(view, *rect)),
                Cell::Gap | Cell::Space => {}
            }
        }
    }
}

/// The ground under the words of a hatched slot: the hatch shows around it, and below or above where nothing is written.
fn plate(view: &SlotView, rect: Rect, look: &Look) -> Rect {
    let inner = rect.inset(5.0);
    if !view.organisation.is_empty() || view.install.is_some() {
        return inner;
    }
    if look.tall {
        let length = label_width(&view.label).max(width(&view.content, SMALL, false)) + 10.0;
        let bottom = rect.bottom() - look.tall_foot() + 6.0;
        let y = (bottom - length).max(inner.y);
        return Rect { y, h: bottom - y, ..inner };
    }
    Rect { h: 46.0 + 17.0 * look.label_lines as f64, ..inner }
}

fn slot(view: &SlotView, rect: Rect, look: &Look) -> Item {
    let mut shapes = Vec::new();
    cell_box(rect, view.state, view.hatched, Some(plate(view, rect, look)), &mut shapes);
    if look.tabs {
        let (x, y) = if view.hatched { (rect.x + 11.0, rect.y + 11.0) } else { (rect.x + PAD, rect.y + 9.0) };
        let count = view.address.position.saturating_add(1).min(4);
        if view.hatched {
            let rect = Rect { x: x - 4.0, y: y - 4.0, w: 5.0 + 8.0 * f64::from(count), h: 19.0 };
            let (radius, fill, edge) = (2.0, Fill::Page, None);
            shapes.push(Shape::Box { rect, radius, fill, edge });
        }
        shapes.push(Shape::Tabs { x, y, count });
    }
    if look.tall {
        tall_words(view, rect, look, &mut shapes);
    } else {
        level_words(view, rect, look, &mut shapes);
    }
    Item { kind: ItemKind::Slot(view.slot, view.state), name: view.name.clone(), shapes }
}

/// Mark and letter at the upper right; the letter left of the mark, or below it in a tall slot.
fn finding_mark(state: SlotState, rect: Rect, below: bool, shapes: &mut Vec<Shape>) {
    let (Some(shape), Some(letter)) = (state.mark(), state.letter()) else {
        return;
    };
    let (x, y) = (rect.right() - PAD - MARK, rect.y + 8.0);
    shapes.push(Shape::Mark { x, y, size: MARK, shape, tone: state.tone() });
    let (x, y) = if below { (x + MARK / 2.0, y + MARK + 13.0) } else { (x - 9.0, y + 12.5) };
    shapes.push(Shape::Words(Words::new(x, y, letter, CONTENT).bold().at(Anchor::Middle)));
}

pub fn install_disc(number: u16, x: f64, y: f64, shapes: &mut Vec<Shape>) {
    let radius = if number > 99 { 14.0 } else { 11.0 };
    shapes.push(Shape::Disc { x, y, radius });
    shapes.push(Shape::Words(Words::new(x, y + 4.3, number.to_string(), SMALL).bold().at(Anchor::Middle)));
}

fn level_words(view: &SlotView, rect: Rect, look: &Look, shapes: &mut Vec<Shape>) {
    finding_mark(view.state, rect, false, shapes);
    let x = rect.x + PAD;
    let most = rect.w - (x - rect.x) - PAD + 2.0;
    let mut y = rect.y + 40.0;
    for line in wrap(&view.label, most, look.label_lines, label_width) {
        shapes.push(Shape::Words(Words::new(x, y, line, LABEL).bold()));
        y += 17.0;
    }
    y = rect.y + 42.0 + 17.0 * look.label_lines as f64;
    let content = Words::new(x, y, cut(&view.content, most, |t| width(t, CONTENT, true)), CONTENT);
    if view.organisation.is_empty() {
        shapes.push(Shape::Words(content.muted()));
    } else {
        shapes.push(Shape::Words(content.bold()));
        let organisation = cut(&view.organisation, most, |t| width(t, SMALL, false));
        shapes.push(Shape::Words(Words::new(x, y + 17.0, organisation, SMALL)));
    }
    if let Some(region) = view.region {
        shapes.push(Shape::Words(Words::new(x, y + 33.0, format!("reg {region}"), SMALL).muted()));
    }
    let base = rect.bottom() - 18.0;
    if let Some(number) = view.install {
        install_disc(number, rect.x + PAD + 10.0, base, shapes);
    }
    if let Some(origin) = view.origin {
        let words = Words::new(rect.right() - PAD, base + 4.3, origin.word(), SMALL);
        shapes.push(Shape::Words(words.at(Anchor::End)));
    }
}

fn tall_words(view: &SlotView, rect: Rect, look: &Look, shapes: &mut Vec<Shape>) {
    finding_mark(view.state, rect, true, shapes);
    let start = rect.bottom() - look.tall_foot();
    let most = start - rect.y - 42.0;
    let label = cut(&view.label, most, label_width);
    let content = cut(&turned_content(view), most, |t| width(t, SMALL, false));
    shapes.push(Shape::Words(Words::new(rect.x + 23.5, start, label, LABEL).bold().turned()));
    let content = Words::new(rect.x + 40.5, start, content, SMALL).turned();
    shapes.push(Shape::Words(if view.organisation.is_empty() { content.muted() } else { content }));
    let mut base = rect.bottom() - 18.0;
    if let Some(number) = view.install {
        install_disc(number, rect.middle(), base, shapes);
    }
    if look.foot {
        base -= 16.0;
    } else {
        base += 8.0;
    }
    if let Some(region) = view.region {
        let words = Words::new(rect.middle(), base, format!("reg {region}"), SMALL);
        shapes.push(Shape::Words(words.muted().at(Anchor::Middle)));
    }
}

fn socket_line(view: &SocketView) -> String {
    format!("socket {}: {}", view.name, view.processor)
}

fn socket(view: &SocketView, rect: Rect) -> Item {
    let mut shapes = Vec::new();
    let bar = rect.h < 60.0;
    let edge = match view.state {
        SlotState::Filled => (Tone::Empty, Line::Solid(1.5)),
        state => (state.tone(), edge(state)),
    };
    let fill = if view.hatched { Fill::Hatch } else { Fill::Page };
    shapes.push(Shape::Box { rect, radius: 8.0, fill, edge: Some(edge) });
    let mut inner = rect.inset(if rect.h < 130.0 { 7.0 } else { 12.0 });
    if bar {
        let wide = width(&socket_line(view), CONTENT, true) + 28.0;
        inner.x += ((inner.w - wide) / 2.0).max(0.0);
        inner.w = inner.w.min(wide);
    }
    let inner_edge = (!bar).then_some((Tone::Empty, Line::Solid(1.0)));
    shapes.push(Shape::Box { rect: inner, radius: 3.0, fill: Fill::Page, edge: inner_edge });
    let most = inner.w - 8.0;
    let middle = |y: f64, text: String, size: f64| Words::new(rect.middle(), y, text, size).at(Anchor::Middle);
    let centre = rect.y + rect.h / 2.0;
    if bar {
        let text = cut(&socket_line(view), rect.w - 90.0, |t| width(t, CONTENT, true));
        shapes.push(Shape::Words(middle(centre + 4.5, text, CONTENT).bold()));
    } else {
        let name = cut(&view.name, most, |t| width(t, 16.0, true));
        shapes.push(Shape::Words(middle(centre - 26.0, "socket".into(), SMALL).muted()));
        shapes.push(Shape::Words(middle(centre - 7.0, name, 16.0).bold()));
        let lines = wrap(&view.processor, most, 2, |t| width(t, SMALL, false));
        for (line, y) in lines.into_iter().zip([13.0, 28.0]) {
            shapes.push(Shape::Words(middle(centre + y, line, SMALL)));
        }
    }
    finding_mark(
        view.state,
        Rect { x: rect.x - 8.0, y: rect.y + if bar { 6.0 } else { 8.0 }, ..rect },
        false,
        &mut shapes,
    );
    Item { kind: ItemKind::Socket(view.socket), name: view.sentence.clone(), shapes }
}
