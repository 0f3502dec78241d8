//! Which of the alike sockets, blocks and channels takes which contents, so that most installed modules stay where they are.
//!
//! What stays adds up over channels, so an assignment inside each block, one of blocks, and one of sockets is exact.

use super::frame::{Content, Frame, Space};
use super::offers::UnitSource;
use super::place::runs;
use std::rc::Rc;

/// The contents of each channel of a socket, with the index of its frame.
type Room = (usize, Vec<Rc<Content>>);

/// A module that stays outweighs every channel that keeps as many modules as the chart gave it.
const STAYS: i64 = 1_000;

/// Puts contents where most installed modules stay; of equal ways the one that is nearest to the chart's.
pub fn arrange(space: &Space, rooms: &mut [Room]) {
    let now = rooms.to_vec();
    let mut open: Vec<usize> = (0..rooms.len()).collect();
    while let Some(first) = open.first().copied() {
        let like = |r: &usize| space.frames[now[*r].0].like == space.frames[now[first].0].like;
        let group: Vec<usize> = open.iter().copied().filter(like).collect();
        open.retain(|r| !group.contains(r));
        let frame = |r: usize| &space.frames[now[r].0];
        let ways: Vec<Vec<Way>> = group
            .iter()
            .map(|own| group.iter().map(|at| socket(space, frame(*at), &now[*own].1, &now[*at].1)).collect())
            .collect();
        for (own, at) in assign(&ways).into_iter().enumerate() {
            rooms[group[at]].1 = ways[own][at].contents.clone();
        }
    }
}

/// Contents in an order, and what that is worth.
#[derive(Debug, Clone)]
struct Way {
    worth: i64,
    contents: Vec<Rc<Content>>,
}

/// The best order of a socket's contents on the channels of `frame`, where the chart has put `charted`.
fn socket(space: &Space, frame: &Frame, contents: &[Rc<Content>], charted: &[Rc<Content>]) -> Way {
    let symmetry = &frame.symmetry;
    let mut best = Way { worth: 0, contents: contents.to_vec() };
    for run in runs(&symmetry.like_last_block) {
        let blocks = &symmetry.blocks[run];
        let ways: Vec<Vec<Way>> = blocks
            .iter()
            .map(|own| {
                let own: Vec<Rc<Content>> = own.iter().map(|c| contents[*c].clone()).collect();
                blocks.iter().map(|at| block(space, frame, at, &own, charted)).collect()
            })
            .collect();
        for (own, at) in assign(&ways).into_iter().enumerate() {
            let way = &ways[own][at];
            best.worth += way.worth;
            for (channel, content) in blocks[at].iter().zip(&way.contents) {
                best.contents[*channel] = content.clone();
            }
        }
    }
    best
}

/// The best order of a block's contents on the channels `at`.
fn block(space: &Space, frame: &Frame, at: &[usize], own: &[Rc<Content>], charted: &[Rc<Content>]) -> Way {
    let mut best = Way { worth: 0, contents: own.to_vec() };
    for run in runs(&frame.symmetry.like_last_inside) {
        let ways: Vec<Vec<Way>> = run
            .clone()
            .map(|i| run.clone().map(|j| channel(space, frame, at[j], &own[i], &charted[at[j]])).collect())
            .collect();
        for (i, j) in assign(&ways).into_iter().enumerate() {
            best.worth += ways[i][j].worth;
            best.contents[run.start + j] = own[run.start + i].clone();
        }
    }
    best
}

/// What a channel's contents are worth on a channel.
fn channel(space: &Space, frame: &Frame, at: usize, content: &Rc<Content>, charted: &Rc<Content>) -> Way {
    let stays = frame.channels[at].iter().enumerate().filter(|(position, slot)| {
        let Some(sort) = content.placed.get(*position).copied().flatten() else { return false };
        let here = |module: &std::sync::Arc<domain::Module>| {
            space.sorts[usize::from(sort)]
                .units
                .iter()
                .any(|u| u.source == UnitSource::Installed(Some(**slot)) && u.module == *module)
        };
        space.need.installed.iter().any(|(s, module)| s == *slot && here(module))
    });
    let worth = STAYS * stays.count() as i64 + i64::from(content.sorts.len() == charted.sorts.len());
    Way { worth, contents: Vec::new() }
}

/// Which column each row takes so that the sum is greatest (the Hungarian method with potentials, O(n³); Kuhn 1955,
/// Munkres 1957).
fn assign(ways: &[Vec<Way>]) -> Vec<usize> {
    let worth = |row: usize, column: usize| ways[row - 1][column - 1].worth;
    let n = ways.len();
    let (mut rows, mut columns) = (vec![0i64; n + 1], vec![0i64; n + 1]);
    // The row that holds each column; column 0 is the row being placed.
    let mut held = vec![0usize; n + 1];
    for row in 1..=n {
        held[0] = row;
        let mut at = 0;
        let mut least = vec![i64::MAX; n + 1];
        let mut from = vec![0usize; n + 1];
        let mut done = vec![false; n + 1];
        loop {
            done[at] = true;
            let (mut step, mut next) = (i64::MAX, 0);
            for column in 1..=n {
                if done[column] {
                    continue;
                }
                let slack = -worth(held[at], column) - rows[held[at]] - columns[column];
                if slack < least[column] {
                    (least[column], from[column]) = (slack, at);
                }
                if least[column] < step {
                    (step, next) = (least[column], column);
                }
            }
            for column in 0..=n {
                if done[column] {
                    rows[held[column]] += step;
                    columns[column] -= step;
                } else {
                    least[column] -= step;
                }
            }
            at = next;
            if held[at] == 0 {
                break;
            }
        }
        while at != 0 {
            held[at] = held[from[at]];
            at = from[at];
        }
    }
    let mut taken = vec![0; n];
    for column in 1..=n {
        taken[held[column] - 1] = column - 1;
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn best_of_all(worths: &[Vec<i64>], row: usize, free: &mut Vec<usize>) -> i64 {
        if row == worths.len() {
            return 0;
        }
        let mut best = i64::MIN;
        for i in 0..free.len() {
            let column = free.remove(i);
            best = best.max(worths[row][column] + best_of_all(worths, row + 1, free));
            free.insert(i, column);
        }
        best
    }

    proptest! {
        #[test]
        fn an_assignment_is_as_good_as_the_best_of_all(n in 1usize..6, cells in proptest::collection::vec(0i64..4000, 25)) {
            let worths: Vec<Vec<i64>> = (0..n).map(|r| cells[r * 5..r * 5 + n].to_vec()).collect();
            let ways: Vec<Vec<Way>> = worths
                .iter()
                .map(|row| row.iter().map(|w| Way { worth: *w, contents: Vec::new() }).collect())
                .collect();
            let taken = assign(&ways);
            let mut sorted = taken.clone();
            sorted.sort_unstable();
            prop_assert_eq!(sorted, (0..n).collect::<Vec<_>>());
            let sum: i64 = taken.iter().enumerate().map(|(row, column)| worths[row][*column]).sum();
            prop_assert_eq!(sum, best_of_all(&worths, 0, &mut (0..n).collect()));
        }
    }
}
