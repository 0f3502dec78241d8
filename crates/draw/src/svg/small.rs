//! The map in small: every slot in its place, filled or not, with the marks of what was found; no words.

use super::{escape, number, shapes};
use crate::arrange::Cell;
use crate::drawing::{Anchor, Drawing, Rect, Words};
use crate::measure::width;
use crate::palette::Tone;
use crate::state::{SlotState, SlotView};
use std::fmt::Write;

/// Width of the picture, px.
const WIDE: f64 = 240.0;
/// Height that it keeps to, px.
const HIGH: f64 = 200.0;
/// Around the slots.
const MARGIN: f64 = 4.0;
/// Nothing is drawn larger than so much of its size in the map.
const MOST: f64 = 0.5;
/// Room for the front edge.
const FRONT: f64 = 8.0;
/// Nothing is written smaller, px.
const LEAST: f64 = 9.0;

/// The map in small, about 240 px wide. It has no ids, so that many of them fit one page, and needs [`super::stylesheet`].
pub fn small(drawing: &Drawing) -> String {
    let cells: Vec<(&Cell, Rect)> = drawing
        .blocks
        .iter()
        .flat_map(|b| &b.bands)
        .flat_map(|b| &b.cells)
        .filter_map(|cell| match cell {
            Cell::Slot(_, rect) | Cell::Socket(_, rect) => Some((cell, *rect)),
            Cell::Gap | Cell::Space => None,
        })
        .collect();
    let (place, high) = fit(&cells);
    let front = drawing.air_front_to_back.is_some();
    let figures = figures(&cells, &place);
    let whole = high + if front { FRONT } else { 0.0 };
    let unit = figures.as_ref().map_or(String::new(), |f| format!(" Figures are {} a module.", f.unit));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing slotmap small\" role=\"img\" viewBox=\"0 0 {0} {1}\" \
         width=\"{0}\" height=\"{1}\"><title>{2}</title><desc>{3}{unit}{4}</desc><rect class=\"page\" width=\"{0}\" height=\"{1}\"/>\n",
        number(WIDE),
        number(whole),
        escape(&drawing.title),
        escape(&drawing.description),
        if front { " The front of the chassis is below." } else { "" },
    );
    for (cell, rect) in &cells {
        let rect = place(*rect);
        match cell {
            Cell::Slot(view, _) => slot(view, rect, figures.as_ref(), &mut out),
            _ => boxed("page", Tone::Empty, "stroke-width=\"1\"", rect, 3.0, &mut out),
        }
    }
    if front {
        let rect = Rect { x: MARGIN, y: whole - 5.0, w: WIDE - 2.0 * MARGIN, h: 3.0 };
        let _ = write!(out, "<rect class=\"f-empty\" {}/>", shapes::rect_attributes(rect, 1.0));
    }
    out.push_str("</svg>\n");
    out
}

/// How a place of the map becomes a place here, and how high the picture is without its front edge.
fn fit(cells: &[(&Cell, Rect)]) -> (impl Fn(Rect) -> Rect, f64) {
    let least = |of: fn(&Rect) -> f64| cells.iter().map(|(_, r)| of(r)).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&Rect) -> f64| cells.iter().map(|(_, r)| of(r)).fold(f64::NEG_INFINITY, f64::max);
    let (left, top) = if cells.is_empty() { (0.0, 0.0) } else { (least(|r| r.x), least(|r| r.y)) };
    let wide = (most(Rect::right) - left).max(1.0);
    let high = (most(Rect::bottom) - top).max(1.0);
    let scale = ((WIDE - 2.0 * MARGIN) / wide).min((HIGH - 2.0 * MARGIN) / high).min(MOST);
    let aside = (WIDE - wide * scale) / 2.0;
    let place = move |r: Rect| Rect {
        x: aside + (r.x - left) * scale,
        y: MARGIN + (r.y - top) * scale,
        w: r.w * scale,
        h: r.h * scale,
    };
    (place, high * scale + 2.0 * MARGIN)
}

/// Capacities as bare figures: of one unit, and legible in every filled slot.
struct Figures {
    unit: String,
    /// Do they run upward?
    turned: bool,
}

