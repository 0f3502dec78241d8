//! The planner's answer by trying every assignment of modules to slots.

use domain::need::Keep;
use domain::{Build, Finding, Module, Need, Severity};
use engine::Scene;
use engine::plan::Objectives;
use std::collections::BTreeSet;
use std::sync::Arc;

/// One kind of thing that can go into a slot.
struct Item {
    module: Arc<Module>,
    price: i64,
    bought: bool,
    most: usize,
    /// How many must be used.
    least: usize,
}

fn items(need: &Need) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let present = need.installed.iter().map(|(_, m)| m).chain(&need.loose);
    for module in present {
        let keep = usize::from(need.keep == Keep::All);
        match items.iter_mut().find(|i| i.module == *module) {
            Some(item) => {
                item.most += 1;
                item.least += keep;
            }
            None => items.push(Item { module: module.clone(), price: 0, bought: false, most: 1, least: keep }),
        }
    }
    for lot in &need.lots {
        let most = lot.count.map_or(usize::MAX, |c| (c / need.machines) as usize);
        items.push(Item { module: lot.module.clone(), price: lot.each.minor(), bought: true, most, least: 0 });
    }
    items
}

/// What a build comes to, where it meets the need; the rules are not asked yet.
fn vector(need: &Need, scene: &Scene, price: i64, bought: u16) -> Option<Objectives> {
    let rate = engine::rate::machine_rate(scene)?;
    let (_, usable) = engine::usable::capacity(scene);
    let bandwidth = engine::bandwidth::machine(scene, rate).serial;
    let build = scene.build;
    let present = |s: &&domain::Slot| build.processors[usize::from(s.address.socket)].is_some();
    let slots = need.board.slots.iter().filter(present).count();
    let free = slots.checked_sub(build.filled().count())? as u16;
    let budget = need.budget.map(|b| b.minor() / i64::from(need.machines));
    let fits = need.capacity.least.is_none_or(|l| usable >= l)
        && need.capacity.most.is_none_or(|m| usable <= m)
        && budget.is_none_or(|b| price <= b)
        && need.bandwidth_least.is_none_or(|b| bandwidth >= b)
        && need.rate_least.is_none_or(|r| rate >= r)
        && free >= need.free_slots;
    fits.then_some(Objectives { price, usable, bandwidth, rate, free, bought })
}

fn is_valid(scene: &Scene) -> bool {
    let mut found: Vec<Finding> = Vec::new();
    for rule in engine::rules::ALL.iter().filter(|r| r.severity == Severity::Wrong) {
        (rule.check)(scene, &mut found);
    }
    found.iter().all(|f| f.severity != Severity::Wrong)
}

struct Try<'a> {
    need: &'a Need,
    items: Vec<Item>,
    used: Vec<usize>,
    build: Build,
    found: BTreeSet<Objectives>,
    tried: u64,
}

impl Try<'_> {
    fn step(&mut self, slot: usize, price: i64, bought: u16) {
        if slot == self.build.slots.len() {
            self.tried += 1;
            if self.items.iter().zip(&self.used).all(|(i, u)| *u >= i.least)
                && let scene = Scene::new(&self.build)
                && let Some(vector) = vector(self.need, &scene, price, bought)
                && !self.found.contains(&vector)
                && is_valid(&scene)
            {
                self.found.insert(vector);
            }
            return;
        }
        self.build.slots[slot] = None;
        self.step(slot + 1, price, bought);
        for i in 0..self.items.len() {
            if self.used[i] == self.items[i].most {
                continue;
            }
            self.used[i] += 1;
            self.build.slots[slot] = Some(self.items[i].module.clone());
            self.step(slot + 1, price + self.items[i].price, bought + u16::from(self.items[i].bought));
            self.build.slots[slot] = None;
            self.used[i] -= 1;
        }
    }
}

/// The front by trying everything, and how much that was.
pub fn front(need: &Need) -> (BTreeSet<Objectives>, u64) {
    let items = items(need);
    let mut build = Build::empty(need.board.clone(), need.processors.clone(), need.mode.clone());
    build.numa.clone_from(&need.numa);
    build.firmware.clone_from(&need.firmware);
    let used = vec![0; items.len()];
    let mut all = Try { need, items, used, build, found: BTreeSet::new(), tried: 0 };
    all.step(0, 0, 0);
    let found = all.found;
    let front = found.iter().filter(|o| !found.iter().any(|p| p != *o && p.covers(o))).copied().collect();
    (front, all.tried)
}
