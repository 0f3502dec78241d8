//! Shapes as SVG elements.

use super::{escape, number};
use crate::drawing::{Anchor, Fill, Line, Rect, Shape, Words};
use crate::palette::Tone;
use crate::state::MarkShape;
use std::fmt::Write;

/// What a page adds to a slot.
pub struct OnPage {
    pub label: String,
    pub href: Option<String>,
    /// Where it lies.
    pub rect: Rect,
}

/// Prints a shape; `id` begins the ids that it refers to.
pub fn print(shape: &Shape, id: &str, out: &mut String) {
    match shape {
        Shape::Box { rect, radius, fill, edge } => print_box(*rect, *radius, *fill, *edge, id, out),
        Shape::Words(words) => print_words(words, out),
        Shape::Mark { x, y, size, shape, tone } => print_mark(*shape, *tone, *x, *y, *size, out),
        Shape::Disc { x, y, radius } => {
            let (x, y, r) = (number(*x), number(*y), number(*radius));
            let _ = write!(out, "<circle class=\"page disc\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>");
        }
        Shape::Tabs { x, y, count } => {
            for tab in 0..*count {
                let x = number(x + 8.0 * f64::from(tab));
                let _ = write!(
                    out,
                    "<rect class=\"tab\" x=\"{x}\" y=\"{}\" width=\"5\" height=\"11\" rx=\"1\"/>",
                    number(*y)
                );
            }
        }
        Shape::Arrow { x, top, bottom, up } => {
            let (from, to, head) = if *up { (*bottom, *top, 6.0) } else { (*top, *bottom, -6.0) };
            let (x0, from, to, back) = (number(*x), number(from), number(to), number(to + head));
            let (left, right) = (number(x - 5.0), number(x + 5.0));
            let _ =
                write!(out, "<path class=\"arrow\" d=\"M{x0} {from}V{to}M{left} {back}L{x0} {to}L{right} {back}\"/>");
        }
    }
}

/// Place and size of a rectangle with rounded corners.
pub fn rect_attributes(rect: Rect, radius: f64) -> String {
    let [x, y, w, h] = [rect.x, rect.y, rect.w, rect.h].map(number);
    format!("x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"{}\"", number(radius))
}

/// A box whose edge lies inside its rectangle.
fn print_box(rect: Rect, radius: f64, fill: Fill, edge: Option<(Tone, Line)>, id: &str, out: &mut String) {
    let class = match fill {
        Fill::None => "none".to_string(),
        Fill::Page | Fill::Hatch => "page".to_string(),
        Fill::Tint(tone) => format!("t-{}", tone.word()),
        Fill::Solid(tone) => format!("f-{}", tone.word()),
    };
    let place = rect_attributes(rect, radius);
    let _ = write!(out, "<rect class=\"{class}\" {place}/>");
    if fill == Fill::Hatch {
        let _ = write!(out, "<rect fill=\"url(#{id}-hatch)\" {place}/>");
    }
    let Some((tone, line)) = edge else { return };
    let (width, more) = match line {
        Line::Solid(width) => (width, ""),
        Line::Dashed(width) => (width, " stroke-dasharray=\"6 4\""),
        Line::Dotted(width) => (width, " stroke-dasharray=\"0.1 4\" stroke-linecap=\"round\""),
        Line::Double => (1.5, ""),
    };
    let mut stroke = |rect: Rect| {
        let place = rect_attributes(rect, (radius - 1.0).max(0.0));
        let _ =
            write!(out, "<rect class=\"none e-{}\" {place} stroke-width=\"{}\"{more}/>", tone.word(), number(width));
    };
    stroke(rect.inset(width / 2.0));
    if line == Line::Double {
        stroke(rect.inset(4.0));
    }
}

pub fn print_words(words: &Words, out: &mut String) {
    let mut class = String::from(if words.muted { "muted" } else { "ink" });
    if words.bold {
        class.push_str(" bold");
    }
    class.push_str(match words.anchor {
        Anchor::Start => "",
        Anchor::Middle => " middle",
        Anchor::End => " end",
    });
    let (x, y, size) = (number(words.x), number(words.y), number(words.size));
    let place = if words.turned {
        format!("transform=\"translate({x} {y}) rotate(-90)\"")
    } else {
        format!("x=\"{x}\" y=\"{y}\"")
    };
    let _ = write!(out, "<text class=\"{class}\" {place} font-size=\"{size}\">{}</text>", escape(&words.text));
}

/// Marks are drawn in a square of 16 and scaled.
pub fn print_mark(shape: MarkShape, tone: Tone, x: f64, y: f64, size: f64, out: &mut String) {
    let tone = tone.word();
    let inside = match shape {
        MarkShape::Square => format!(
            "<rect class=\"f-{tone}\" x=\"0.5\" y=\"0.5\" width=\"15\" height=\"15\"/><path class=\"cutout\" d=\"M4 4L12 12M12 4L4 12\"/>"
        ),
        MarkShape::Hexagon => format!(
            "<path class=\"f-{tone}\" d=\"M4 0.8H12L16 8L12 15.2H4L0 8Z\"/><path class=\"cutout\" d=\"M4 8H12\"/>"
        ),
        MarkShape::Triangle => format!("<path class=\"f-{tone}\" d=\"M8 0.5L16 15.5H0Z\"/>"),
        MarkShape::Diamond => format!(
            "<path class=\"none e-{tone} firm\" d=\"M8 0.8L15.2 8L8 15.2L0.8 8Z\"/>\
             <path class=\"none e-{tone} firm\" d=\"M6.3 6.4A1.8 1.8 0 1 1 8.6 8.1Q8 8.4 8 9.3M8 11.3V11.4\"/>"
        ),
        MarkShape::Circle => format!(
            "<circle class=\"none e-{tone} firm\" cx=\"8\" cy=\"8\" r=\"7\"/>\
             <path class=\"none e-{tone} firm\" d=\"M8 7.4V11.6M8 4.6V4.7\"/>"
        ),
    };
    let scale = (size / 16.0 * 1000.0).round() / 1000.0;
    let _ = write!(out, "<g transform=\"translate({} {}) scale({scale})\">{inside}</g>", number(x), number(y));
}