/// The figures of a map, where all of them can be read; some without the others would mislead.
fn figures(cells: &[(&Cell, Rect)], place: &impl Fn(Rect) -> Rect) -> Option<Figures> {
    let filled: Vec<(&SlotView, Rect)> = cells
        .iter()
        .filter_map(|(cell, rect)| match cell {
            Cell::Slot(view, _) if !view.organisation.is_empty() => Some((view, place(*rect))),
            _ => None,
        })
        .collect();
    let unit = figure(filled.first()?.0)?.1.to_string();
    let fits = |turned: bool| {
        filled.iter().all(|(view, rect)| {
            let Some((digits, own)) = figure(view) else { return false };
            let (along, across) = if turned { (rect.h, rect.w) } else { (rect.w, rect.h) };
            // A mark needs the same room again.
            let taken = if view.state.mark().is_none() { 0.0 } else { LEAST + 1.0 };
            let (along, across) = if turned { (along - taken, across) } else { (along, across - taken) };
            own == unit && width(digits, LEAST, true) + 3.0 <= along && LEAST <= across
        })
    };
    [false, true].into_iter().find(|turned| fits(*turned)).map(|turned| Figures { unit, turned })
}

/// `64 GiB` as figure and unit.
fn figure(view: &SlotView) -> Option<(&str, &str)> {
    view.content.split_once(' ')
}

fn boxed(class: &str, tone: Tone, line: &str, rect: Rect, radius: f64, out: &mut String) {
    let place = shapes::rect_attributes(rect, radius);
    let _ = write!(out, "<rect class=\"{class} e-{}\" {place} {line}/>", tone.word());
}

fn slot(view: &SlotView, rect: Rect, figures: Option<&Figures>, out: &mut String) {
    let filled = !view.organisation.is_empty();
    let (edge, more) = match view.state {
        SlotState::Wrong => (2.0, ""),
        SlotState::Unsupported | SlotState::Slower => (1.6, ""),
        SlotState::Unproven => (1.2, " stroke-dasharray=\"1.2 1.6\""),
        SlotState::Note | SlotState::Filled => (1.2, ""),
        SlotState::Empty => (0.8, " stroke-dasharray=\"2.4 1.6\""),
        SlotState::Unusable => (0.8, ""),
    };
    let tint = format!("t-{}", if filled { Tone::Ok.word() } else { view.state.tone().word() });
    let _ = write!(out, "<g data-state=\"{}\">", view.state.word().replace(' ', "-"));
    let class = if view.state == SlotState::Empty { "page" } else { &tint };
    boxed(class, view.state.tone(), &format!("stroke-width=\"{edge}\"{more}"), rect.inset(edge / 2.0), 1.5, out);
    if view.hatched {
        let [x, y, right, bottom] = [rect.x, rect.y, rect.right(), rect.bottom()].map(number);
        let _ = write!(out, "<path class=\"none e-empty\" stroke-width=\"0.8\" d=\"M{x} {bottom}L{right} {y}\"/>");
    }
    let figure = figures.zip(figure(view)).filter(|_| filled).map(|(f, (digits, _))| (f, digits));
    let mark = view.state.mark();
    if let Some(shape) = mark {
        let size = (rect.w.min(rect.h) - 3.0).clamp(4.0, LEAST);
        let y = if figure.is_some() { rect.y + 3.0 } else { rect.y + (rect.h - size) / 2.0 };
        let x = if figure.as_ref().is_some_and(|(f, _)| !f.turned) && rect.w > 2.0 * size {
            rect.right() - size - 3.0
        } else {
            rect.middle() - size / 2.0
        };
        shapes::print_mark(shape, view.state.tone(), x, y, size, out);
    } else if filled && figure.is_none() {
        bar(rect, out);
    }
    if let Some((figures, digits)) = figure {
        let down = if mark.is_some() { LEAST + 2.0 } else { 0.0 };
        let centre = rect.y + (rect.h + down) / 2.0;
        let (x, y) = if figures.turned {
            (rect.middle() + LEAST * 0.35, centre + width(digits, LEAST, true) / 2.0)
        } else {
            (rect.middle(), centre + LEAST * 0.35)
        };
        let words = Words::new(x, y, digits.to_string(), LEAST).bold();
        shapes::print_words(&if figures.turned { words.turned() } else { words.at(Anchor::Middle) }, out);
    }
    out.push_str("</g>\n");
}

/// A module from above, in place of a figure: what is filled is seen without colour.
fn bar(rect: Rect, out: &mut String) {
    let (w, h) = if rect.h >= rect.w { (rect.w * 0.34, rect.h * 0.66) } else { (rect.w * 0.66, rect.h * 0.34) };
    let inner = Rect { x: rect.middle() - w / 2.0, y: rect.y + (rect.h - h) / 2.0, w, h };
    let _ = write!(out, "<rect class=\"f-ok\" {}/>", shapes::rect_attributes(inner, 0.5));
}
