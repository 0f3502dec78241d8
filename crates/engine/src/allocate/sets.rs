//! Which pieces of one sort go to which set (one processor of one machine), at the least cost: fewest broken sets, then the oldest
//! pieces. Exact by search over labels (a set is of one part, of one die, or mixed) where the sets are few; else the first descent.

use super::shelf::{Asked, Bench, Shelf};
use std::collections::HashMap;

/// Sets of one sort up to which the labels are searched; the search goes as deep.
const FEW: usize = 48;
/// Steps of that search.
const STEPS: u32 = 40_000;

/// Some modules alike: of one piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Run {
    pub piece: usize,
    pub part: u32,
    pub die: u32,
    pub cost: i64,
    pub day: i64,
    pub count: u32,
}

/// A set to fill: how many modules, and what it keeps from before (piece and count).
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) struct Hole {
    pub want: u32,
    pub keep: Vec<(usize, u32)>,
}

/// Filled sets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    /// By set: pieces and counts.
    pub sets: Vec<Vec<(usize, u32)>>,
    pub broken: u64,
    pub days: i64,
    /// Modules kept from before.
    pub kept: u64,
    /// Is it proved that no other filling of the same cost has fewer broken sets, and none of those is older?
    pub exact: bool,
}

/// What a set has before it is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Has {
    Nothing,
    Part(usize),
    Die(usize),
    Mix,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Label {
    Part(usize),
    Die(usize),
    Mix,
}

/// Fills the holes from the cheapest runs (given cheapest first); kept modules dearer than those are given up.
pub(super) fn fill(runs: &[Run], holes: &[Hole]) -> Filled {
    let (cut, mut left) = cut(runs, holes);
    let mut count: HashMap<usize, u32> = runs.iter().filter(|r| r.cost <= cut).map(|r| (r.piece, r.count)).collect();
    let of: HashMap<usize, &Run> = runs.iter().map(|r| (r.piece, r)).collect();
    let mut sets: Vec<Vec<(usize, u32)>> = vec![Vec::new(); holes.len()];
    let mut kept = 0;
    for (set, hole) in sets.iter_mut().zip(holes) {
        let mut want = hole.want;
        for &(piece, n) in &hole.keep {
            let (Some(run), Some(have)) = (of.get(&piece), count.get_mut(&piece)) else { continue };
            let most = if run.cost == cut { left } else { u32::MAX };
            let n = n.min(*have).min(want).min(most);
            if n == 0 {
                continue;
            }
            *have -= n;
            want -= n;
            left -= if run.cost == cut { n } else { 0 };
            kept += u64::from(n);
            set.push((piece, n));
        }
    }
    let (bench, place) = bench(runs, &count, cut, left);
    let todo: Vec<(u32, Has)> = sets
        .iter()
        .zip(holes)
        .map(|(set, hole)| (hole.want - set.iter().map(|(_, n)| n).sum::<u32>(), has(set, &of, &place)))
        .collect();
    let (labels, exact) = label(&bench, &todo);
    deal(&bench, &todo, &labels, &mut sets);
    let mut days = 0;
    for set in &mut sets {
        set.sort_unstable();
        days += set.iter().map(|(p, n)| of[p].day * i64::from(*n)).sum::<i64>();
    }
    let broken = sets.iter().map(|s| breaks(s, |p| (of[&p].part, of[&p].die))).sum();
    Filled { sets, broken, days, kept, exact }
}

/// 0 for one part, 1 for one die, 2 for a mix.
pub(super) fn breaks(set: &[(usize, u32)], of: impl Fn(usize) -> (u32, u32)) -> u64 {
    let mut all = set.iter().map(|(p, _)| of(*p));
    let Some(first) = all.next() else { return 0 };
    all.map(|next| if next.0 == first.0 { 0 } else { 1 + u64::from(next.1 != first.1) }).max().unwrap_or(0)
}

/// The cost of the dearest module that is taken, and how many of that cost are.
fn cut(runs: &[Run], holes: &[Hole]) -> (i64, u32) {
    let mut left: u32 = holes.iter().map(|h| h.want).sum();
    let (mut cost, mut of_cost) = (i64::MIN, 0);
    for run in runs {
        if left == 0 {
            break;
        }
        let n = run.count.min(left);
        if run.cost != cost {
            (cost, of_cost) = (run.cost, 0);
        }
        of_cost += n;
        left -= n;
    }
    (cost, of_cost)
}

