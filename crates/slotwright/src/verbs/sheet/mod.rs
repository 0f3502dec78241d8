//! `sheet`: a plan or a build → the papers that go with it: quote, pick list, bench sheet, record, stickers.

mod bench;
mod pick;
pub(crate) mod quote;
mod record;
mod selling;
mod stickers;
mod view;

pub use selling::Selling;
pub use view::{BlockView, SheetView, TableView};

use super::check;
use super::drawing::Map;
use super::judgement::JudgementView;
use super::plan::{self, MoveView, Plan, PlanView, Searched, TakenOutView};
use super::shop::order::PromiseView;
use crate::failure::Failure;
use catalog::{Folder, Input, Library};
use domain::Build;
use domain::shop::{Percent, Shop};
use draw::sheet::Sheet;
use engine::judge::Judgement;
use jiff::civil::Date;
use std::path::Path;

/// Which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Kind {
    /// For the customer: what, why it fits, how fast, at what price.
    Quote,
    /// For the store: what to take from which bin.
    PickList,
    /// For the bench: cautions, then step by step.
    Bench,
    /// For the file: serials by slot, findings, signatures.
    Record,
    /// For the machine and its module bags.
    Stickers,
}

/// What every sheet is made from.
#[derive(Debug)]
pub struct Job {
    pub build: Build,
    pub judgement: Judgement,
    pub judged: JudgementView,
    /// Where the sheet is made from a need: the picked plan.
    pub plan: Option<(PlanView, Plan)>,
    /// What becomes of the modules that the machine has already.
    pub there: There,
    /// Where the sheet is an order's: the modules that are promised to it.
    pub promised: Vec<PromiseView>,
    /// Modules of it that are other than was chosen, and what the check says of that, as sentences.
    pub exchanged: Vec<String>,
    pub machines: u32,
    pub shop: Shop,
    pub papers: Papers,
    /// What modules are sold at, where the shop keeps it; else its settings' margin goes on top of the cost.
    pub selling: Selling,
}

/// What becomes of modules that a machine has already.
#[derive(Debug, Clone, Default)]
pub struct There {
    /// Slots whose module stays.
    pub stays: Vec<String>,
    pub moves: Vec<MoveView>,
    pub taken_out: Vec<TakenOutView>,
}

/// What stands on the papers beside the build.
#[derive(Debug, Clone)]
pub struct Papers {
    /// The number of the quote or order; may be empty.
    pub number: String,
    pub customer: String,
    pub date: Date,
}

/// Reads a need (with the number of a plan) or a build.
///
/// # Errors
/// A file is wrong, or there is no plan of that number.
pub fn job(
    library: &Library,
    file: &Path,
    pick: Option<usize>,
    shop: Option<Shop>,
    papers: Papers,
) -> Result<Job, Failure> {
    let files = Folder::default();
    let input = Input::file(&files, file)?;
    if is_build(&input) {
        return Ok(Job::of_build(check::check_text(library, &input)?, shop, papers));
    }
    let need = plan::read(library, file)?;
    let machines = need.machines;
    let (view, picked) = Searched::new(need).pick(pick.unwrap_or(1), false)?;
    Ok(Job::of_plan(view, picked, machines, shop, papers))
}

/// A build file has a table of slots; a need has none.
fn is_build(input: &Input<'_>) -> bool {
    let text = String::from_utf8_lossy(input.bytes());
    text.parse::<toml::Table>().is_ok_and(|t| t.contains_key("slots"))
}

/// A shop that has said nothing of itself.
pub fn nobody() -> Shop {
    Shop {
        name: String::new(),
        address: Vec::new(),
        margin: Percent::default(),
        tax: None,
        labour: None,
        validity_days: 14,
        terms: Vec::new(),
    }
}

/// Makes a sheet.
///
/// # Errors
/// A quote of a build that has no prices.
pub fn sheet(kind: Kind, job: &Job) -> Result<Sheet, Failure> {
    Ok(match kind {
        Kind::Quote => quote::sheet(job)?,
        Kind::PickList => pick::sheet(job),
        Kind::Bench => bench::sheet(job),
        Kind::Record => record::sheet(job),
        Kind::Stickers => stickers::sheet(job),
    })
}

