//! The machine as the search sees it: sockets with their channels, which of them are alike, and what a channel takes.

use super::offers::Sort;
use crate::bandwidth;
use crate::interleave::SetTable;
use crate::rate;
use crate::rules::{self, Scope};
use crate::scene::Scene;
use domain::finding::Severity;
use domain::processor::Processor;
use domain::{Build, Kind, Module, Need, SlotIndex};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;
use std::sync::Arc;

/// Channels that may be swapped without any figure or rule noticing.
#[derive(Debug, Clone)]
pub struct Symmetry {
    /// Channel numbers, block by block.
    pub blocks: Vec<Vec<usize>>,
    /// May this block be swapped with the one before it?
    pub like_last_block: Vec<bool>,
    /// May this channel of a block be swapped with the one before it, in every block alike?
    pub like_last_inside: Vec<bool>,
}

/// One socket with a processor.
#[derive(Debug)]
pub struct Frame {
    pub socket: u8,
    pub processor: Arc<Processor>,
    pub table: SetTable,
    /// Slots of each channel, in order of channel number.
    pub channels: Vec<Vec<SlotIndex>>,
    /// The class of each channel: alike in slots, heights and what is fixed in them.
    pub classes: Vec<usize>,
    pub symmetry: Symmetry,
    /// The first frame that is like this one.
    pub like: usize,
    /// Slots that the search may fill.
    pub slots: usize,
}

/// What a set of modules in one channel comes to.
#[derive(Debug)]
pub struct Content {
    /// Sorts in it, ascending.
    pub sorts: Vec<u16>,
    /// Which sort goes to which position; `None` stays empty or fixed.
    pub placed: Vec<Option<u16>>,
    pub mib: u64,
    pub factor: f64,
    /// The rate that processor and board allow it, in MT/s.
    pub limit: u32,
    /// Usable MiB under the mode, where the mode works channel by channel.
    pub usable: u64,
}

type ContentKey = (usize, Vec<u16>);

/// The search space of a need.
#[derive(Debug)]
pub struct Space<'a> {
    pub need: &'a Need,
    pub base: Build,
    pub frames: Vec<Frame>,
    pub sorts: Vec<Sort>,
    /// A channel of each class: (frame, channel).
    class_samples: Vec<(usize, usize)>,
    /// Does the mode ask for channels that are filled alike, position by position?
    pub sees_positions: bool,
    contents: RefCell<HashMap<ContentKey, Rc<[Rc<Content>]>>>,
}

/// Does any rule of these scopes find this build wrong?
pub fn is_wrong(build: &Build, wanted: impl Fn(Scope, bool) -> bool) -> bool {
    let scene = Scene::new(build);
    let mut found = Vec::new();
    rules::ALL.iter().filter(|r| r.severity == Severity::Wrong && wanted(r.scope, r.monotone)).any(|rule| {
        found.clear();
        (rule.check)(&scene, &mut found);
        found.iter().any(|f| f.severity == Severity::Wrong)
    })
}

/// The build that stays whatever is planned: processors, mode, and non-volatile modules in their slots.
pub fn base(need: &Need) -> Build {
    let mut base = Build::empty(need.board.clone(), need.processors.clone(), need.mode.clone());
    base.numa.clone_from(&need.numa);
    base.firmware.clone_from(&need.firmware);
    for (slot, module) in &need.installed {
        if module.kind == Kind::Nonvolatile
            && let Some(place) = base.slots.get_mut(slot.at())
        {
            *place = Some(module.clone());
        }
    }
    base
}

impl<'a> Space<'a> {
    /// Lays a need out.
    pub fn new(need: &'a Need) -> Self {
        let base = base(need);
        let board = need.board.clone();
        let mut class_keys: Vec<(String, Vec<String>)> = Vec::new();
        let mut class_samples = Vec::new();
        let mut frames: Vec<Frame> = Vec::new();
        for (s, socket) in board.sockets.iter().enumerate() {
            let Some(processor) = need.processors.get(s).cloned().flatten() else {
                continue;
            };
            let channels: Vec<Vec<SlotIndex>> = socket.channels().map(|(_, _, slots)| slots.to_vec()).collect();
            let mut classes = Vec::new();
            for (c, slots) in channels.iter().enumerate() {
                let shape = slots.iter().map(|i| slot_shape(&base, *i)).collect();
                let key = (processor.id.0.clone(), shape);
                let class = class_keys.iter().position(|k| *k == key).unwrap_or_else(|| {
                    class_keys.push(key);
                    class_samples.push((frames.len(), c));
                    class_keys.len() - 1
                });
                classes.push(class);
            }
            let slots = channels.iter().flatten().filter(|i| base.slots[i.at()].is_none()).count();
            let table = SetTable::new(&processor);
            let symmetry = symmetry(need, &processor, &table, &classes);
            let particular = board.charts.iter().any(|c| c.socket.is_some());
            let like = frames
                .iter()
                .position(|f| !particular && f.processor == processor && f.classes == classes)
                .unwrap_or(frames.len());
            frames.push(Frame { socket: s as u8, processor, table, channels, classes, symmetry, like, slots });
        }
        let slots = frames.iter().map(|f| f.slots).sum();
        let sorts = super::offers::sorts(need, slots);
        let sees_positions = board.mode(&need.mode).is_some_and(|m| !m.alike.is_empty());
        Self { need, base, frames, sorts, class_samples, sees_positions, contents: RefCell::default() }
    }

