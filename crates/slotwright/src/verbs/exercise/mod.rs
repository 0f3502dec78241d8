//! `exercise`: march tests over free memory of this machine → errors, with the module that they likely belong to.

mod blame;
mod lines;
mod list;
mod view;

pub use list::{ListView, list};
pub use view::{CounterView, ErrorView, ExerciseView, OneView};

use super::snapshot;
use crate::failure::Failure;
use bench::exercise::{self, Exercise, Plan, Progress};
use bench::machine::{self, Free};
use bench::march::{self, March};
use domain::Capacity;
use std::sync::atomic::AtomicBool;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Question {
    /// Share of what may be taken, 0 to 1, unless a size is given.
    pub share: f64,
    pub size: Option<Capacity>,
    /// Names of exercises; all where there is none.
    pub only: Vec<String>,
    /// A march test by its name or in its notation, in place of these.
    pub march: Option<String>,
    /// With one pattern only, of the user's march test.
    pub one_pattern: bool,
    pub rounds: u32,
    pub first: bool,
    pub flush: bool,
    pub threads: Option<usize>,
}

/// Exercises memory. `stop` ends it at any time; `told` hears how far it is.
///
/// # Errors
/// No such exercise, a march test that can't be read, or not so much memory.
pub fn exercise(
    question: &Question,
    stop: &AtomicBool,
    told: &mut dyn FnMut(Progress),
) -> Result<ExerciseView, Failure> {
    let exercises = chosen(question)?;
    let free = Free::now()?;
    let bytes = match question.size {
        Some(size) => free.allow(size)?,
        None => free.share(question.share),
    };
    let mut workers = Vec::new();
    let nodes = machine::nodes();
    let several = nodes.iter().filter(|n| n.memory).count() > 1;
    for node in nodes.iter().filter(|n| n.memory || !several) {
        // A node without processors of its own is exercised by the first node's.
        let own =
            if node.processors.is_empty() { nodes.first().map(|n| &n.processors) } else { Some(&node.processors) };
        workers.extend(own.into_iter().flatten().map(|p| (*p, several.then_some(node.number))));
    }
    workers.truncate(question.threads.unwrap_or(usize::MAX).max(1));
    let plan = Plan {
        bytes: usize::try_from(bytes.mib()).unwrap_or(0) << 20,
        workers,
        exercises,
        rounds: question.rounds,
        first: question.first,
        flush: question.flush,
    };
    let before = snapshot::take(None)?;
    let outcome = exercise::run(&plan, stop, told)?;
    let after = snapshot::counters();
    Ok(ExerciseView::new(&plan, free, &outcome, &before, &after))
}

/// The exercises that were asked for.
fn chosen(question: &Question) -> Result<Vec<Exercise>, Failure> {
    if let Some(text) = &question.march {
        let (march, name, citation) = match march::known(text).and_then(|k| Some((k.march()?, k))) {
            Some((march, known)) => (march, known.name.to_string(), known.citation.to_string()),
            None => (March::parse(text)?, "your own".to_string(), "as given".to_string()),
        };
        return Ok(vec![exercise::of_march(march, &name, &citation, !question.one_pattern)]);
    }
    let all = exercise::all();
    let unknown = question.only.iter().find(|name| !all.iter().any(|e| e.name == **name));
    if let Some(name) = unknown {
        let near = super::nearest(name, all.iter().map(|e| e.name.as_str()));
        return Err(Failure::NoExercise { name: name.clone(), near });
    }
    Ok(all.into_iter().filter(|e| question.only.is_empty() || question.only.contains(&e.name)).collect())
}

/// A machine's own report, for tests of what is made of it.
#[cfg(test)]
fn machine(json: &str) -> domain::Snapshot {
    readers::snapshot::read(json).unwrap()
}
