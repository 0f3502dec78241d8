//! A session at the bench: a symptom, an aim and the answers so far → beliefs, the next test and why, or the verdict.
//!
//! There is no state but the list of answers; the same list gives the same advice.

use super::ahead;
use super::around::Around;
use super::boots;
use super::kit::{self, Deed};
use super::model::{Belief, IMPOSSIBLE, Model, Stop};
use super::priors;
use super::solve::{Act, Solver};
use super::symptom::Symptom;
use domain::Build;
use domain::fault::Outcome;

/// What for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Aim {
    /// The machine is to run.
    #[default]
    Run,
    /// The part that failed is to be proven, as for a return.
    Prove,
}

impl Aim {
    /// Its word, stable for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Prove => "prove",
        }
    }
    /// The aim of a word.
    pub fn parse(word: &str) -> Option<Self> {
        [Self::Run, Self::Prove].into_iter().find(|a| a.word().eq_ignore_ascii_case(word.trim()))
    }
}

/// Minutes that it costs to hand a machine on, with all parts in question exchanged together; no source.
pub const HAND_ON: f64 = 180.0;
/// Minutes that a wrong verdict costs, or a symptom that only hid and comes back: a part sent for nothing, and all of it
/// again; no source.
pub const WRONG: f64 = 240.0;
/// How sure clean starts have to make one.
pub const SURE: f64 = 0.95;
/// Histories that are worked out exactly at most; past them the look-ahead of this depth.
pub const BUDGET: usize = 150_000;
/// Other first tests are told where they take so many minutes more at most.
pub const WITHIN: f64 = 15.0;
/// Tests that the look-ahead looks ahead: two were up to 2.8 % over the optimum on demo cases, three 0.0 % (BENCHMARKS.md).
pub const DEPTH: usize = 3;

/// How to ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    pub aim: Aim,
    /// How often a start shows the symptom while the fault is there, above 0 up to 1.
    pub shows: f64,
    /// The shop's own outcomes.
    pub outcomes: Vec<Outcome>,
    /// Histories at most, see [`BUDGET`].
    pub budget: usize,
}

impl Default for Setting {
    fn default() -> Self {
        Self { aim: Aim::Run, shows: 1.0, outcomes: Vec::new(), budget: BUDGET }
    }
}

/// What was done and what came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Said {
    /// The answer of this number.
    Answer(usize),
    /// The symptom is gone.
    Gone,
    /// It can't be done now.
    Cannot,
}

/// One step: a test by its number among the deeds, and what was said.
pub type Step = (usize, Said);

/// Why a list of answers can't be followed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StepError {
    #[error("step {step} does `{test}` a second time")]
    Twice { step: usize, test: &'static str },
    #[error("step {step} comes after the symptom was gone")]
    AfterTheEnd { step: usize },
    #[error("step {step}: what `{test}` showed can't be after the answers before it")]
    Contradicts { step: usize, test: &'static str },
}

impl StepError {
    /// What the person can do next.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Twice { .. } => "a second time tells no more: take one of the two away",
            Self::AfterTheEnd { .. } => "where the symptom came back, begin anew with --shows-up at less than 100",
            Self::Contradicts { .. } => "check the answers, and take the one away that is not so",
        }
    }
}

/// A case: all that does not change with the answers.
#[derive(Debug)]
pub struct Case<'a> {
    pub around: Around<'a>,
    pub setting: Setting,
    pub deeds: Vec<Deed>,
    pub model: Model,
    /// Starts in a row without the symptom after which it counts as gone.
    pub clean_starts: u32,
}

/// Where a session stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// By hypothesis, summing up to 1.
    pub beliefs: Vec<f64>,
    /// Beliefs before any test and after each step.
    pub course: Vec<Vec<f64>>,
    pub next: Next,
    /// Minutes that the tests so far have taken.
    pub spent: u32,
}

/// What is next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// The symptom is gone; the remedy of this number is believed most, with its share; and how likely it only hides.
    Runs { remedy: usize, share: f64, hidden: f64 },
    /// No further test is worth it.
    Verdict { remedy: usize, share: f64, expected: f64 },
    /// This test; see [`Choice`].
    Test(Choice),
}

/// The chosen test, with what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    pub test: usize,
    /// Expected minutes from here, risk and the price of an open end counted in.
    pub expected: f64,
    /// How much less the best way may take; 0 where it is exact.
    pub above: f64,
    /// Histories that were worked out, or 0 for a look-ahead.
    pub histories: usize,
    /// Other open tests that take little more if they come first ([`WITHIN`]), with the expected minutes, the best first;
    /// only where it is exact.
    pub others: Vec<(usize, f64)>,
    /// Expected minutes if one ended here; `None` where one can't.
    pub end: f64,
    /// What each answer would make of it; the one where the symptom is gone has no number.
    pub then: Vec<Then>,
}

/// What an answer would make of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Then {
    pub said: Said,
    pub share: f64,
    pub beliefs: Vec<f64>,
    /// The test after it; `None` for an end.
    pub test: Option<usize>,
}

