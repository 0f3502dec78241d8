//! What is expected of a machine: from a planned build, or from an earlier snapshot of it.

use super::{Places, Where};
use crate::rate;
use crate::scene::Scene;
use domain::module::Kind;
use domain::reading::{Clocks, Maker, ModuleReading, Text};
use domain::snapshot::{ErrorController, ErrorCounts, SeenModule, SlotState};
use domain::{Build, Capacity, DataRate, Module, Snapshot};
use std::collections::BTreeMap;

/// What every slot should hold.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Expected {
    pub slots: Vec<ExpectedSlot>,
    /// Names of the sockets that should hold a processor; `None` where nothing was said of processors.
    pub processors: Option<Vec<String>>,
    /// Names of all sockets, by number; empty where they have none.
    pub sockets: Vec<String>,
    /// Is the plan itself such a report? Then what it does not tell of a module, that module does not tell.
    pub reported: bool,
    /// What an earlier report counted, where it counted.
    pub counted: Vec<ErrorController>,
}

/// One slot of the plan.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ExpectedSlot {
    pub name: String,
    /// Bank locator and handle, from an earlier snapshot.
    pub bank: Option<Text>,
    pub handle: Option<Text>,
    pub at: Option<Where>,
    pub module: Option<ExpectedModule>,
}

/// What a slot should hold, and how fast it should run.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ExpectedModule {
    pub reading: ModuleReading,
    pub nonvolatile: bool,
    pub running: Option<DataRate>,
}

impl Expected {
    /// Slots that should hold DRAM.
    pub fn modules(&self) -> impl Iterator<Item = &ExpectedModule> {
        self.slots.iter().filter_map(|s| s.module.as_ref()).filter(|m| !m.nonvolatile)
    }
    /// What they should sum up to.
    pub fn capacity(&self) -> Capacity {
        let mib = self.modules().filter_map(|m| m.reading.capacity).map(Capacity::mib);
        Capacity::from_mib(mib.fold(0, u64::saturating_add))
    }
    /// The rate that most modules should run at, the lower one of a tie.
    pub fn usual_rate(&self) -> Option<DataRate> {
        let mut counts: BTreeMap<DataRate, usize> = BTreeMap::new();
        self.modules().filter_map(|m| m.running).for_each(|r| *counts.entry(r).or_default() += 1);
        counts.into_iter().rev().max_by_key(|(_, n)| *n).map(|(r, _)| r)
    }
    /// The name of a socket in words.
    pub fn socket(&self, number: u8) -> String {
        match self.sockets.get(usize::from(number)) {
            Some(name) if !name.is_empty() => format!("socket {name}"),
            _ => format!("socket {number}"),
        }
    }
    /// What a planned build should show.
    pub fn build(build: &Build) -> Self {
        let running = rate::machine_rate(&Scene::new(build));
        let slots = build.board.indexed().map(|(index, slot)| ExpectedSlot {
            name: slot.label.clone(),
            at: Some(Where {
                socket: slot.address.socket,
                controller: Some(slot.address.controller),
                channel: slot.address.channel,
                position: Some(slot.address.position),
            }),
            module: build.slots.get(index.at()).and_then(Option::as_deref).map(|m| ExpectedModule {
                reading: reading(m),
                nonvolatile: m.kind == Kind::Nonvolatile,
                running,
            }),
            ..ExpectedSlot::default()
        });
        let names: Vec<String> = build.board.sockets.iter().map(|s| s.name.clone()).collect();
        let held = build.processors.iter().zip(&names).filter(|(p, _)| p.is_some()).map(|(_, n)| n.clone());
        Self {
            slots: slots.collect(),
            processors: Some(held.collect()),
            sockets: names,
            reported: false,
            counted: Vec::new(),
        }
    }
    /// What a machine should show that reported this before.
    pub fn snapshot(before: &Snapshot, places: &Places) -> Self {
        let slots = before.memory_slots().map(|slot| ExpectedSlot {
            name: slot.name.clone().into(),
            bank: slot.bank.clone(),
            handle: Some(slot.handle.clone()),
            at: places.get(&slot.handle).copied(),
            module: slot.module.as_ref().filter(|_| slot.state == SlotState::Filled).map(module),
        });
        let present = before.processors.iter().filter(|p| p.present == Some(true)).map(|p| p.name.trim().to_string());
        let told = before.processors.iter().any(|p| p.present.is_some());
        Self {
            slots: slots.collect(),
            processors: told.then(|| present.collect()),
            sockets: Vec::new(),
            reported: true,
            counted: match &before.errors {
                ErrorCounts::Read(controllers) => controllers.clone(),
                ErrorCounts::NotRead | ErrorCounts::NoDriver => Vec::new(),
            },
        }
    }
}

fn module(seen: &SeenModule) -> ExpectedModule {
    ExpectedModule {
        reading: seen.reading.clone(),
        nonvolatile: seen.nonvolatile,
        running: seen.running.map(|r| r.rate),
    }
}

fn reading(module: &Module) -> ModuleReading {
    ModuleReading {
        generation: Some(module.generation),
        kind: Some(module.kind),
        capacity: Some(module.capacity),
        package_ranks: Some(module.organisation.package_ranks),
        stack_height: Some(module.organisation.stack),
        dual_die: Some(module.organisation.dual_die),
        device_width: Some(module.organisation.width),
        ecc_bits: module.ecc_bits,
        die_density: module.die_density,
        rate: Some(module.rate),
        clocks: module.cas_latency.map(|c| Clocks { cas: c.into(), rcd: c.into(), rp: c.into() }),
        part_number: module.part_number.clone().map(Into::into),
        maker: module.maker.clone().map(|name| Maker { name: Some(name.into()), id: None }),
        label: Some(module.label.clone()),
        ..ModuleReading::default()
    }
}
