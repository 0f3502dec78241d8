//! Which of many points are drawn: one of those that would fall on the same few pixels.

use super::{Point, Shape};
use std::collections::BTreeSet;

/// As many small points as a page should carry.
const MOST: usize = 600;
/// Side of the smallest cell that two small points don't share, px.
const CELL: f64 = 4.0;

/// A point with its place, px.
#[derive(Debug, Clone, Copy)]
pub struct Placed<'a> {
    pub point: &'a Point,
    pub x: f64,
    pub y: f64,
}

/// The first point of every cell and shape. Up to [`MOST`] points are drawn as they are; cells grow until no more are left.
pub fn thin<'a>(points: &[Placed<'a>]) -> Vec<Placed<'a>> {
    if points.len() <= MOST {
        return points.to_vec();
    }
    let mut cell = CELL;
    loop {
        let mut taken: BTreeSet<(i64, i64, Shape)> = BTreeSet::new();
        let at = |p: &Placed<'_>| ((p.x / cell) as i64, (p.y / cell) as i64, p.point.shape);
        let kept: Vec<_> = points.iter().filter(|p| taken.insert(at(p))).copied().collect();
        if kept.len() <= MOST {
            return kept;
        }
        cell *= 1.25;
    }
}