    /// Slots that the search may fill.
    pub fn slots(&self) -> usize {
        self.frames.iter().map(|f| f.slots).sum()
    }

    /// A module of a sort.
    pub fn sample(&self, sort: u16) -> &Arc<Module> {
        &self.sorts[usize::from(sort)].units[0].module
    }

    /// What a channel of a class makes of these sorts; `None` where no placing of them trains.
    pub fn content(&self, class: usize, sorts: &[u16]) -> Option<Rc<Content>> {
        self.contents(class, sorts).first().cloned()
    }

    /// The same with every placing that trains, the most usual first, where the mode sees positions; else at most one.
    pub fn contents(&self, class: usize, sorts: &[u16]) -> Rc<[Rc<Content>]> {
        let key = (class, sorts.to_vec());
        if let Some(known) = self.contents.borrow().get(&key) {
            return known.clone();
        }
        let worked: Rc<[Rc<Content>]> = self.work_out(class, sorts).into_iter().map(Rc::new).collect();
        self.contents.borrow_mut().insert(key, worked.clone());
        worked
    }

    /// Is there a slot that takes a module of this sort, as far as rules of one slot see?
    pub fn ever_fits(&self, sort: u16) -> bool {
        let mut build = self.base.clone();
        self.class_samples.iter().flat_map(|(f, c)| self.frames[*f].channels[*c].iter()).any(|slot| {
            build.slots.iter_mut().for_each(|s| *s = None);
            build.slots[slot.at()] = Some(self.sample(sort).clone());
            self.base.slots[slot.at()].is_none() && !is_wrong(&build, |scope, _| scope == Scope::Slot)
        })
    }

    fn work_out(&self, class: usize, sorts: &[u16]) -> Vec<Content> {
        let (f, c) = self.class_samples[class];
        let frame = &self.frames[f];
        let open: Vec<bool> = frame.channels[c].iter().map(|i| self.base.slots[i.at()].is_none()).collect();
        let mut found: Vec<Content> = Vec::new();
        let mut build = self.base.clone();
        build.slots.iter_mut().for_each(|s| *s = None);
        for placed in placings(sorts, &open, &self.sorts) {
            for (position, sort) in placed.iter().enumerate() {
                let slot = frame.channels[c][position].at();
                build.slots[slot] = match sort {
                    Some(s) => Some(self.sample(*s).clone()),
                    None => self.base.slots[slot].clone(),
                };
            }
            if is_wrong(&build, |scope, _| scope <= Scope::Channel) {
                continue;
            }
            let scene = Scene::new(&build);
            let Some(socket) = scene.sockets.iter().find(|s| s.index == frame.socket) else { continue };
            let channel = &socket.channels[c];
            let limit = channel
                .dram()
                .map(|(_, m)| rate::module_limit(&frame.processor, scene.board, m, channel.count()))
                .try_fold(u32::MAX, |least, limit| limit.map(|l| l.mts().min(least)));
            let Some(limit) = limit else { continue };
            found.push(Content {
                sorts: sorts.to_vec(),
                placed,
                mib: channel.capacity().mib(),
                factor: bandwidth::channel_factor(&frame.processor.bandwidth, channel.logical_ranks(), channel.count()),
                limit,
                usable: crate::usable::socket(socket, crate::usable::rule(&scene)).mib(),
            });
            if !self.sees_positions {
                break;
            }
        }
        found
    }

    /// Writes a channel's content into a build, with samples standing for the modules.
    pub fn write(&self, build: &mut Build, frame: &Frame, channel: usize, content: &Content) {
        for (position, sort) in content.placed.iter().enumerate() {
            if let Some(sort) = sort {
                build.slots[frame.channels[channel][position].at()] = Some(self.sample(*sort).clone());
            }
        }
    }
}

fn slot_shape(base: &Build, index: SlotIndex) -> String {
    let slot = base.board.slot(index);
    let fixed = base.slots[index.at()].as_ref().map(|m| m.id.0.clone());
    format!("{:?} {} {:?}", slot.height_most, slot.under_heat_sink, fixed)
}

