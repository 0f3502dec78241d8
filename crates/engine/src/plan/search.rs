//! The exact search: classes of data rate from fast to slow, supports of few sorts before many, totals against a front.
//!
//! Within a class every channel may run at its rate, so price, capacity, free slots and modules bought depend on the
//! totals alone, and bandwidth on the arrangement: for each total the best arrangement is looked up, socket by socket.
//! A support is skipped where no total of it could stand beside the front even at the bandwidth of the widest sets.

use super::bound;
use super::class::{self, Class};
use super::frame::{Content, Space, is_wrong};
use super::front::Front;
use super::kinds::{Objectives, Proof};
use super::offers::{Choice, Unit};
use super::prune;
use super::socket::{Support, Table};
use super::ways::{Heads, Link, Links, NONE, cell, is_within, pack, split};
use crate::rules::Scope;
use domain::{Bandwidth, Build, Capacity, DataRate};
use std::rc::Rc;

/// Totals, splits and arrangements that one search looks at before it says how far its proof goes; singles and pairs
/// are always searched whole.
pub(super) const BUDGET: u64 = 3_000_000;
/// Trying whether an arrangement of one more socket goes with those so far takes about this part of a step.
const PAIRS_A_STEP: u64 = 32;
/// Arrangements of one socket looked at for a pair at most.
const BUDGET_PAIR: u64 = 40_000_000;
/// Supports up to this size are searched whatever it takes.
const PAIR: usize = 2;
/// Sorts in one support at most.
const SUPPORT_MOST: usize = 8;

/// The limits of a need, apart from what board and modules allow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    pub least: Option<Capacity>,
    pub most: Option<Capacity>,
    /// For one machine, in minor units.
    pub budget: Option<i64>,
    pub bandwidth: Option<Bandwidth>,
    pub rate: Option<DataRate>,
    pub free: u16,
    pub keep_all: bool,
}

/// One point of the front: what goes into each channel, and which units.
#[derive(Debug, Clone)]
pub struct Found {
    pub rate: DataRate,
    /// (frame, contents by channel).
    pub rooms: Vec<(usize, Vec<Rc<Content>>)>,
    /// Units by sort.
    pub units: Vec<(usize, Vec<Unit>)>,
}

/// What the search found.
pub struct Outcome {
    pub points: Vec<(Objectives, Found)>,
    pub proof: Proof,
    pub looked_at: u64,
    /// Sorts left out because another covers them, summed over the classes of rate.
    pub covered: usize,
}

/// Searches a space under limits.
pub fn search(space: &Space, limits: &Limits) -> Outcome {
    let mut run = Run { space, limits, front: Front::default(), looked_at: 0, joined: 0, formed: false, cut: None };
    let classes = class::classes(space, limits);
    let widest = classes.iter().map(|c| c.choices.len()).max().unwrap_or(0);
    for size in 1..=widest {
        if size > SUPPORT_MOST || run.cut.is_some() {
            run.cut = run.cut.or(Some(size - 1));
            break;
        }
        run.formed = false;
        for class in &classes {
            run.extend(class, size, 0, &mut Vec::new());
        }
        if !run.formed {
            // Every larger support holds one of this size, and all of these clash.
            break;
        }
    }
    let proof = run.cut.map_or(Proof::Complete, |different| Proof::UpTo { different });
    let covered = classes.iter().map(|c| c.covered).sum();
    Outcome { points: run.front.into_sorted(), proof, looked_at: run.looked_at, covered }
}

pub(super) struct Run<'a> {
    pub(super) space: &'a Space<'a>,
    limits: &'a Limits,
    pub(super) front: Front<Found>,
    pub(super) looked_at: u64,
    /// Steps that joining sockets took.
    joined: u64,
    /// Was there any support of this size that does not clash?
    formed: bool,
    /// Largest support size that was searched whole, where a larger one was not.
    cut: Option<usize>,
}

