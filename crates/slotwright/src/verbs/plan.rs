//! `plan`: every population worth having for a need, each judged like any build.

mod view;

pub use view::{BillLine, BuildView, MoveView, ObjectivesView, PlanView, PlansView, TakenOutView};

use super::resolve;
use crate::failure::{Failure, Front};
use catalog::{Folder, Input, Library};
use domain::Need;
pub use engine::plan::Plan;
use engine::plan::{self, PlanReport};
use std::path::Path;

/// A need with its report and the plans that are shown.
#[derive(Debug)]
pub struct Planned {
    pub view: PlansView,
    /// The plans of the view, in its order.
    pub plans: Vec<Plan>,
}

/// Reads a need file.
///
/// # Errors
/// The file, or the board or stock file that it names, is wrong.
pub fn read(library: &Library, file: &Path) -> Result<Need, Failure> {
    let files = Folder::default();
    let input = Input::file(&files, file)?;
    Ok(library.need(&input, &|text| resolve::module(library.catalog(), text))?)
}

/// Reads a need from a text that stands for a file.
///
/// # Errors
/// The text is no need, or names what is not known.
pub fn read_text(library: &Library, input: &Input<'_>) -> Result<Need, Failure> {
    Ok(library.need(input, &|text| resolve::module(library.catalog(), text))?)
}

/// Plans a need; `all` shows the whole front.
pub fn plan(need: &Need, all: bool) -> Planned {
    let searched = Searched::new(need.clone());
    let shown = searched.numbered(all);
    searched.show(&shown)
}

/// A need whose every population was searched, to be shown in parts.
#[derive(Debug)]
pub struct Searched {
    need: Need,
    report: PlanReport,
}

impl Searched {
    /// Searches.
    pub fn new(need: Need) -> Self {
        let report = plan::plan(&need);
        Self { need, report }
    }
    /// The need.
    pub fn need(&self) -> &Need {
        &self.need
    }
    /// All of the front.
    pub fn plans(&self) -> &[Plan] {
        &self.report.front
    }
    /// Plans worth having.
    pub fn front_size(&self) -> usize {
        self.report.front.len()
    }
    /// Places in the front of the plans on the list, which is the chosen few or `all`.
    pub fn numbered(&self, all: bool) -> Vec<usize> {
        if all { (0..self.report.front.len()).collect() } else { self.report.chosen.clone() }
    }
    /// What every plan of the front comes to, in order of front.
    pub fn objectives(&self) -> Vec<ObjectivesView> {
        self.report.front.iter().map(|p| ObjectivesView::new(&p.objectives)).collect()
    }
    /// The plans at these places of the front, numbered from 1.
    pub fn show(&self, places: &[usize]) -> Planned {
        self.show_from(1, places)
    }
    /// The same, numbered from another number.
    pub fn show_from(&self, first: usize, places: &[usize]) -> Planned {
        let plans: Vec<Plan> = places.iter().filter_map(|i| self.report.front.get(*i).cloned()).collect();
        Planned { view: view::view(&self.need, &self.report, first, &plans), plans }
    }
    /// The plan of a number on the list.
    ///
    /// # Errors
    /// There is none of that number.
    pub fn pick(&self, number: usize, all: bool) -> Result<(PlanView, Plan), Failure> {
        let places = self.numbered(all);
        let place = number.checked_sub(1).and_then(|at| places.get(at));
        let place = place.ok_or(Failure::NoPlan { number, shown: places.len(), all: Front::CanNot })?;
        let mut shown = self.show_from(number, &[*place]);
        match (shown.view.plans.pop(), shown.plans.pop()) {
            (Some(view), Some(plan)) => Ok((view, plan)),
            _ => Err(Failure::NoPlan { number, shown: places.len(), all: Front::CanNot }),
        }
    }
}
