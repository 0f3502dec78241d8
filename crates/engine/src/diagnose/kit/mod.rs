//! The tests at hand for a symptom on this board and build: what is done, how long it takes, what each answer means.
//!
//! Probabilities, minutes and what a risk is worth are common practice without a source, unless a line says otherwise.

mod looking;
mod moving;
mod parts;

use super::around::Around;
use super::model::Test;
use domain::fault::{CAUSES, Cause, Sign};
use domain::quantity::Minutes;

/// By cause, in the order of [`Cause::ALL`].
pub type ByCause = [f64; CAUSES];

/// What a test may show while the symptom is there.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Its word, stable for scripts.
    pub word: &'static str,
    /// What is seen, in words, on this machine.
    pub text: String,
    pub by_cause: ByCause,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq)]
pub struct Deed {
    /// Its word, stable for scripts.
    pub name: &'static str,
    pub title: String,
    /// What to do, step by step.
    pub how: Vec<String>,
    /// By hand, without starts.
    pub hands: Minutes,
    /// Is the machine started afterwards, to see whether the symptom is there?
    pub starts: bool,
    /// Must it be off?
    pub off: bool,
    /// Is a processor lifted?
    pub processor: bool,
    /// What can go wrong with it, and what that is worth in minutes; 0 for nothing.
    pub risk: (&'static str, f64),
    pub cures: ByCause,
    /// What is seen where the symptom is gone; `None` where it can't go.
    pub gone: Option<String>,
    pub answers: Vec<Answer>,
    /// The answer where two faults at once would give different ones.
    pub mixed: usize,
    /// Does the last answer only say that nothing is seen? Of two faults at once the other one's answer is then given.
    pub quiet: bool,
}

/// How often somebody looks wrongly or a rare thing happens: the least of any answer. No source.
const SLIP: f64 = 0.01;
/// Minutes that the exerciser runs after a start before errors count as gone; no source.
pub const EXERCISE: u32 = 15;

/// Probabilities by cause; causes that are not listed have none.
fn by(listed: &[(Cause, f64)]) -> ByCause {
    let mut all = [0.0; CAUSES];
    listed.iter().for_each(|(cause, p)| all[cause.number()] = *p);
    all
}

/// An answer as it is listed: its word, what is seen, and its probability by cause.
type Listed<'a> = (&'static str, String, &'a [(Cause, f64)]);

/// Answers: those that are listed, with a slip for other causes, and a last one that takes what is left.
fn answers(listed: &[Listed<'_>], rest: (&'static str, String)) -> Vec<Answer> {
    let mut left = [1.0; CAUSES];
    let mut all = Vec::new();
    for (word, text, p) in listed {
        let by_cause = by(p).map(|p| p.max(SLIP));
        by_cause.iter().zip(&mut left).for_each(|(p, l)| *l -= p);
        all.push(Answer { word, text: text.clone(), by_cause });
    }
    // Where the listed ones leave less than nothing, they are brought down to leave a slip.
    for (cause, left) in left.iter_mut().enumerate() {
        let most = 1.0 - SLIP;
        let sum = 1.0 - *left;
        if sum > most {
            all.iter_mut().for_each(|a| a.by_cause[cause] *= most / sum);
            *left = SLIP;
        }
    }
    all.push(Answer { word: rest.0, text: rest.1, by_cause: left });
    all
}

/// The tests for a symptom, in the order in which to think of them.
pub fn deeds(around: &Around<'_>) -> Vec<Deed> {
    let sign = around.symptom.sign;
    let mut all = vec![looking::read_log(around), looking::look(around)];
    if sign.is_errors() {
        all.extend([looking::read_counters(around), looking::exercise(around)]);
    }
    if sign != Sign::Slow {
        all.push(moving::reseat(around));
    }
    if !sign.is_everywhere() {
        all.extend(moving::swaps(around));
        all.extend(moving::other_slot(around));
    }
    if matches!(sign, Sign::NoBoot | Sign::MissingProcessor | Sign::MissingChannel) {
        all.extend(moving::one_module(around));
    }
    if sign == Sign::NoBoot {
        all.extend(moving::half_by_half(around));
    }
    all.extend([
        parts::fit_spare(around),
        parts::mend_build(around),
        parts::clear_settings(around),
        parts::update_firmware(around),
    ]);
    if sign != Sign::Slow {
        all.push(parts::reseat_processor(around));
        all.extend(parts::exchange_processors(around));
        all.push(parts::new_processor(around));
    }
    all.push(parts::new_board(around));
    all
}

impl Deed {
    /// Minutes in all: by hand, and one start where it is started, with the exerciser where errors are looked for.
    pub fn minutes(&self, around: &Around<'_>) -> u32 {
        self.hands.get().saturating_add(if self.starts { once(around).get() } else { 0 })
    }
    /// In numbers, for a symptom that needs so many clean starts.
    pub fn test(&self, around: &Around<'_>, clean_starts: u32) -> Test {
        let more = f64::from(clean_starts.saturating_sub(1)) * f64::from(once(around).get());
        Test {
            minutes: f64::from(self.minutes(around)) + self.risk.1,
            minutes_if_gone: if self.starts { more } else { 0.0 },
            cures: self.cures.to_vec(),
            shows: self.answers.iter().map(|a| a.by_cause.to_vec()).collect(),
            mixed: self.mixed,
            silent: self.answers.len().checked_sub(1).filter(|_| self.quiet),
            starts: self.starts,
        }
    }
}

/// One start, with the exerciser where errors are looked for.
pub fn once(around: &Around<'_>) -> Minutes {
    let exercise = if around.symptom.sign.is_errors() { EXERCISE } else { 0 };
    Minutes::new(around.start.get().saturating_add(exercise))
}

/// "west-1-outer is not seen any more".
fn gone(around: &Around<'_>) -> Option<String> {
    Some(match around.symptom.sign {
        Sign::NoBoot => "the machine starts with all its memory".to_string(),
        Sign::Slow => "the machine runs at the planned rate".to_string(),
        Sign::Correctable | Sign::Uncorrectable => {
            format!("the exerciser finds no error in {} any more", around.place())
        }
        _ => format!("{} is seen as planned", around.place()),
    })
}

/// "west-1-outer is still not seen".
fn stays(around: &Around<'_>) -> String {
    format!("{}: as before ({})", around.place(), around.symptom.sign.shows())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_sum_up_to_one_whatever_is_listed() {
        let told = answers(
            &[
                ("a", String::new(), &[(Cause::Slot, 0.7), (Cause::Board, 1.0)]),
                ("b", String::new(), &[(Cause::Slot, 0.6)]),
            ],
            ("c", String::new()),
        );
        for cause in 0..CAUSES {
            let sum: f64 = told.iter().map(|a| a.by_cause[cause]).sum();
            assert!((sum - 1.0).abs() < 1e-12 && told.iter().all(|a| a.by_cause[cause] > 0.0), "{cause}: {sum}");
        }
    }
}
