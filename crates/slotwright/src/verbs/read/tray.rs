//! Several modules as one tray: what they show together, and their sums.

use super::found;
use super::view::{ItemView, SignView};
use super::{Content, Piece};
use domain::reading::Weight;
use engine::screen::{self, Given, Today};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// A tray summed up.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct TrayView {
    /// Modules in all, quantities counted.
    pub modules: u32,
    /// Of those whose capacity is known; without non-volatile ones.
    pub capacity_mib: u64,
    /// Modules alike in generation, kind, capacity and rate.
    pub groups: Vec<GroupView>,
    /// Items with a sign to reject them.
    pub rejects: usize,
    /// Items with a sign to look at closely, and none to reject them; signs shown together count.
    pub suspects: usize,
    /// The other items.
    pub clean: usize,
    /// Serials that stand more than once.
    pub repeated_serials: usize,
    /// Part numbers whose modules are not of one make.
    pub mixed_lots: usize,
    /// What several modules show together, heaviest first.
    pub together: Vec<SharedView>,
    /// Was a tray asked for, so that its table is shown?
    #[serde(skip)]
    pub shown: bool,
}

/// Modules alike.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GroupView {
    pub generation: Option<String>,
    pub kind: Option<String>,
    pub capacity_mib: Option<u64>,
    pub data_rate_mts: Option<u32>,
    pub modules: u32,
}

/// A sign that several modules show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SharedView {
    /// Places in `items`, from 0.
    pub items: Vec<usize>,
    pub finding: SignView,
}

/// Screens the modules among the pieces together; `None` where there are fewer than two and no tray is asked for.
pub fn screen(pieces: &[Piece], asked: bool, today: Today) -> Option<TrayView> {
    let (places, modules): (Vec<usize>, Vec<Vec<Given>>) = pieces
        .iter()
        .enumerate()
        .filter_map(|(i, p)| match &p.content {
            Content::Module(given, _) => Some((i, given.clone())),
            Content::Machine(_) | Content::Errors(_) => None,
        })
        .unzip();
    if modules.is_empty() || (modules.len() < 2 && !asked) {
        return None;
    }
    let together: Vec<SharedView> = screen::tray(&modules, today)
        .together
        .iter()
        .map(|shared| SharedView {
            items: shared.members.iter().filter_map(|m| places.get(*m).copied()).collect(),
            finding: found::sign(&shared.sign, &[]),
        })
        .collect();
    let named = |names: &[&str]| together.iter().filter(|t| names.contains(&t.finding.name.as_str())).count();
    Some(TrayView {
        modules: 0,
        capacity_mib: 0,
        groups: Vec::new(),
        rejects: 0,
        suspects: 0,
        clean: 0,
        repeated_serials: named(&["module-repeated", "serial-repeated"]),
        mixed_lots: named(&[
            "lot-unlike-in-contents",
            "lot-of-mixed-dram",
            "lot-of-mixed-registers",
            "lot-of-mixed-raw-cards",
        ]),
        together,
        shown: asked,
    })
}

impl TrayView {
    /// With the sums over the items.
    pub fn with(mut self, items: &[ItemView]) -> Self {
        let mut groups: BTreeMap<_, u32> = BTreeMap::new();
        for (i, item) in items.iter().enumerate() {
            let Some(module) = &item.module else { continue };
            self.modules = self.modules.saturating_add(item.quantity);
            if module.kind.as_deref() != Some(domain::Kind::Nonvolatile.name()) {
                let all = module.capacity_mib.unwrap_or(0).saturating_mul(u64::from(item.quantity));
                self.capacity_mib = self.capacity_mib.saturating_add(all);
            }
            let key = (module.generation.clone(), module.kind.clone(), module.capacity_mib, module.data_rate_mts);
            *groups.entry(key).or_default() += item.quantity;
            match self.heaviest(i, item).as_deref() {
                Some(w) if w == Weight::Reject.word() => self.rejects += 1,
                Some(w) if w == Weight::Suspect.word() => self.suspects += 1,
                _ => self.clean += 1,
            }
        }
        self.groups = groups
            .into_iter()
            .map(|((generation, kind, capacity_mib, data_rate_mts), modules)| GroupView {
                generation,
                kind,
                capacity_mib,
                data_rate_mts,
                modules,
            })
            .collect();
        self
    }

    /// The heaviest weight of an item's own signs and of those that it shares.
    pub fn heaviest(&self, place: usize, item: &ItemView) -> Option<String> {
        let shared = self.together.iter().filter(|t| t.items.contains(&place)).map(|t| &t.finding);
        let weights: Vec<&str> = item.findings.iter().chain(shared).map(|f| f.weight.as_str()).collect();
        let order = [Weight::Reject, Weight::Suspect, Weight::Note];
        order.iter().map(|w| w.word()).find(|w| weights.contains(w)).map(str::to_string)
    }
}
