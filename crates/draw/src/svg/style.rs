//! The class rules of all drawings: light, dark, print, high contrast and forced colours.

use crate::palette::{Colour, DARK, LIGHT, Theme, Tone};
use std::fmt::Write;

/// The rules that maps and charts need, those in a page and those that stand alone.
pub fn stylesheet() -> String {
    let mut out = String::from(
        ".drawing{font-family:system-ui,sans-serif}\n\
         .drawing .bold{font-weight:700}\n.drawing .middle{text-anchor:middle}\n.drawing .end{text-anchor:end}\n\
         .drawing .none,.drawing .arrow,.drawing .cutout,.drawing .ring,.drawing .grid{fill:none}\n\
         .drawing .cutout,.drawing .firm,.drawing .arrow{stroke-width:2;stroke-linecap:round;stroke-linejoin:round}\n\
         .drawing .thin,.drawing .grid{stroke-width:1}\n.drawing .disc,.drawing .axis,.drawing .halo{stroke-width:1.5}\n\
         .drawing .reach{fill:none;pointer-events:all}\n.drawing a:focus{outline:none}\n\
         .drawing .ring{stroke:none;stroke-width:3}\n",
    );
    theme(&LIGHT, &mut out);
    out.push_str("@media screen and (prefers-color-scheme:dark){\n");
    theme(&DARK, &mut out);
    out.push_str(
        "}\n@media (prefers-contrast:more){.drawing .e-ok,.drawing .e-note,.drawing .e-empty{stroke-width:3}\
         .drawing.small .e-ok,.drawing.small .e-note,.drawing.small .e-empty{stroke-width:1.5}}\n",
    );
    out.push_str("@media (forced-colors:active){\n");
    out.push_str(".drawing .page,.drawing [class^=\"t-\"]{fill:Canvas}\n.drawing .cutout{stroke:Canvas}\n");
    out.push_str(".drawing .ink,.drawing .muted,.drawing .tab,.drawing [class^=\"f-\"]{fill:CanvasText}\n");
    out.push_str(".drawing [class*=\"e-\"],.drawing .arrow,.drawing .disc,.drawing .axis{stroke:CanvasText}\n");
    out.push_str(".drawing .grid{stroke:GrayText}\n.drawing a:focus-visible .ring{stroke:Highlight}\n}\n");
    out.push_str("@media print{.drawing{print-color-adjust:exact}}\n");
    out
}

fn theme(theme: &Theme, out: &mut String) {
    let mut rule = |which: &str, property: &str, colour: Colour| {
        let _ = writeln!(out, ".drawing {which}{{{property}:{}}}", colour.hex());
    };
    rule(".page", "fill", theme.page);
    rule(".ink", "fill", theme.ink);
    rule(".muted", "fill", theme.muted);
    rule(".tab", "fill", theme.muted);
    rule(".arrow", "stroke", theme.muted);
    rule(".disc", "stroke", theme.ink);
    rule(".cutout", "stroke", theme.page);
    rule(".halo", "stroke", theme.page);
    rule(".grid", "stroke", theme.grid);
    rule(".axis", "stroke", theme.muted);
    rule("a:hover .ring", "stroke", theme.muted);
    rule("a:focus-visible .ring", "stroke", theme.ink);
    for (tone, word) in Tone::ALL {
        rule(&format!(".e-{word}"), "stroke", theme.edge(tone));
        rule(&format!(".f-{word}"), "fill", theme.edge(tone));
        rule(&format!(".t-{word}"), "fill", theme.tint(tone));
    }
}
