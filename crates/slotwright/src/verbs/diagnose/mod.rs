//! `diagnose`: a build, a symptom and the answers so far → beliefs, the next test and why, or the verdict.
//!
//! There is no state but the answers, each `test=answer`: a script or a web address can carry them.

mod advice;
mod asked;
mod view;

pub use asked::{Asked, Place};
pub use view::{BeliefView, DiagnoseView, NextView, VerdictView};

use crate::failure::Failure;
use catalog::Library;
use domain::fault::Sign;
use engine::diagnose::{Case, Said, Setting, Step};

/// Words that say that a test can't be done now, and that the symptom is gone.
pub const CANNOT: &str = "cant";
pub const GONE: &str = "gone";

/// Says what to do next, or what it is.
///
/// # Errors
/// A file is wrong, the symptom has no place in the build, or an answer can't be followed.
pub fn diagnose(library: &Library, asked: &Asked<'_>) -> Result<DiagnoseView, Failure> {
    let found = asked::symptom(library, asked)?;
    advised(&found, asked::setting(library, asked)?, asked.answers)
}

/// The same of a build that is at hand, with a symptom entered by hand and without outcomes of the shop.
///
/// # Errors
/// As [`diagnose`], without files.
pub fn of_build(
    build: domain::Build,
    (sign, at): (&str, &[String]),
    (aim, shows_up): (&str, u8),
    answers: &[String],
) -> Result<DiagnoseView, Failure> {
    let found = asked::by_hand(build, sign, at)?;
    let setting = asked::set(aim, shows_up, Vec::new())?;
    advised(&found, setting, answers)
}

/// Every sign: its word and what is seen.
pub fn signs() -> [(&'static str, &'static str); 8] {
    Sign::ALL.map(|sign| {
        let seen = match sign {
            Sign::NoBoot => "the machine does not start",
            Sign::MissingModule => "one module is not seen",
            Sign::MissingChannel => "all modules of a channel are not seen",
            Sign::MissingProcessor => "all memory of a processor is not seen",
            Sign::WrongSize => "a module shows less than it has",
            Sign::Slow => "the machine runs below the planned rate",
            Sign::Correctable => "corrected errors are counted",
            Sign::Uncorrectable => "errors that could not be corrected, or training fails",
        };
        (sign.word(), seen)
    })
}

fn advised(found: &asked::Found, setting: Setting, answers: &[String]) -> Result<DiagnoseView, Failure> {
    let nowhere = || failure("no filled slot of the build shows it", "name a filled slot with --at");
    let case = Case::new(&found.build, &found.symptom, setting).ok_or_else(nowhere)?;
    let steps = steps(&case, answers)?;
    let mut solver = case.solver();
    let advice = case.advise(&mut solver, &steps).map_err(|e| failure(&e.to_string(), e.hint()))?;
    Ok(advice::view(&case, &steps, &advice, found.notes.clone()))
}

fn failure(why: &str, hint: &str) -> Failure {
    Failure::Diagnose { why: why.to_string(), hint: hint.to_string() }
}

/// Answers as they are written, `test=answer`, in numbers.
fn steps(case: &Case<'_>, answers: &[String]) -> Result<Vec<Step>, Failure> {
    answers.iter().map(|text| step(case, text)).collect()
}

fn step(case: &Case<'_>, text: &str) -> Result<Step, Failure> {
    let split = text.split_once('=').map(|(test, said)| (test.trim().to_lowercase(), said.trim().to_lowercase()));
    let Some((test, said)) = split else {
        return Err(failure(&format!("`{text}` is no answer"), "write it as TEST=ANSWER, such as reseat=stays"));
    };
    let Some(number) = case.deeds.iter().position(|d| d.name == test) else {
        let names: Vec<&str> = case.deeds.iter().map(|d| d.name).collect();
        let why = format!("there is no test `{test}` for this symptom on this build");
        return Err(failure(&why, &format!("use one of: {}", names.join(", "))));
    };
    let deed = &case.deeds[number];
    let known = deed.answers.iter().position(|a| a.word == said);
    match (known, said.as_str()) {
        (Some(answer), _) => Ok((number, Said::Answer(answer))),
        (None, GONE) if deed.gone.is_some() => Ok((number, Said::Gone)),
        (None, CANNOT | "can't" | "cannot") => Ok((number, Said::Cannot)),
        (None, _) => {
            let mut words: Vec<&str> = deed.gone.iter().map(|_| GONE).collect();
            words.extend(deed.answers.iter().map(|a| a.word));
            words.push(CANNOT);
            let why = format!("`{said}` is no answer of `{test}`");
            Err(failure(&why, &format!("use one of: {}", words.join(", "))))
        }
    }
}
