//! 'About so much': the nearest even fills on both sides.

use super::frame::Space;
use domain::Capacity;

/// The capacities to plan between.
pub struct Window {
    pub least: Option<Capacity>,
    pub most: Option<Capacity>,
    pub words: String,
}

/// The nearest even fills at or below and at or above a capacity.
///
/// An even fill puts the same modules into every channel of every processor.
pub fn window(space: &Space, about: Capacity) -> Window {
    let mut evens = even_fills(space);
    evens.sort_unstable();
    let below = evens.iter().copied().filter(|c| *c <= about).max();
    let above = evens.iter().copied().filter(|c| *c >= about).min();
    let words = match (below, above) {
        (Some(b), Some(a)) if a == b => format!("about {about}: an even fill has just that"),
        (Some(b), Some(a)) => format!("about {about}: the nearest even fills are {b} and {a}"),
        (Some(b), None) => format!("about {about}: the largest even fill is {b}"),
        (None, Some(a)) => format!("about {about}: the smallest even fill is {a}"),
        (None, None) => format!("about {about}: no even fill is possible with what is offered"),
    };
    Window { least: below.or(above), most: above.or(below), words }
}

fn even_fills(space: &Space) -> Vec<Capacity> {
    let deepest = space.frames.iter().flat_map(|f| f.channels.iter().map(Vec::len)).min().unwrap_or(0);
    let channels: usize = space.frames.iter().map(|f| f.channels.len()).sum();
    let mut found = Vec::new();
    let mut stack: Vec<Vec<u16>> = vec![Vec::new()];
    while let Some(sorts) = stack.pop() {
        if !sorts.is_empty() && fits(space, &sorts, channels) {
            let each: Capacity = sorts.iter().map(|s| space.sample(*s).capacity).sum();
            found.push(usable(space, &sorts, each * channels as u64));
        }
        if sorts.len() < deepest {
            let from = sorts.last().copied().unwrap_or(0);
            for next in from..space.sorts.len() as u16 {
                let mut more = sorts.clone();
                more.push(next);
                stack.push(more);
            }
        }
    }
    found
}

/// Are there enough units, and does every channel take them?
fn fits(space: &Space, sorts: &[u16], channels: usize) -> bool {
    let enough = sorts.iter().all(|s| {
        let each = sorts.iter().filter(|x| *x == s).count();
        space.sorts[usize::from(*s)].units.len() >= each * channels
    });
    let mut distinct = sorts.to_vec();
    distinct.dedup();
    enough
        && !super::prune::clash(space, &distinct)
        && space.frames.iter().all(|f| f.classes.iter().all(|c| space.content(*c, sorts).is_some()))
}

fn usable(space: &Space, sorts: &[u16], raw: Capacity) -> Capacity {
    let mut total = Capacity::ZERO;
    for frame in &space.frames {
        for class in &frame.classes {
            if let Some(content) = space.content(*class, sorts) {
                total = total + Capacity::from_mib(content.usable);
            }
        }
    }
    if total.is_zero() { raw } else { total }
}