impl<'a> Case<'a> {
    /// Sets a case up. `None` where no slot shows the symptom.
    pub fn new(build: &'a Build, symptom: &'a Symptom, setting: Setting) -> Option<Self> {
        let around = Around::look(build, symptom)?;
        let deeds = kit::deeds(&around);
        let shows = if setting.shows > 0.0 { setting.shows.min(1.0) } else { 1.0 };
        let clean_starts = boots::clean_starts(0.5, shows, SURE).unwrap_or(1000).max(1);
        let tests = deeds.iter().map(|d| d.test(&around, clean_starts)).collect();
        let stop = match setting.aim {
            Aim::Run => Stop::Runs { hand_on: HAND_ON },
            Aim::Prove => Stop::Verdict { wrong: WRONG },
        };
        let hypotheses = priors::hypotheses(symptom, &setting.outcomes);
        let hides = (1.0 - shows).powi(i32::try_from(clean_starts).unwrap_or(i32::MAX));
        let mut model = Model::new(hypotheses, tests, stop);
        (model.hides, model.comes_back) = (hides, WRONG);
        Some(Self { around, setting, deeds, model, clean_starts })
    }
    /// A solver for this case, to be kept over several questions.
    pub fn solver(&self) -> Solver<'_> {
        Solver::new(&self.model, self.setting.budget)
    }
    /// What follows from the answers.
    ///
    /// # Errors
    /// They can't be followed.
    pub fn advise(&self, solver: &mut Solver<'_>, steps: &[Step]) -> Result<Advice, StepError> {
        let mut belief = self.model.start();
        let mut course = vec![belief.shares()];
        let (mut spent, mut end) = (0u32, None);
        for (number, (test, said)) in steps.iter().enumerate() {
            let step = number + 1;
            let Some(deed) = self.deeds.get(*test) else { continue };
            if end.is_some() {
                return Err(StepError::AfterTheEnd { step });
            }
            if !belief.history.is_open(*test) {
                return Err(StepError::Twice { step, test: deed.name });
            }
            let contradicts = StepError::Contradicts { step, test: deed.name };
            match said {
                Said::Cannot => belief = belief.barring(*test),
                Said::Answer(answer) => {
                    belief = self.model.after(&belief, *test, *answer).ok_or(contradicts)?;
                    spent = spent.saturating_add(deed.minutes(&self.around));
                }
                Said::Gone => {
                    let gone = self.model.gone(&belief, *test);
                    spent = spent.saturating_add(self.minutes_if_gone(*test));
                    let joint: Vec<f64> = gone.iter().map(|(cured, hidden)| cured + hidden).collect();
                    let mass: f64 = joint.iter().sum();
                    if mass <= IMPOSSIBLE {
                        return Err(contradicts);
                    }
                    let hidden = gone.iter().map(|g| g.1).sum::<f64>() / mass;
                    end = Some((joint.iter().map(|p| p / mass).collect::<Vec<f64>>(), hidden));
                }
            }
            course.push(end.as_ref().map_or_else(|| belief.shares(), |(shares, _)| shares.clone()));
        }
        let (beliefs, next) = match end {
            Some((shares, hidden)) => {
                let (remedy, share) = self.likeliest(&shares);
                (shares, Next::Runs { remedy, share, hidden })
            }
            None => (belief.shares(), self.next(solver, &belief)),
        };
        Ok(Advice { beliefs, course, next, spent })
    }
    /// Minutes that a test takes where the symptom is then gone: all the clean starts.
    pub fn minutes_if_gone(&self, test: usize) -> u32 {
        let own = self.deeds.get(test).map_or(0, |d| d.minutes(&self.around));
        let more = self.model.tests.get(test).map_or(0.0, |t| t.minutes_if_gone);
        own.saturating_add(more as u32)
    }
    /// The remedy that is believed most, by number, and its share.
    pub fn likeliest(&self, shares: &[f64]) -> (usize, f64) {
        let (best, mass) = self.model.remedy(shares);
        let best = best.unwrap_or(0);
        (best, mass.get(best).copied().unwrap_or(0.0))
    }
    fn next(&self, solver: &mut Solver<'_>, belief: &Belief) -> Next {
        let end = self.model.end(belief).unwrap_or(f64::INFINITY) / belief.mass();
        let (act, expected, above) = match solver.best(belief) {
            Some((expected, act)) => (act, expected, 0.0),
            None => {
                let told = ahead::look(&self.model, belief, DEPTH);
                (told.act, told.most, told.most - told.least)
            }
        };
        let Act::Test(test) = act else {
            let (remedy, share) = self.likeliest(&belief.shares());
            return Next::Verdict { remedy, share, expected };
        };
        let exact = above == 0.0;
        let mut others: Vec<(usize, f64)> = Vec::new();
        if exact {
            let open = self.model.open(belief).into_iter().filter(|t| *t != test);
            others = open.filter_map(|t| Some((t, solver.first(belief, t, expected + WITHIN)?))).collect();
            others.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        }
        let then = self.then(solver, belief, test);
        let histories = if exact { solver.histories() } else { 0 };
        Next::Test(Choice { test, expected, above, histories, others, end, then })
    }
    fn then(&self, solver: &mut Solver<'_>, belief: &Belief, test: usize) -> Vec<Then> {
        let prospect = self.model.prospect(belief, test);
        let mass = belief.mass();
        let mut all: Vec<Then> = Vec::new();
        let gone: Vec<f64> = prospect.gone.iter().map(|(cured, hidden)| cured + hidden).collect();
        let sum: f64 = gone.iter().sum();
        if sum > IMPOSSIBLE {
            let beliefs = gone.iter().map(|p| p / sum).collect();
            all.push(Then { said: Said::Gone, share: sum / mass, beliefs, test: None });
        }
        for (answer, next) in &prospect.answers {
            let act = match solver.best(next) {
                Some((_, act)) => act,
                None => ahead::look(&self.model, next, 1).act,
            };
            let test = if let Act::Test(test) = act { Some(test) } else { None };
            let share = next.mass() / mass;
            all.push(Then { said: Said::Answer(*answer), share, beliefs: next.shares(), test });
        }
        all
    }
}
