//! The chart as SVG elements: frame, axes, the many, the chosen, legend.

use super::label::{self, Spot};
use super::scale::Scale;
use super::thin::{self, Placed};
use super::{Chart, Point, Shape};
use crate::drawing::{Anchor, Rect, Words};
use crate::measure::{cut, printable, width};
use crate::svg::shapes::{print_words, rect_attributes};
use crate::svg::{escape, number};
use std::fmt::Write;

const WIDE: f64 = 720.0;
/// Height of the area that the points lie in.
const PLOT: f64 = 320.0;
const TOP: f64 = 44.0;
const RIGHT: f64 = 24.0;
/// Size of figures and legend, px.
const SMALL: f64 = 12.0;
/// Size of titles and labels, px.
const LARGE: f64 = 14.0;
/// From the edges of the plot to the nearest point.
const INSET: f64 = 14.0;
/// Half the side of what a finger has to hit at a chosen point.
const REACH: f64 = 14.0;

/// The whole chart.
pub fn svg(chart: &Chart) -> String {
    let good: Vec<&Point> = chart.points.iter().filter(|p| p.x.is_finite() && p.y.is_finite()).collect();
    let x = Scale::new(good.iter().map(|p| p.x), 8.0);
    let y = Scale::new(good.iter().map(|p| p.y), 6.0);
    let figures = y.ticks().iter().map(|t| width(&t.1, SMALL, false)).fold(0.0, f64::max);
    let left = 16.0 + LARGE + 12.0 + figures.min(140.0) + 8.0;
    let plot = Rect { x: left, y: TOP, w: WIDE - RIGHT - left, h: PLOT };
    let inner = plot.inset(INSET);
    let placed: Vec<Placed<'_>> = good
        .iter()
        .map(|p| Placed { point: p, x: inner.x + inner.w * x.share(p.x), y: inner.bottom() - inner.h * y.share(p.y) })
        .collect();
    let (mut chosen, many): (Vec<_>, Vec<_>) = placed.into_iter().partition(|p| p.point.chosen);
    chosen.sort_by_key(|p| (p.point.label.parse::<u32>().unwrap_or(u32::MAX), p.point.label.clone()));
    let drawn = thin::thin(&many);
    let mut body = String::new();
    axes(chart, &x, &y, plot, inner, &mut body);
    crowd(&drawn, &mut body);
    picked(&chosen, plot, &mut body);
    let bottom = legend(chart, !chosen.is_empty(), plot, &mut body);
    let mut description = chart.description.clone();
    if drawn.len() < many.len() {
        let (n, of) = (drawn.len() + chosen.len(), many.len() + chosen.len());
        let _ = write!(
            description,
            " Of {of} points {n} are drawn: where several fall on the same place, the first of them."
        );
    }
    let missing = chart.points.len() - good.len();
    if missing > 0 {
        let _ = write!(description, " {missing} without a figure for both axes left out.");
    }
    frame(chart, &description, bottom + 12.0) + &body + "</svg>\n"
}

/// The beginning of the picture, up to its ground.
fn frame(chart: &Chart, description: &str, high: f64) -> String {
    let id: String = chart.id_prefix.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let role = if chart.points.iter().any(|p| p.href.is_some()) { "group" } else { "img" };
    let (w, h) = (number(WIDE), number(high));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing plot\" role=\"{role}\" aria-labelledby=\"{id}-title\" \
         aria-describedby=\"{id}-desc\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n\
         <rect class=\"page\" width=\"{w}\" height=\"{h}\"/>\n",
        escape(&chart.title),
        escape(description),
    );
    let title = cut(&printable(&chart.title), WIDE - 32.0, |t| width(t, 16.0, true));
    print_words(&Words::new(16.0, 26.0, title, 16.0).bold(), &mut out);
    out
}

/// Gridlines, figures and titles of both axes. A figure that would touch the last one is left out.
fn axes(chart: &Chart, x: &Scale, y: &Scale, plot: Rect, inner: Rect, out: &mut String) {
    let [left, top, right, bottom] = [plot.x, plot.y, plot.right(), plot.bottom()].map(number);
    out.push_str("<g aria-hidden=\"true\">");
    let mut free = f64::NEG_INFINITY;
    for (value, figure) in x.ticks() {
        let at = inner.x + inner.w * x.share(value);
        let _ = write!(out, "<path class=\"grid\" d=\"M{} {top}V{bottom}\"/>", number(at));
        let half = width(&figure, SMALL, false) / 2.0;
        if at - half >= free {
            print_words(&Words::new(at, plot.bottom() + 18.0, figure, SMALL).muted().at(Anchor::Middle), out);
            free = at + half + 6.0;
        }
    }
    for (value, figure) in y.ticks() {
        let at = inner.bottom() - inner.h * y.share(value);
        let _ = write!(out, "<path class=\"grid\" d=\"M{left} {}H{right}\"/>", number(at));
        print_words(&Words::new(plot.x - 8.0, at + 4.3, figure, SMALL).muted().at(Anchor::End), out);
    }
    let _ = write!(out, "<path class=\"none axis\" d=\"M{left} {top}V{bottom}H{right}\"/>");
    let across = cut(&printable(&chart.x_title), plot.w, |t| width(t, LARGE, false));
    print_words(&Words::new(plot.middle(), plot.bottom() + 42.0, across, LARGE).at(Anchor::Middle), out);
    let up = cut(&printable(&chart.y_title), plot.h, |t| width(t, LARGE, false));
    print_words(&Words::new(16.0 + LARGE, plot.y + plot.h / 2.0, up, LARGE).turned().at(Anchor::Middle), out);
    out.push_str("</g>\n");
}

