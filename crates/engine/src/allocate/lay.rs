//! From options to pieces: every sort's sets filled, the modules of each order, and what is proved of levels 3 and 4.

use super::frame::Frame;
use super::improve::Plan;
use super::sets::{self, Filled, Hole, Run};
use domain::allocation::Held;
use std::collections::{BTreeMap, HashMap};

/// What orders keep, if they can: by order, machine, processor and sort, the pieces (by index) and counts.
pub(super) type Keep = BTreeMap<(usize, u32, u16, usize), Vec<(usize, u32)>>;

/// The modules of a plan.
#[derive(Debug, Clone)]
pub(super) struct Laid {
    /// By order.
    pub held: Vec<Vec<Held>>,
    /// By order: modules in minor units, and broken sets.
    pub by_order: Vec<(i64, u64)>,
    pub broken: u64,
    pub days: i64,
    pub kept: u64,
    pub exact: bool,
}

/// Lays plans out; what was filled once is remembered.
pub(super) struct Layer<'a> {
    frame: &'a Frame<'a>,
    keep: &'a Keep,
    runs: Vec<Vec<Run>>,
    seen: HashMap<(usize, Vec<Hole>), Filled>,
}

/// A set's place: order, machine, processor.
type Place = (usize, u32, u16);

impl<'a> Layer<'a> {
    /// For the pieces of a frame.
    pub fn new(frame: &'a Frame<'a>, keep: &'a Keep) -> Self {
        let run = |&piece: &usize| {
            let p = &frame.problem.stock[piece];
            Run { piece, part: p.part, die: p.die, cost: p.cost.minor(), day: p.received, count: p.count }
        };
        let runs = frame.shelves.iter().map(|s| s.iter().map(run).collect()).collect();
        Self { frame, keep, runs, seen: HashMap::new() }
    }
    /// Levels 3 and 4 of a plan with the modules kept, and whether they are proved: modules kept, broken sets, days.
    pub fn rate(&mut self, plan: &Plan) -> (u64, u64, i64, bool) {
        let mut out = (0, 0, 0, true);
        for (sort, places) in self.places(plan).into_iter().enumerate() {
            let filled = self.fill(sort, &places);
            out = (out.0 + filled.kept, out.1 + filled.broken, out.2 + filled.days, out.3 && filled.exact);
        }
        out
    }
    /// The modules of a plan.
    pub fn lay(&mut self, plan: &Plan) -> Laid {
        let n = plan.pick.len();
        let mut out =
            Laid { held: vec![Vec::new(); n], by_order: vec![(0, 0); n], broken: 0, days: 0, kept: 0, exact: true };
        for (sort, places) in self.places(plan).into_iter().enumerate() {
            let filled = self.fill(sort, &places);
            out.broken += filled.broken;
            out.days += filled.days;
            out.kept += filled.kept;
            out.exact &= filled.exact;
            for ((place, _), set) in places.iter().zip(&filled.sets) {
                self.put(&mut out, sort, *place, set);
            }
        }
        for held in &mut out.held {
            held.sort_unstable();
        }
        out
    }
    fn put(&self, out: &mut Laid, sort: usize, (order, machine, group): Place, set: &[(usize, u32)]) {
        let stock = &self.frame.problem.stock;
        let of = &mut out.by_order[order];
        of.1 += sets::breaks(set, |p| (stock[p].part, stock[p].die));
        for &(piece, count) in set {
            of.0 += stock[piece].cost.minor() * i64::from(count);
            let (sort, piece) = (self.frame.sorts[sort], stock[piece].key);
            out.held[order].push(Held { machine, group, sort, piece, count });
        }
    }
    /// By sort: the sets of a plan with how many modules each wants.
    fn places(&self, plan: &Plan) -> Vec<Vec<(Place, u32)>> {
        let mut out = vec![Vec::new(); self.frame.sorts.len()];
        for (order, option) in plan.pick.iter().enumerate().filter_map(|(i, p)| p.map(|o| (i, o))) {
            let mut sets: BTreeMap<(usize, u16), u32> = BTreeMap::new();
            for demand in self.frame.choice(order, option).demands.iter().filter(|d| d.count > 0) {
                if let Some(sort) = self.frame.sort_at(demand.sort) {
                    *sets.entry((sort, demand.group)).or_default() += demand.count;
                }
            }
            for ((sort, group), want) in sets {
                let machines = 0..self.frame.problem.orders[order].machines;
                out[sort].extend(machines.map(|m| ((order, m, group), want)));
            }
        }
        out
    }
    fn fill(&mut self, sort: usize, places: &[(Place, u32)]) -> Filled {
        let keep = |(o, m, g): Place| self.keep.get(&(o, m, g, sort)).cloned().unwrap_or_default();
        let holes: Vec<Hole> = places.iter().map(|(place, want)| Hole { want: *want, keep: keep(*place) }).collect();
        let runs = &self.runs[sort];
        self.seen.entry((sort, holes)).or_insert_with_key(|(_, holes)| sets::fill(runs, holes)).clone()
    }
}