/// The parts, and the place of each piece's part among them.
fn bench(runs: &[Run], count: &HashMap<usize, u32>, cut: i64, more: u32) -> (Bench, HashMap<u32, usize>) {
    let mut place: HashMap<u32, usize> = HashMap::new();
    let mut dies: HashMap<u32, usize> = HashMap::new();
    let mut shelves: Vec<Shelf> = Vec::new();
    for run in runs.iter().filter(|r| r.cost <= cut) {
        let next = dies.len();
        let die = *dies.entry(run.die).or_insert(next);
        let at = *place.entry(run.part).or_insert_with(|| {
            shelves.push(Shelf { die, ..Shelf::default() });
            shelves.len() - 1
        });
        let n = count.get(&run.piece).copied().unwrap_or(0);
        let shelf = &mut shelves[at];
        if run.cost < cut {
            shelf.must.push((run.piece, n));
            shelf.must_sum += n;
        } else {
            // No hole takes more than all that is taken at this cost.
            shelf.may.push((run.piece, run.day, n.min(more)));
            shelf.may_sum = shelf.may_sum.saturating_add(n.min(more)).min(more);
        }
    }
    for shelf in &mut shelves {
        shelf.may.sort_by_key(|(piece, day, _)| (*day, *piece));
    }
    (Bench { shelves, dies: dies.len(), more }, place)
}

fn has(set: &[(usize, u32)], of: &HashMap<usize, &Run>, place: &HashMap<u32, usize>) -> Has {
    let mut out = Has::Nothing;
    for (piece, _) in set {
        let Some(run) = of.get(piece) else { continue };
        let part = place.get(&run.part).copied().unwrap_or(usize::MAX);
        out = match out {
            Has::Nothing => Has::Part(part),
            Has::Part(p) if p == part => out,
            _ => Has::Mix,
        };
    }
    if out == Has::Mix {
        let dies: Vec<u32> = set.iter().filter_map(|(p, _)| of.get(p)).map(|r| r.die).collect();
        let first = set.first().and_then(|(p, _)| of.get(p)).and_then(|r| place.get(&r.part)).copied();
        if let (true, Some(first)) = (dies.windows(2).all(|w| w[0] == w[1]), first) {
            out = Has::Die(first);
        }
    }
    out
}

/// The labels of the sets, and whether they are proved best.
fn label(bench: &Bench, todo: &[(u32, Has)]) -> (Vec<Label>, bool) {
    let mut order: Vec<usize> = (0..todo.len()).filter(|&i| !idle(todo[i])).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(todo[i].0), todo[i].1, i));
    let asked = Asked { parts: vec![0; bench.shelves.len()], dies: vec![0; bench.dies] };
    let mut labels = vec![Label::Mix; todo.len()];
    if order.len() > FEW {
        let mut asked = asked;
        for &i in &order {
            let first =
                options(bench, &asked, todo[i]).into_iter().find(|(_, l)| ask(&mut asked, *l, todo[i].0, bench));
            labels[i] = first.map_or(Label::Mix, |(_, l)| l);
        }
        return (labels, false);
    }
    let mut deep = Deep { bench, todo, order: &order, steps: STEPS, best: None, now: Vec::new(), seen: HashMap::new() };
    deep.go(asked, 0);
    let exact = deep.steps > 0;
    for (i, label) in order.iter().zip(deep.best.map(|b| b.2).unwrap_or_default()) {
        labels[*i] = label;
    }
    (labels, exact)
}

/// Sets that no label helps or hurts: nothing to add, or one module alone.
fn idle((want, has): (u32, Has)) -> bool {
    want == 0 || (want == 1 && has == Has::Nothing) || has == Has::Mix
}

/// Labels that a set can have with what each breaks, the least first, then the part with the least to spare.
fn options(bench: &Bench, asked: &Asked, (want, has): (u32, Has)) -> Vec<(u64, Label)> {
    let mut parts: Vec<(bool, u32, usize)> = Vec::new();
    for (i, shelf) in bench.shelves.iter().enumerate() {
        let spare = (shelf.must_sum + shelf.may_sum).saturating_sub(asked.parts[i]);
        let allowed = has == Has::Nothing || has == Has::Part(i);
        if allowed && spare >= want {
            parts.push((shelf.must_sum < asked.parts[i].saturating_add(want), spare, i));
        }
    }
    parts.sort_unstable();
    let mut out: Vec<(u64, Label)> = parts.into_iter().map(|(_, _, i)| (0, Label::Part(i))).collect();
    let mine = match has {
        Has::Part(p) | Has::Die(p) => bench.shelves.get(p).map(|s| s.die),
        _ => None,
    };
    let dies = (0..bench.dies).filter(|d| has == Has::Nothing || mine == Some(*d));
    out.extend(dies.map(|d| (1, Label::Die(d))));
    out.push((2, Label::Mix));
    out
}