/// The points that are not chosen: links for the mouse, for the table has all of them.
fn crowd(points: &[Placed<'_>], out: &mut String) {
    if points.is_empty() {
        return;
    }
    out.push_str("<g class=\"crowd\" aria-hidden=\"true\">\n");
    for at in points {
        let point = at.point;
        if let Some(href) = &point.href {
            let _ = write!(out, "<a href=\"{}\" tabindex=\"-1\">", escape(href));
        }
        let radius = 2.5 + 2.0 * size(point);
        let _ = write!(out, "<g><title>{}</title>", escape(&point.name));
        shape(point.shape, at.x, at.y, radius, "t-note e-note", out);
        out.push_str(if point.href.is_some() { "</g></a>\n" } else { "</g>\n" });
    }
    out.push_str("</g>\n");
}

/// The chosen points, with labels that stand apart.
fn picked(points: &[Placed<'_>], plot: Rect, out: &mut String) {
    let text = |p: &Placed<'_>| cut(&printable(&p.point.label), 120.0, |t| width(t, LARGE, true));
    let radius = |p: &Placed<'_>| 5.5 + 3.0 * size(p.point);
    let spots: Vec<Spot> = points
        .iter()
        .map(|p| Spot { x: p.x, y: p.y, radius: radius(p) + 1.5, wide: width(&text(p), LARGE, true) + 6.0, high: 18.0 })
        .collect();
    for (at, rect) in points.iter().zip(label::place(&spots, plot)) {
        let point = at.point;
        if let Some(href) = &point.href {
            let _ = write!(out, "<a href=\"{}\" aria-label=\"{}\">", escape(href), escape(&point.name));
        }
        let _ = write!(out, "<g class=\"chosen\"><title>{}</title>", escape(&point.name));
        let (x, y) = (number(at.x), number(at.y));
        let _ = write!(out, "<circle class=\"reach\" cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", number(REACH));
        let (to, down) = (rect.middle(), rect.y + rect.h / 2.0);
        if (to - at.x).hypot(down - at.y) > radius(at) + 24.0 {
            let _ = write!(out, "<path class=\"none e-note thin\" d=\"M{x} {y}L{} {}\"/>", number(to), number(down));
        }
        shape(point.shape, at.x, at.y, radius(at), "f-note halo", out);
        let label = text(at);
        if !label.is_empty() {
            let _ = write!(out, "<rect class=\"page\" {}/>", rect_attributes(rect, 3.0));
            print_words(&Words::new(to, down + 5.0, label, LARGE).bold().at(Anchor::Middle), out);
        }
        let ring = Rect { x: at.x - REACH, y: at.y - REACH, w: 2.0 * REACH, h: 2.0 * REACH };
        let _ = write!(out, "<rect class=\"ring\" {}/></g>", rect_attributes(ring, REACH));
        out.push_str(if point.href.is_some() { "</a>\n" } else { "\n" });
    }
}

fn size(point: &Point) -> f64 {
    if point.size.is_finite() { point.size.clamp(0.0, 1.0) } else { 0.0 }
}

/// A shape of about the same area whichever it is.
fn shape(shape: Shape, x: f64, y: f64, radius: f64, class: &str, out: &mut String) {
    let _ = match shape {
        Shape::Circle => {
            let [x, y, r] = [x, y, radius].map(number);
            write!(out, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>")
        }
        Shape::Square => {
            let half = radius * 0.89;
            let rect = Rect { x: x - half, y: y - half, w: 2.0 * half, h: 2.0 * half };
            write!(out, "<rect class=\"{class}\" {}/>", rect_attributes(rect, 0.0))
        }
        Shape::Triangle => {
            let [top, foot] = [y - radius * 1.35, y + radius * 0.8].map(number);
            let [left, right] = [x - radius * 1.25, x + radius * 1.25].map(number);
            write!(out, "<path class=\"{class}\" d=\"M{} {top}L{right} {foot}H{left}Z\"/>", number(x))
        }
    };
}

/// What the shapes mean, as many entries a line as fit; says where it ends.
fn legend(chart: &Chart, numbered: bool, plot: Rect, out: &mut String) -> f64 {
    let (mut x, mut y) = (plot.x, plot.bottom() + 70.0);
    let meanings = chart.legend.iter().map(|(s, words)| (Some(*s), printable(words)));
    let number = numbered.then(|| (None, "chosen, with its number".to_string()));
    let start = y;
    let mut any = false;
    out.push_str("<g class=\"legend\">");
    for (what, words) in meanings.chain(number) {
        let words = cut(&words, plot.w - 24.0, |t| width(t, SMALL, false));
        let wide = 24.0 + width(&words, SMALL, false) + 16.0;
        if x > plot.x && x + wide > plot.right() + 16.0 {
            (x, y) = (plot.x, y + 22.0);
        }
        match what {
            Some(what) => shape(what, x + 8.0, y - 4.0, 5.0, "t-note e-note", out),
            None => shape(Shape::Circle, x + 8.0, y - 4.0, 7.0, "f-note halo", out),
        }
        print_words(&Words::new(x + 22.0, y, words, SMALL), out);
        x += wide;
        any = true;
    }
    out.push_str("</g>\n");
    if any { y + 4.0 } else { start - 20.0 }
}
