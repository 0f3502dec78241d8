//! Points over two axes, the chosen ones numbered and the others small: which plan costs what for how much.

mod label;
mod print;
mod scale;
mod thin;

/// The shape of a point. Shapes tell classes apart without colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shape {
    Circle,
    Square,
    Triangle,
}

/// One point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// In the unit of its axis; a point with a value that is no number is left out, and the description says so.
    pub x: f64,
    pub y: f64,
    /// From 0, smallest, to 1.
    pub size: f64,
    pub shape: Shape,
    /// What stands beside a chosen point, as its number.
    pub label: String,
    /// Where it leads.
    pub href: Option<String>,
    /// Chosen points are large, labelled, and reached by the tab key; the others are small and for the mouse.
    pub chosen: bool,
    /// What it is, in one sentence.
    pub name: String,
}

/// A chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    pub title: String,
    /// What it shows, in one sentence.
    pub description: String,
    /// What the axes count, with the unit.
    pub x_title: String,
    pub y_title: String,
    pub points: Vec<Point>,
    /// What the shapes mean.
    pub legend: Vec<(Shape, String)>,
    /// Begins every id; letters, digits and dashes.
    pub id_prefix: String,
}

/// The chart as SVG; it needs the rules of [`crate::svg::stylesheet`].
pub fn svg(chart: &Chart) -> String {
    print::svg(chart)
}