/// Adds a label to what is asked; false, and nothing done, where it can't be.
fn ask(asked: &mut Asked, label: Label, want: u32, bench: &Bench) -> bool {
    let slot = match label {
        Label::Part(p) => &mut asked.parts[p],
        Label::Die(d) => &mut asked.dies[d],
        Label::Mix => return true,
    };
    *slot += want;
    if bench.least(asked).is_some() {
        return true;
    }
    match label {
        Label::Part(p) => asked.parts[p] -= want,
        Label::Die(d) => asked.dies[d] -= want,
        Label::Mix => {}
    }
    false
}

/// The search over labels.
struct Deep<'a> {
    bench: &'a Bench,
    todo: &'a [(u32, Has)],
    order: &'a [usize],
    steps: u32,
    best: Option<(u64, i128, Vec<Label>)>,
    now: Vec<Label>,
    /// What was asked at a depth, with the fewest broken sets that came so far.
    seen: HashMap<(usize, Asked), u64>,
}

impl Deep<'_> {
    fn go(&mut self, asked: Asked, broken: u64) {
        if self.steps == 0 || self.best.as_ref().is_some_and(|b| broken > b.0) {
            return;
        }
        self.steps -= 1;
        let depth = self.now.len();
        if self.seen.get(&(depth, asked.clone())).is_some_and(|b| *b <= broken) {
            return;
        }
        self.seen.insert((depth, asked.clone()), broken);
        let Some(&set) = self.order.get(depth) else {
            let Some((_, days)) = self.bench.oldest(&asked) else { return };
            if self.best.as_ref().is_none_or(|b| (broken, days) < (b.0, b.1)) {
                self.best = Some((broken, days, self.now.clone()));
            }
            return;
        };
        for (breaks, label) in options(self.bench, &asked, self.todo[set]) {
            let mut next = asked.clone();
            if ask(&mut next, label, self.todo[set].0, self.bench) {
                self.now.push(label);
                self.go(next, broken + breaks);
                self.now.pop();
            }
        }
    }
}

/// Gives modules to the sets: those of one part first, then of one die, then the mixed ones.
fn deal(bench: &Bench, todo: &[(u32, Has)], labels: &[Label], sets: &mut [Vec<(usize, u32)>]) {
    let mut asked = Asked { parts: vec![0; bench.shelves.len()], dies: vec![0; bench.dies] };
    for ((want, _), label) in todo.iter().zip(labels) {
        ask(&mut asked, *label, *want, bench);
    }
    let Some((took, _)) = bench.oldest(&asked) else { return };
    let mut piles: Vec<Vec<(usize, u32)>> = Vec::new();
    for (shelf, n) in bench.shelves.iter().zip(&took) {
        let mut pile = shelf.must.clone();
        let mut left = *n;
        for (piece, _, count) in &shelf.may {
            let n = left.min(*count);
            left -= n;
            pile.push((*piece, n));
        }
        pile.reverse();
        piles.push(pile);
    }
    let rank = |l: &Label| match l {
        Label::Part(_) => 0,
        Label::Die(_) => 1,
        Label::Mix => 2,
    };
    let mut order: Vec<usize> = (0..todo.len()).collect();
    order.sort_by_key(|&i| (rank(&labels[i]), std::cmp::Reverse(todo[i].0), i));
    for i in order {
        let mut want = todo[i].0;
        for (at, pile) in piles.iter_mut().enumerate() {
            let fits = match labels[i] {
                Label::Part(p) => p == at,
                Label::Die(d) => bench.shelves[at].die == d,
                Label::Mix => true,
            };
            while fits && want > 0 {
                let Some((piece, have)) = pile.last_mut() else { break };
                let n = want.min(*have);
                *have -= n;
                want -= n;
                if n > 0 {
                    add(&mut sets[i], *piece, n);
                }
                if *have == 0 {
                    pile.pop();
                }
            }
        }
    }
}

fn add(set: &mut Vec<(usize, u32)>, piece: usize, n: u32) {
    match set.iter_mut().find(|(p, _)| *p == piece) {
        Some((_, have)) => *have += n,
        None => set.push((piece, n)),
    }
}
