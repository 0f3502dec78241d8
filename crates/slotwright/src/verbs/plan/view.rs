//! Plans as data: what a search found, each plan with its build, its judgement, and what to take from where.

use crate::verbs::judgement::JudgementView;
use crate::verbs::modules::MoneyView;
use crate::verbs::need::NeedView;
use domain::{Condition, Need};
use engine::plan::{Objectives, Origin, Plan, PlanReport, Proof};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a need can be met with.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlansView {
    /// The need as it was understood.
    pub need: NeedView,
    /// The usable capacity that was planned for.
    pub window: WindowView,
    /// Populations worth having, in all.
    pub front_size: usize,
    /// How far the proof goes.
    pub proof: ProofView,
    /// Populations looked at.
    pub looked_at: u64,
    /// The few chosen for a person, at most seven, or the whole front where all were asked for.
    pub plans: Vec<PlanView>,
    /// Set where nothing fits.
    pub conflict: Option<ConflictView>,
}

/// A window of usable capacity.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct WindowView {
    pub least_mib: Option<u64>,
    pub most_mib: Option<u64>,
    /// How it came about, where 'about' had to be worked out.
    pub words: Option<String>,
}

/// How far the proof goes.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ProofView {
    /// Was every population searched or shown to be no better?
    pub complete: bool,
    /// Most different modules in the populations searched; null where complete.
    pub different: Option<usize>,
    pub words: String,
}

/// Why nothing fits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ConflictView {
    /// Limits that cannot hold together.
    pub limits: Vec<String>,
    /// The smallest change of each that lets something fit.
    pub changes: Vec<String>,
}

/// One population worth having.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlanView {
    /// Its number in this list, from 1.
    pub number: usize,
    pub build: BuildView,
    #[serde(flatten)]
    pub judgement: JudgementView,
    /// For one machine.
    pub price: MoneyView,
    /// For all machines of the need.
    pub price_all: MoneyView,
    pub objectives: ObjectivesView,
    /// Why it is worth having.
    pub why: Vec<String>,
    /// What it gains and loses against its neighbours.
    pub against: Vec<String>,
    /// What goes into each filled slot, and where it comes from.
    pub picks: Vec<PickView>,
    /// The picks that cost something, gathered by what they are.
    pub bill: Vec<BillLine>,
    /// Installed modules that are taken out of the machine.
    pub taken_out: Vec<TakenOutView>,
    /// Installed modules that go to another slot.
    pub moves: Vec<MoveView>,
}

/// A build, ready to be written to a build file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct BuildView {
    pub board: String,
    /// One a socket; null where the socket stays empty.
    pub processors: Vec<Option<String>>,
    pub mode: String,
    pub numa: Option<String>,
    pub firmware: Option<String>,
    /// Slot label → module label.
    pub slots: BTreeMap<String, String>,
}

/// What plans are compared by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ObjectivesView {
    pub price_minor: i64,
    pub usable_mib: u64,
    /// The serial bound, in MB/s.
    pub bandwidth_mbs: u64,
    pub data_rate_mts: u32,
    pub free_slots: u16,
    /// Modules that are new to the machine.
    pub bought: u16,
}

/// What goes into one slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PickView {
    pub slot: String,
    /// The module's label.
    pub module: String,
    /// `stays`, `moves`, `loose` or `lot`.
    pub origin: String,
    /// The slot that it was in, where it moves.
    pub from: Option<String>,
    /// `new`, `used` or `installed`.
    pub condition: String,
    /// The shop's bin, where the stock file names it.
    pub bin: Option<String>,
    pub each: MoneyView,
}

/// Like modules from one lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BillLine {
    /// Modules, for one machine.
    pub count: u32,
    pub module: String,
    pub short: String,
    pub condition: String,
    pub bin: Option<String>,
    pub each: MoneyView,
    pub sum: MoneyView,
}

/// A module that is taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TakenOutView {
    /// Its slot; null where it lay loose.
    pub slot: Option<String>,
    pub module: String,
}

/// A module that goes to another slot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MoveView {
    pub from: String,
    pub to: String,
    pub module: String,
}

/// The view of a report, with these plans numbered from `first`.
pub fn view(need: &Need, report: &PlanReport, first: usize, plans: &[Plan]) -> PlansView {
    PlansView {
        need: NeedView::new(need),
        window: WindowView {
            least_mib: report.window.0.map(|c| c.mib()),
            most_mib: report.window.1.map(|c| c.mib()),
            words: report.window_words.clone(),
        },
        front_size: report.front.len(),
        proof: ProofView::new(&report.proof),
        looked_at: report.looked_at,
        plans: plans.iter().enumerate().map(|(i, p)| PlanView::new(need, first + i, p)).collect(),
        conflict: report
            .conflict
            .as_ref()
            .map(|c| ConflictView { limits: c.limits.clone(), changes: c.changes.clone() }),
    }
}

