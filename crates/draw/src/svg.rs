//! A drawing as one self-contained SVG: its own styles for light, dark, print, high contrast and forced colours.

use crate::drawing::{Anchor, Drawing, Fill, Item, ItemKind, Line, Rect, Shape, Words};
use crate::palette::{Colour, DARK, LIGHT, Theme, Tone};
use crate::state::MarkShape;
use std::fmt::Write;

/// Prints the SVG. All text is escaped; nothing is fetched from elsewhere.
pub fn render(drawing: &Drawing) -> String {
    let id = &drawing.id_prefix;
    let (w, h) = (number(drawing.width), number(drawing.height));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"slotmap\" role=\"img\" \
         aria-labelledby=\"{id}-title {id}-desc\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n<style>\n{}</style>\n\
         <defs><pattern id=\"{id}-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path class=\"e-empty thin\" d=\"M0 0V6\"/></pattern></defs>\n\
         <rect class=\"page\" width=\"{w}\" height=\"{h}\"/>\n",
        escape(&drawing.title),
        escape(&drawing.description),
        styles(),
    );
    for item in &drawing.items {
        print_item(item, drawing, &mut out);
    }
    out.push_str("</svg>\n");
    out
}

/// Escapes text for XML content and attributes.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// A length with at most one decimal.
fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    if rounded.fract() == 0.0 { format!("{rounded:.0}") } else { format!("{rounded:.1}") }
}

fn print_item(item: &Item, drawing: &Drawing, out: &mut String) {
    let id = &drawing.id_prefix;
    let open = match item.kind {
        ItemKind::Frame => "<g>".to_string(),
        ItemKind::Slot(slot, state) => {
            format!("<g class=\"slot\" id=\"{id}-slot-{}\" data-state=\"{}\">", slot.0, state.word().replace(' ', "-"))
        }
        ItemKind::Socket(socket) => format!("<g class=\"socket\" id=\"{id}-socket-{socket}\">"),
        ItemKind::Legend => "<g class=\"legend\">".to_string(),
    };
    out.push_str(&open);
    if !item.name.is_empty() {
        let _ = write!(out, "<title>{}</title>", escape(&item.name));
    }
    for shape in &item.shapes {
        print_shape(shape, id, out);
    }
    out.push_str("</g>\n");
}

fn print_shape(shape: &Shape, id: &str, out: &mut String) {
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

fn rect_attributes(rect: Rect, radius: f64) -> String {
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

fn print_words(words: &Words, out: &mut String) {
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
fn print_mark(shape: MarkShape, tone: Tone, x: f64, y: f64, size: f64, out: &mut String) {
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

fn theme(theme: &Theme, out: &mut String) {
    let mut rule = |class: &str, property: &str, colour: Colour| {
        let _ = writeln!(out, ".slotmap .{class}{{{property}:{}}}", colour.hex());
    };
    rule("page", "fill", theme.page);
    rule("ink", "fill", theme.ink);
    rule("muted", "fill", theme.muted);
    rule("tab", "fill", theme.muted);
    rule("arrow", "stroke", theme.muted);
    rule("disc", "stroke", theme.ink);
    rule("cutout", "stroke", theme.page);
    for (tone, word) in Tone::ALL {
        rule(&format!("e-{word}"), "stroke", theme.edge(tone));
        rule(&format!("f-{word}"), "fill", theme.edge(tone));
        rule(&format!("t-{word}"), "fill", theme.tint(tone));
    }
}

fn styles() -> String {
    let mut out = String::from(
        ".slotmap{font-family:system-ui,sans-serif}\n\
         .slotmap .bold{font-weight:700}\n.slotmap .middle{text-anchor:middle}\n.slotmap .end{text-anchor:end}\n\
         .slotmap .none,.slotmap .arrow,.slotmap .cutout{fill:none}\n\
         .slotmap .cutout,.slotmap .firm,.slotmap .arrow{stroke-width:2;stroke-linecap:round;stroke-linejoin:round}\n\
         .slotmap .thin{stroke-width:1}\n.slotmap .disc{stroke-width:1.5}\n",
    );
    theme(&LIGHT, &mut out);
    out.push_str("@media screen and (prefers-color-scheme:dark){\n");
    theme(&DARK, &mut out);
    out.push_str(
        "}\n@media (prefers-contrast:more){.slotmap .e-ok,.slotmap .e-note,.slotmap .e-empty{stroke-width:3}}\n",
    );
    out.push_str("@media (forced-colors:active){\n");
    out.push_str(".slotmap .page,.slotmap [class^=\"t-\"]{fill:Canvas}\n.slotmap .cutout{stroke:Canvas}\n");
    out.push_str(".slotmap .ink,.slotmap .muted,.slotmap .tab,.slotmap [class^=\"f-\"]{fill:CanvasText}\n");
    out.push_str(".slotmap [class*=\"e-\"],.slotmap .arrow,.slotmap .disc{stroke:CanvasText}\n}\n");
    out.push_str("@media print{.slotmap{print-color-adjust:exact}}\n");
    out
}

/// The same picture for a page that has [`stylesheet`]: no style of its own, and each slot a link where `link` gives one.
pub fn embedded(drawing: &Drawing, link: &dyn Fn(domain::SlotIndex) -> Option<String>) -> String {
    let whole = render(drawing);
    let (Some(from), Some(to)) = (whole.find("<style>"), whole.find("</style>\n")) else { return whole };
    let mut out = format!("{}{}", &whole[..from], &whole[to + "</style>\n".len()..]);
    let mut linked = false;
    for item in &drawing.items {
        let ItemKind::Slot(slot, _) = item.kind else { continue };
        let Some(href) = link(slot) else { continue };
        let mut shown = String::new();
        print_item(item, drawing, &mut shown);
        let label = drawing
            .blocks
            .iter()
            .flat_map(|b| b.slots())
            .find(|(v, _)| v.slot == slot)
            .map_or("", |(v, _)| v.label.as_str());
        let around = format!(
            "<a href=\"{}\" data-slot=\"{}\" aria-label=\"{}\">{shown}</a>",
            escape(&href),
            escape(label),
            escape(&item.name)
        );
        out = out.replacen(&shown, &around, 1);
        linked = true;
    }
    if linked { out.replacen("role=\"img\"", "role=\"group\"", 1) } else { out }
}

/// The rules that [`embedded`] drawings need.
pub fn stylesheet() -> String {
    styles()
}

/// The map in small.
pub fn small(drawing: &Drawing) -> String {
    embedded(drawing, &|_| None)
}

/// A two-dimensional code as SVG; nothing where the text is too long for one.
pub fn code(text: &str) -> Option<String> {
    let code = qrcode::QrCode::new(text.as_bytes()).ok()?;
    let width = code.width();
    let colours = code.to_colors();
    let mut path = String::new();
    for (at, colour) in colours.iter().enumerate() {
        if *colour == qrcode::Color::Dark {
            let _ = write!(path, "M{} {}h1v1h-1z", at % width + 4, at / width + 4);
        }
    }
    let side = width + 8;
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" role=\"img\" aria-label=\"code: {}\"><path d=\"{path}\"/></svg>",
        escape(text)
    ))
}