impl Run<'_> {
    fn extend(&mut self, class: &Class, size: usize, from: usize, picked: &mut Vec<usize>) {
        let own = &class.choices;
        if picked.len() == size {
            self.formed = true;
            let left_out = |c: &usize| self.limits.keep_all && own[*c].installed > 0 && !picked.contains(c);
            // Without a binding sort the same arrangements were seen at a higher rate.
            if picked.iter().any(|p| class.binding[*p]) && !(0..own.len()).any(|c| left_out(&c)) {
                if size > PAIR && self.looked_at + self.joined >= BUDGET {
                    return self.cut_at(size);
                }
                self.support(class.rate, picked.iter().map(|p| &own[*p]).collect());
            }
            return;
        }
        for next in from..own.len() {
            if self.cut.is_some_and(|c| c < size) {
                return;
            }
            picked.push(next);
            let sorts: Vec<u16> = picked.iter().map(|p| own[*p].sort as u16).collect();
            if !prune::clash(self.space, &sorts) {
                self.extend(class, size, next + 1, picked);
            }
            picked.pop();
        }
    }

    fn support(&mut self, rate: DataRate, picked: Vec<&Choice>) {
        let size = picked.len();
        let support = Support::new(self.space, rate, picked);
        let ceiling = bound::ceiling(&support);
        let mut live: Vec<(usize, Vec<usize>)> = Vec::new();
        let mut totals = vec![0usize; size];
        let mut seen = 0;
        self.each_total(&support, &mut totals, 0, (self.space.slots(), 0, 0), &mut |totals, n| {
            seen += 1;
            if self.stands(&support, totals, ceiling[n]) {
                live.push((cell(&support, totals), totals.to_vec()));
            }
        });
        let useful = bound::refine(&support, &mut live, |totals, mbs| self.stands(&support, totals, mbs));
        self.looked_at += seen;
        if live.is_empty() {
            return;
        }
        let mut tables: Vec<Rc<Table>> = Vec::new();
        for (f, frame) in self.space.frames.iter().enumerate() {
            let table = if frame.like < f {
                tables[frame.like].clone()
            } else {
                let table = Rc::new(support.table(
                    frame,
                    &useful[f],
                    if size > PAIR { BUDGET.saturating_sub(self.looked_at + self.joined) } else { BUDGET_PAIR },
                ));
                self.looked_at += table.looked_at;
                if !table.complete {
                    self.cut_at(size);
                }
                table
            };
            tables.push(table);
        }
        self.combine(&support, &tables, &live);
    }

    /// Could a total stand beside the front at this bandwidth?
    fn stands(&self, support: &Support, totals: &[usize], mbs: u64) -> bool {
        self.objectives(support, totals, mbs, None).is_some_and(|o| !self.front.covers(&o))
    }

    /// Every total with at least one of each sort, as far as slots, budget and capacity reach. `used`: slots left,
    /// price and MiB so far.
    fn each_total(
        &self,
        support: &Support,
        totals: &mut Vec<usize>,
        from: usize,
        used: (usize, i64, u64),
        each: &mut impl FnMut(&[usize], usize),
    ) {
        let (left, price, mib) = used;
        if from == totals.len() {
            each(totals, totals.iter().sum());
            return;
        }
        let rest = totals.len() - from - 1;
        let choice = support.choices[from];
        for n in 1..=choice.most().min(left.saturating_sub(rest)) {
            let price = price.saturating_add(choice.prices[n]);
            let mib = mib + choice.sample.capacity.mib() * n as u64;
            let over = self.limits.budget.is_some_and(|b| price > b)
                || (self.usable_is_raw() && self.limits.most.is_some_and(|m| mib > m.mib()));
            if over {
                break;
            }
            totals[from] = n;
            self.each_total(support, totals, from + 1, (left - n, price, mib), each);
        }
        totals[from] = 0;
    }

    pub(super) fn cut_at(&mut self, size: usize) {
        self.cut = Some(self.cut.map_or(size - 1, |c| c.min(size - 1)));
    }

    /// The measures of a total at a bandwidth; `None` where a limit of the need forbids it. `usable` where it is known.
    pub(super) fn objectives(
        &self,
        support: &Support,
        totals: &[usize],
        mbs: u64,
        usable: Option<u64>,
    ) -> Option<Objectives> {
        let n: usize = totals.iter().sum();
        let free = self.space.slots().checked_sub(n)?;
        let mut price = 0i64;
        let mut bought = 0;
        let mut raw = 0u64;
        for (choice, count) in support.choices.iter().zip(totals) {
            if self.limits.keep_all && *count < choice.installed {
                return None;
            }
            price = price.saturating_add(*choice.prices.get(*count)?);
            bought += choice.bought(*count);
            raw += choice.sample.capacity.mib() * *count as u64;
        }
        // Without a figure the raw capacity bounds it from above.
        let exact = usable.is_some() || self.usable_is_raw();
        let usable = Capacity::from_mib(usable.unwrap_or(raw));
        let limits = self.limits;
        let forbidden = free < usize::from(limits.free)
            || limits.budget.is_some_and(|b| price > b)
            || limits.least.is_some_and(|l| usable < l)
            || limits.bandwidth.is_some_and(|b| mbs < b.mbs())
            || (exact && limits.most.is_some_and(|m| usable > m));
        if forbidden {
            return None;
        }
        Some(Objectives {
            price,
            usable,
            bandwidth: Bandwidth::from_mbs(mbs),
            rate: support.rate,
            free: free as u16,
            bought: bought as u16,
        })
    }

    /// Does the mode leave all capacity usable?
    fn usable_is_raw(&self) -> bool {
        let need = self.space.need;
        need.board.mode(&need.mode).is_none_or(|m| m.usable == domain::board::Usable::All)
    }

    /// Joins the sockets' arrangements to totals and puts what is worth having into the front.
    fn combine(&mut self, support: &Support, tables: &[Rc<Table>], live: &[(usize, Vec<usize>)]) {
        let size = support.choices.len();
        let mut links = Links::default();
        // More of a sort than any live total has is of no use on the way there.
        let most: Vec<usize> = (0..size).map(|t| live.iter().map(|l| l.1[t]).max().unwrap_or(0)).collect();
        let most = pack(&most);
        let Some((last, before)) = tables.split_last() else { return };
        let mut heads = Heads::new(support);
        *heads.at(0) = links.start();
        for table in before {
            let mut next = Heads::new(support);
            let filled = heads.filled();
            if !self.affords(size, filled.len() * table.entries.len()) {
                return;
            }
            for from in filled {
                let (base, head) = (pack(&split(support, from)), heads.get(from));
                for (e, entry) in table.entries.iter().enumerate() {
                    if is_within(base + entry.packed, most) {
                        links.join(head, e, entry, next.at(from + entry.at));
                    }
                }
            }
            heads = next;
        }
        if !self.affords(size, live.len() * last.entries.len()) {
            return;
        }
        for (cell, totals) in live {
            let mut head = NONE;
            let whole = pack(totals);
            for (e, entry) in last.entries.iter().enumerate() {
                if is_within(entry.packed, whole) {
                    links.join(heads.get(cell - entry.at), e, entry, &mut head);
                }
            }
            if head != NONE {
                self.offer(support, tables, &links, *cell, head);
            }
        }
    }

    /// Takes the work of trying so many pairs of ways and entries from the budget; `false` where it is more than is left.
    fn affords(&mut self, size: usize, pairs: usize) -> bool {
        let spent = self.joined + pairs as u64 / PAIRS_A_STEP;
        if size > PAIR && self.looked_at + spent > BUDGET {
            self.cut_at(size);
            return false;
        }
        self.joined = spent;
        true
    }

    fn offer(&mut self, support: &Support, tables: &[Rc<Table>], links: &Links, cell: usize, head: u32) {
        let totals = split(support, cell);
        if totals.contains(&0) {
            return;
        }
        let mut link = head;
        let mut searched = false;
        while link != NONE {
            let way = links.way(link);
            link = way.next;
            let Some(objectives) = self.objectives(support, &totals, way.mbs, Some(way.usable)) else {
                continue;
            };
            if self.front.covers(&objectives) {
                continue;
            }
            let rooms = chain(self.space, support, tables, links, way);
            match self.verdict(&rooms) {
                Verdict::Fine => self.keep(support, &totals, objectives, rooms),
                Verdict::NeverFine => return,
                Verdict::Perhaps if searched => {}
                Verdict::Perhaps => {
                    searched = true;
                    self.exhaust(support, &totals);
                }
            }
        }
    }

    pub(super) fn keep(&mut self, support: &Support, totals: &[usize], objectives: Objectives, rooms: Rooms) {
        let units = support.choices.iter().zip(totals).map(|(c, n)| (c.sort, c.units[..*n].to_vec())).collect();
        self.front.insert(objectives, Found { rate: support.rate, rooms, units });
    }

    /// What the rules that see the whole machine say of an arrangement.
    pub(super) fn verdict(&self, rooms: &Rooms) -> Verdict {
        let build = build(self.space, rooms);
        if is_wrong(&build, |scope, monotone| scope == Scope::Machine && monotone) {
            Verdict::NeverFine
        } else if is_wrong(&build, |scope, monotone| scope == Scope::Machine && !monotone) {
            Verdict::Perhaps
        } else {
            Verdict::Fine
        }
    }
}

pub(super) type Rooms = Vec<(usize, Vec<Rc<Content>>)>;

pub(super) enum Verdict {
    Fine,
    /// Wrong however these modules are arranged.
    NeverFine,
    /// Wrong as arranged here.
    Perhaps,
}

/// The build that rooms stand for, with samples for modules.
pub fn build(space: &Space, rooms: &[(usize, Vec<Rc<Content>>)]) -> Build {
    let mut build = space.base.clone();
    for (f, contents) in rooms {
        for (c, content) in contents.iter().enumerate() {
            space.write(&mut build, &space.frames[*f], c, content);
        }
    }
    build
}

fn chain(space: &Space, support: &Support, tables: &[Rc<Table>], links: &Links, way: Link) -> Rooms {
    let mut rooms = Vec::new();
    let mut link = way;
    for f in (0..tables.len()).rev() {
        let entry = &tables[f].entries[link.entry as usize];
        rooms.push((f, support.contents(&space.frames[f], entry)));
        link = links.way(link.before);
    }
    rooms.reverse();
    rooms
}