impl ProofView {
    fn new(proof: &Proof) -> Self {
        match proof {
            Proof::Complete => Self {
                complete: true,
                different: None,
                words: "every population was searched or shown to be no better".to_string(),
            },
            Proof::UpTo { different } => Self {
                complete: false,
                different: Some(*different),
                words: format!(
                    "every population of at most {different} different modules was searched; larger mixtures were not"
                ),
            },
        }
    }
}

impl PlanView {
    fn new(need: &Need, number: usize, plan: &Plan) -> Self {
        let picks: Vec<PickView> = plan.picks.iter().map(|p| pick_view(need, plan, p)).collect();
        let label = |slot: domain::SlotIndex| plan.build.board.slot(slot).label.clone();
        Self {
            number,
            build: BuildView::new(&plan.build),
            judgement: JudgementView::new(&plan.build, &plan.judgement),
            price: MoneyView::new(plan.price),
            price_all: MoneyView::new(plan.price_all),
            objectives: ObjectivesView::new(&plan.objectives),
            why: plan.why.clone(),
            against: plan.against.clone(),
            bill: bill(need, plan),
            taken_out: plan
                .taken_out
                .iter()
                .map(|(slot, module)| TakenOutView { slot: slot.map(label), module: module.label.clone() })
                .collect(),
            moves: picks
                .iter()
                .filter_map(|p| Some(MoveView { from: p.from.clone()?, to: p.slot.clone(), module: p.module.clone() }))
                .collect(),
            picks,
        }
    }
}

fn pick_view(need: &Need, plan: &Plan, pick: &engine::plan::Pick) -> PickView {
    let label = |slot: domain::SlotIndex| plan.build.board.slot(slot).label.clone();
    let (origin, from, bin) = match pick.origin {
        Origin::Stays => ("stays", None, None),
        Origin::Moves(Some(slot)) => ("moves", Some(label(slot)), None),
        Origin::Moves(None) => ("loose", None, None),
        Origin::Lot(lot) => ("lot", None, need.lots.get(lot).and_then(|l| l.bin.clone())),
    };
    PickView {
        slot: label(pick.slot),
        module: module_label(plan, pick.slot),
        origin: origin.to_string(),
        from,
        condition: pick.condition.to_string(),
        bin,
        each: MoneyView::new(pick.each),
    }
}

fn module_label(plan: &Plan, slot: domain::SlotIndex) -> String {
    plan.build.slots.get(slot.at()).and_then(Option::as_ref).map_or_else(String::new, |m| m.label.clone())
}

/// The picks from lots, gathered; in order of lot.
fn bill(need: &Need, plan: &Plan) -> Vec<BillLine> {
    let mut counts: BTreeMap<usize, i64> = BTreeMap::new();
    for pick in &plan.picks {
        if let Origin::Lot(lot) = pick.origin {
            *counts.entry(lot).or_default() += 1;
        }
    }
    counts
        .into_iter()
        .filter_map(|(lot, count)| {
            let lot = need.lots.get(lot)?;
            Some(BillLine {
                count: count as u32,
                module: lot.module.label.clone(),
                short: lot.module.short(),
                condition: lot.condition.to_string(),
                bin: lot.bin.clone(),
                each: MoneyView::new(lot.each),
                sum: MoneyView::new(lot.each.times(count)),
            })
        })
        .collect()
}

impl BuildView {
    /// A build as the slots and labels of a build file.
    pub fn new(build: &domain::Build) -> Self {
        Self {
            board: build.board.id.clone(),
            processors: build.processors.iter().map(|p| p.as_ref().map(|p| p.id.to_string())).collect(),
            mode: build.mode.to_string(),
            numa: build.numa.clone(),
            firmware: build.firmware.clone(),
            slots: build
                .filled()
                .map(|(slot, module)| (build.board.slot(slot).label.clone(), module.label.clone()))
                .collect(),
        }
    }
}

impl ObjectivesView {
    /// Of a plan.
    pub fn new(objectives: &Objectives) -> Self {
        Self {
            price_minor: objectives.price,
            usable_mib: objectives.usable.mib(),
            bandwidth_mbs: objectives.bandwidth.mbs(),
            data_rate_mts: objectives.rate.mts(),
            free_slots: objectives.free,
            bought: objectives.bought,
        }
    }
}

impl PlanView {
    /// What it is made of, in a few words: `12 × 64 GiB 2Rx4 RDIMM 2933 used, 4 already there`.
    pub fn made_of(&self) -> String {
        let mut parts: Vec<String> =
            self.bill.iter().map(|l| format!("{} × {} {}", l.count, l.short, l.condition)).collect();
        let installed = Condition::Installed.word();
        let kept = self.picks.iter().filter(|p| p.condition == installed).count();
        if kept > 0 {
            parts.push(format!("{kept} already there"));
        }
        parts.join(", ")
    }
}
