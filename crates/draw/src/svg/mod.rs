//! A drawing as SVG: self-contained with its own styles, or for a page that has the one stylesheet and links; whole or in small.

mod code;
pub(crate) mod shapes;
mod small;
mod style;

pub use code::code;
pub use small::small;
pub use style::stylesheet;

use crate::drawing::{Drawing, Item, ItemKind};
use crate::measure::printable;
use domain::SlotIndex;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Prints the SVG. All text is escaped; nothing is fetched from elsewhere.
pub fn render(drawing: &Drawing) -> String {
    print(drawing, &format!("<style>\n{}</style>\n", stylesheet()), &BTreeMap::new())
}

/// The same picture for a page that has [`stylesheet`]: no style of its own, so that a strict policy lets it stand, and each
/// slot a link where `link` gives an address. Every slot bears its label as `data-slot`.
pub fn embedded(drawing: &Drawing, link: &dyn Fn(SlotIndex) -> Option<String>) -> String {
    let slots = drawing.blocks.iter().flat_map(|b| b.slots());
    let slots = slots.map(|(view, rect)| {
        let own = shapes::OnPage { label: view.label.clone(), href: link(view.slot), rect: *rect };
        (view.slot, own)
    });
    print(drawing, "", &slots.collect())
}

/// The picture; `slots` says what pages add to a slot.
fn print(drawing: &Drawing, style: &str, slots: &BTreeMap<SlotIndex, shapes::OnPage>) -> String {
    let id = &drawing.id_prefix;
    let (w, h) = (number(drawing.width), number(drawing.height));
    // A picture hides what is in it from those who do not see it; a group with links must not.
    let role = if slots.values().any(|s| s.href.is_some()) { "group" } else { "img" };
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing slotmap\" role=\"{role}\" \
         aria-labelledby=\"{id}-title\" aria-describedby=\"{id}-desc\" \
         viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n{style}\
         <defs><pattern id=\"{id}-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><path class=\"e-empty thin\" d=\"M0 0V6\"/></pattern></defs>\n\
         <rect class=\"page\" width=\"{w}\" height=\"{h}\"/>\n",
        escape(&drawing.title),
        escape(&drawing.description),
    );
    for item in &drawing.items {
        let on_page = match item.kind {
            ItemKind::Slot(slot, _) => slots.get(&slot),
            _ => None,
        };
        print_item(item, drawing, on_page, &mut out);
    }
    out.push_str("</svg>\n");
    out
}

fn print_item(item: &Item, drawing: &Drawing, on_page: Option<&shapes::OnPage>, out: &mut String) {
    let id = &drawing.id_prefix;
    let href = on_page.and_then(|page| page.href.as_deref());
    let open = match item.kind {
        ItemKind::Frame => "<g>".to_string(),
        ItemKind::Slot(slot, state) => {
            // Where a link lies over the slot, that bears label and name; the words below would only say it again in pieces.
            let more = match (on_page, href) {
                (Some(_), Some(_)) => " aria-hidden=\"true\"".to_string(),
                (Some(page), None) => format!(" data-slot=\"{}\"", escape(&page.label)),
                (None, _) => String::new(),
            };
            let word = state.word().replace(' ', "-");
            format!("<g class=\"slot\" id=\"{id}-slot-{}\" data-state=\"{word}\"{more}>", slot.0)
        }
        ItemKind::Socket(socket) => format!("<g class=\"socket\" id=\"{id}-socket-{socket}\">"),
        ItemKind::Legend => "<g class=\"legend\">".to_string(),
    };
    out.push_str(&open);
    if !item.name.is_empty() && href.is_none() {
        let _ = write!(out, "<title>{}</title>", escape(&item.name));
    }
    for shape in &item.shapes {
        shapes::print(shape, id, out);
    }
    out.push_str("</g>\n");
    if let (Some(page), Some(href)) = (on_page, href) {
        print_link(page, href, &item.name, out);
    }
}

/// A link over a slot, with the ring that shows the focus. Over it and not around it, so that what is read out is its name
/// alone, and no cut or broken label of the drawing.
fn print_link(page: &shapes::OnPage, href: &str, name: &str, out: &mut String) {
    let (href, label, name) = (escape(href), escape(&page.label), escape(name));
    let _ = writeln!(
        out,
        "<a href=\"{href}\" data-slot=\"{label}\" aria-label=\"{name}\"><title>{name}</title>\
         <rect class=\"reach\" {}/><rect class=\"ring\" {}/></a>",
        shapes::rect_attributes(page.rect, 4.0),
        shapes::rect_attributes(page.rect.inset(-2.5), 6.0),
    );
}

/// Escapes text for XML content and attributes; what no browser should be given is replaced.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in printable(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// A length with at most one decimal.
pub(crate) fn number(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    if rounded.fract() == 0.0 { format!("{rounded:.0}") } else { format!("{rounded:.1}") }
}
