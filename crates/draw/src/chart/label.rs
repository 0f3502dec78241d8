//! Where the labels of chosen points stand, so that none covers another or another's point.

use crate::drawing::Rect;

/// What a label is put beside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
    /// From the middle of the point to its edge.
    pub radius: f64,
    /// Of the label.
    pub wide: f64,
    pub high: f64,
}

/// Directions that are tried, best first: right, left, above, below, then aslant, then between those.
const WAYS: [(f64, f64); 16] = [
    (1.0, 0.0),
    (-1.0, 0.0),
    (0.0, -1.0),
    (0.0, 1.0),
    (0.7, -0.7),
    (-0.7, -0.7),
    (0.7, 0.7),
    (-0.7, 0.7),
    (0.9, -0.4),
    (-0.9, -0.4),
    (0.9, 0.4),
    (-0.9, 0.4),
    (0.4, -0.9),
    (-0.4, -0.9),
    (0.4, 0.9),
    (-0.4, 0.9),
];
/// Between a point and its label.
const GAP: f64 = 2.0;

/// A place for every label within `area`, farther and farther from its point until it is free. Where the area is full, a
/// label stands beside its point all the same.
pub fn place(spots: &[Spot], area: Rect) -> Vec<Rect> {
    let mut placed: Vec<Rect> = Vec::new();
    for spot in spots {
        let free = |rect: &Rect| {
            inside(*rect, area)
                && placed.iter().all(|other| !meet(*rect, *other))
                && spots.iter().all(|other| !covers(*rect, other))
        };
        let tried = (0..32).flat_map(|ring| WAYS.map(|way| beside(spot, way, f64::from(ring) * 8.0)));
        let found = tried.clone().find(free);
        placed.push(found.or_else(|| tried.clone().find(|r| inside(*r, area))).unwrap_or(beside(spot, WAYS[0], 0.0)));
    }
    placed
}

fn beside(spot: &Spot, (dx, dy): (f64, f64), farther: f64) -> Rect {
    let away = spot.radius + GAP + farther;
    let (x, y) = (spot.x + dx * (away + spot.wide / 2.0), spot.y + dy * (away + spot.high / 2.0));
    Rect { x: x - spot.wide / 2.0, y: y - spot.high / 2.0, w: spot.wide, h: spot.high }
}

fn inside(rect: Rect, area: Rect) -> bool {
    rect.x >= area.x && rect.right() <= area.right() && rect.y >= area.y && rect.bottom() <= area.bottom()
}

/// Do two rectangles overlap?
pub fn meet(a: Rect, b: Rect) -> bool {
    a.x < b.right() && b.x < a.right() && a.y < b.bottom() && b.y < a.bottom()
}

/// Does a label lie on a point?
fn covers(rect: Rect, spot: &Spot) -> bool {
    let (x, y) = (spot.x.clamp(rect.x, rect.right()), spot.y.clamp(rect.y, rect.bottom()));
    (x - spot.x).hypot(y - spot.y) < spot.radius
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_points_that_lie_together_stand_apart() {
        let area = Rect { x: 0.0, y: 0.0, w: 400.0, h: 300.0 };
        let spot = |x: f64, y: f64| Spot { x, y, radius: 8.0, wide: 20.0, high: 16.0 };
        let heaps = [
            vec![spot(200.0, 150.0); 12],
            (0..12).map(|i| spot(0.0, f64::from(i))).collect(),
            (0..12).map(|i| spot(400.0 - f64::from(i), 0.0)).collect(),
            (0..12).map(|i| spot(f64::from(i) * 9.0, 300.0)).collect(),
        ];
        for spots in heaps {
            let placed = place(&spots, area);
            for (at, a) in placed.iter().enumerate() {
                assert!(inside(*a, area), "{a:?}");
                assert!(spots.iter().all(|s| !covers(*a, s)), "{a:?} lies on a point");
                assert!(placed[at + 1..].iter().all(|b| !meet(*a, *b)), "{a:?} overlaps");
            }
        }
    }
}
