//! What can be had, grouped into sorts: modules that no rule and no figure can tell apart, cheapest unit first.

use domain::board::Board;
use domain::finding::Severity;
use domain::module::{Generation, Organisation};
use domain::quantity::{DieDensity, Height, Voltage, Watts};
use domain::stock::Condition;
use domain::{Capacity, DataRate, Kind, Module, Money, Need, SlotIndex};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where one unit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnitSource {
    Installed(Option<SlotIndex>),
    Lot(usize),
}

/// One module that can be used.
#[derive(Debug, Clone)]
pub struct Unit {
    pub module: Arc<Module>,
    pub source: UnitSource,
    pub condition: Condition,
    pub each: Money,
}

impl Unit {
    /// Is it new to the machine?
    pub fn bought(&self) -> bool {
        matches!(self.source, UnitSource::Lot(_))
    }
}

/// What tells modules apart on this board, the rate bin left out (classes of rate see to that) unless the board
/// forbids mixing bins.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct SortKey {
    generation: Generation,
    kind: Kind,
    capacity: Capacity,
    organisation: (u8, u8, u8, bool),
    voltage: Voltage,
    ecc_bits: Option<Option<u8>>,
    density: Option<Option<DieDensity>>,
    watts: Option<Option<Watts>>,
    height: Option<Option<Height>>,
    rate: Option<DataRate>,
}

fn key(need: &Need, module: &Module) -> SortKey {
    let board: &Board = &need.board;
    let o: Organisation = module.organisation;
    let forbids = |r: &Option<domain::board::Ruling<bool>>| r.as_ref().is_some_and(|r| r.severity == Severity::Wrong);
    let limits = &board.limits;
    let needs_density = board.firmware.iter().any(|f| matches!(f.reason, domain::board::FirmwareReason::Density(_)));
    let mode_sees_ecc = board.mode(&need.mode).is_some_and(|m| m.ecc_bits.is_some());
    let sees_ecc = board.ecc_required || forbids(&board.mixing.ecc_bits) || mode_sees_ecc;
    let sees_watts = limits.slot_watts.is_some() || limits.memory_watts.is_some();
    let sees_height = limits.height.is_some()
        || limits.height_under_heat_sink.is_some()
        || board.slots.iter().any(|s| s.height_most.is_some());
    SortKey {
        generation: module.generation,
        kind: module.kind,
        capacity: module.capacity,
        organisation: (o.package_ranks, o.width, o.stack, o.dual_die),
        voltage: module.voltage,
        ecc_bits: sees_ecc.then_some(module.ecc_bits),
        density: (forbids(&board.mixing.densities) || needs_density).then_some(module.die_density),
        watts: sees_watts.then_some(module.watts),
        height: sees_height.then_some(module.height),
        rate: forbids(&board.mixing.rates).then_some(module.rate),
    }
}

/// Like modules, whatever their bin.
#[derive(Debug, Clone)]
pub struct Sort {
    /// Installed ones first, then by price.
    pub units: Vec<Unit>,
}

/// A sort as one class of rate has it: only units that are fast enough.
#[derive(Debug, Clone)]
pub struct Choice {
    /// Its place among all sorts.
    pub sort: usize,
    pub sample: Arc<Module>,
    pub units: Vec<Unit>,
    /// `prices[n]` = what the cheapest `n` units cost.
    pub prices: Vec<i64>,
    /// How many of its units are installed.
    pub installed: usize,
}

impl Choice {
    /// Units that can be had, at most as many as the machine has slots.
    pub fn most(&self) -> usize {
        self.units.len()
    }
    /// Units among the cheapest `n` that are new to the machine.
    pub fn bought(&self, n: usize) -> usize {
        n.saturating_sub(self.installed)
    }
}

/// All sorts of a need, each with at most `slots` units; non-volatile modules are left out.
pub fn sorts(need: &Need, slots: usize) -> Vec<Sort> {
    let currency = need.lots.first().map(|l| l.each.currency());
    let zero = currency.or(need.budget.map(|b| b.currency())).or(domain::Currency::parse("EUR"));
    let mut by_key: BTreeMap<SortKey, Vec<Unit>> = BTreeMap::new();
    let mut put = |unit: Unit, n: usize| {
        if n > 0 && unit.module.kind != Kind::Nonvolatile {
            let list = by_key.entry(key(need, &unit.module)).or_default();
            list.extend(std::iter::repeat_n(unit, n));
        }
    };
    if let Some(currency) = zero {
        let each = Money::from_minor(0, currency);
        let installed = |module: &Arc<Module>, slot| Unit {
            module: module.clone(),
            source: UnitSource::Installed(slot),
            condition: Condition::Installed,
            each,
        };
        for (slot, module) in &need.installed {
            put(installed(module, Some(*slot)), 1);
        }
        for module in &need.loose {
            put(installed(module, None), 1);
        }
    }
    for (i, lot) in need.lots.iter().enumerate() {
        let n = lot.count.map_or(slots, |c| (c / need.machines.max(1)) as usize).min(slots);
        let unit =
            Unit { module: lot.module.clone(), source: UnitSource::Lot(i), condition: lot.condition, each: lot.each };
        put(unit, n);
    }
    by_key
        .into_values()
        .map(|mut units| {
            units.sort_by_key(|u| (u.bought(), u.each.minor(), u.source));
            Sort { units }
        })
        .collect()
}

/// The sorts that a class of rate has, where all installed modules that must stay are fast enough; else `None`.
pub fn choices(sorts: &[Sort], rate: DataRate, slots: usize, keep_all: bool) -> Option<Vec<Choice>> {
    let mut found = Vec::new();
    for (i, sort) in sorts.iter().enumerate() {
        let fast: Vec<Unit> = sort.units.iter().filter(|u| u.module.rate >= rate).take(slots).cloned().collect();
        if keep_all && sort.units.iter().any(|u| !u.bought() && u.module.rate < rate) {
            return None;
        }
        let Some(first) = fast.first() else { continue };
        let mut prices = vec![0i64];
        for unit in &fast {
            prices.push(prices[prices.len() - 1].saturating_add(unit.each.minor()));
        }
        found.push(Choice {
            sort: i,
            sample: first.module.clone(),
            installed: fast.iter().filter(|u| !u.bought()).count(),
            prices,
            units: fast,
        });
    }
    Some(found)
}