/// Every way to put sorts into the open positions of a channel, the most usual first: no gaps, larger modules and
/// more ranks farthest from the processor.
fn placings(sorts: &[u16], open: &[bool], samples: &[Sort]) -> Vec<Vec<Option<u16>>> {
    let sample = |s: u16| &samples[usize::from(s)].units[0].module;
    let places: Vec<usize> = (0..open.len()).filter(|i| open[*i]).collect();
    let mut found = Vec::new();
    if sorts.len() > places.len() {
        return found;
    }
    let mut row: Vec<Option<u16>> = vec![None; open.len()];
    put(sorts, 0, &places, &mut row, &mut found);
    let unusual = |row: &Vec<Option<u16>>| {
        let gap = places.iter().map(|p| row[*p]).collect::<Vec<_>>();
        let gaps = gap.windows(2).filter(|w| w[0].is_none() && w[1].is_some()).count();
        let sizes: Vec<(u64, u8)> =
            row.iter().flatten().map(|s| (sample(*s).capacity.mib(), sample(*s).organisation.package_ranks)).collect();
        let climbs = sizes.windows(2).filter(|w| w[0] < w[1]).count();
        (gaps, climbs, row.iter().position(Option::is_none))
    };
    found.sort_by_key(|row| {
        let (gaps, climbs, first) = unusual(row);
        (gaps, climbs, std::cmp::Reverse(first))
    });
    found.dedup();
    found
}

fn put(sorts: &[u16], next: usize, places: &[usize], row: &mut Vec<Option<u16>>, found: &mut Vec<Vec<Option<u16>>>) {
    if next == sorts.len() {
        found.push(row.clone());
        return;
    }
    for place in places {
        if row[*place].is_none() {
            row[*place] = Some(sorts[next]);
            put(sorts, next + 1, places, row, found);
            row[*place] = None;
        }
    }
}

/// Finds swaps that leave the sets, the channel classes, the mode's groups and the NUMA nodes as they are.
fn symmetry(need: &Need, processor: &Processor, table: &SetTable, classes: &[usize]) -> Symmetry {
    let n = classes.len();
    let per = usize::from(processor.channels_per_controller.max(1));
    let groups: Vec<Vec<u8>> = need.board.mode(&need.mode).map(|m| m.alike.clone()).unwrap_or_default();
    let nodes: Vec<Vec<u8>> = need
        .numa
        .as_ref()
        .and_then(|name| processor.numa.iter().find(|m| m.name == *name))
        .map(|m| m.nodes.clone())
        .unwrap_or_default();
    let holds = |map: &[usize]| {
        (0..n).all(|c| classes[c] == classes[map[c]])
            && table.is_symmetry(map)
            && same_groups(&groups, map)
            && same_groups(&nodes, map)
    };
    let swap = |pairs: &[(usize, usize)]| {
        let mut map: Vec<usize> = (0..n).collect();
        for (a, b) in pairs {
            map.swap(*a, *b);
        }
        map
    };
    let controllers = n / per;
    let rows: Vec<Vec<usize>> = (0..controllers).map(|c| (c * per..(c + 1) * per).collect()).collect();
    let columns: Vec<Vec<usize>> = (0..per).map(|h| (0..controllers).map(|c| c * per + h).collect()).collect();
    let described = |blocks: Vec<Vec<usize>>| {
        let like_last_block = (0..blocks.len())
            .map(|b| {
                b > 0 && {
                    let pairs: Vec<_> = blocks[b - 1].iter().copied().zip(blocks[b].iter().copied()).collect();
                    holds(&swap(&pairs))
                }
            })
            .collect();
        let longest = blocks.first().map_or(0, Vec::len);
        let like_last_inside =
            (0..longest).map(|i| i > 0 && blocks.iter().all(|b| holds(&swap(&[(b[i - 1], b[i])])))).collect();
        Symmetry { blocks, like_last_block, like_last_inside }
    };
    if controllers * per != n {
        return described((0..n).map(|c| vec![c]).collect());
    }
    let weight = |s: &Symmetry| {
        let inside = s.like_last_inside.iter().filter(|l| **l).count() * s.blocks.len();
        inside + s.like_last_block.iter().filter(|l| **l).count()
    };
    let (by_row, by_column) = (described(rows), described(columns));
    if weight(&by_column) > weight(&by_row) { by_column } else { by_row }
}

fn same_groups(groups: &[Vec<u8>], map: &[usize]) -> bool {
    let sorted = |mut g: Vec<usize>| {
        g.sort_unstable();
        g
    };
    let all: Vec<Vec<usize>> = groups.iter().map(|g| sorted(g.iter().map(|c| usize::from(*c)).collect())).collect();
    all.iter().all(|g| {
        let moved = sorted(g.iter().map(|c| map.get(*c).copied().unwrap_or(*c)).collect());
        all.contains(&moved)
    })
}