impl Job {
    /// The papers of a build, which has no prices.
    pub fn of_build(checked: check::Checked, shop: Option<Shop>, papers: Papers) -> Self {
        let (judged, build, judgement) = (checked.view, checked.build, checked.judgement);
        Self {
            build,
            judgement,
            judged,
            plan: None,
            there: There::default(),
            promised: Vec::new(),
            exchanged: Vec::new(),
            machines: 1,
            shop: shop.unwrap_or_else(nobody),
            papers,
            selling: Selling::default(),
        }
    }
    /// The papers of a plan.
    pub fn of_plan(view: PlanView, plan: Plan, machines: u32, shop: Option<Shop>, papers: Papers) -> Self {
        Self {
            build: plan.build.clone(),
            judgement: plan.judgement.clone(),
            judged: view.judgement.clone(),
            there: There {
                stays: view.picks.iter().filter(|p| p.origin == "stays").map(|p| p.slot.clone()).collect(),
                moves: view.moves.clone(),
                taken_out: view.taken_out.clone(),
            },
            promised: Vec::new(),
            exchanged: Vec::new(),
            plan: Some((view, plan)),
            machines: machines.max(1),
            shop: shop.unwrap_or_else(nobody),
            papers,
            selling: Selling::default(),
        }
    }
    /// An empty sheet with the shop's heading.
    fn blank(&self, title: &str) -> Sheet {
        let mut aside = Vec::new();
        if !self.papers.number.is_empty() {
            aside.push(format!("No. {}", self.papers.number));
        }
        aside.push(self.papers.date.to_string());
        let from: Vec<String> = [self.shop.name.clone()].into_iter().chain(self.shop.address.clone()).collect();
        let number = if self.papers.number.is_empty() { String::new() } else { format!(" · {}", self.papers.number) };
        Sheet {
            title: title.to_string(),
            aside,
            from: from.into_iter().filter(|l| !l.trim().is_empty()).collect(),
            foot: format!("{title}{number} · {} · made with slotwright", self.judged.title),
            language: "en".to_string(),
            blocks: Vec::new(),
        }
    }
    /// The slot map with everything that is known.
    fn map(&self) -> draw::Drawing {
        let map = match &self.plan {
            Some((_, plan)) => Map::planned(plan),
            None => Map::judged(&self.build, &self.judgement),
        };
        map.drawing()
    }
    /// `2 × ddr4-6ch-2933`, and sockets that stay empty.
    fn processors(&self) -> String {
        let mut words: Vec<(String, usize)> = Vec::new();
        for name in self.judged.processors.iter().map(|p| p.clone().unwrap_or_else(|| "no processor".to_string())) {
            match words.iter_mut().find(|(n, _)| *n == name) {
                Some((_, count)) => *count += 1,
                None => words.push((name, 1)),
            }
        }
        words.iter().map(|(name, n)| format!("{n} × {name}")).collect::<Vec<_>>().join(", ")
    }
    /// How many of which module, in order of first use.
    fn modules(&self) -> Vec<(String, usize)> {
        let mut modules: Vec<(String, usize)> = Vec::new();
        for (_, module) in self.build.filled() {
            match modules.iter_mut().find(|(label, _)| *label == module.label) {
                Some((_, count)) => *count += 1,
                None => modules.push((module.label.clone(), 1)),
            }
        }
        modules
    }
    /// The rate with what sets it.
    fn rate(&self) -> String {
        let Some(rate) = self.judged.rate() else { return "nothing runs".to_string() };
        let mut by: Vec<&str> = self.judged.rate_chain.iter().filter(|l| l.binds).map(|l| l.what.as_str()).collect();
        by.dedup();
        if by.is_empty() { rate.to_string() } else { format!("{rate}, set by the {}", by.join(" and the ")) }
    }
}
