//! `diagnose PLAN REPORT`, or `diagnose PLAN --symptom WORD --at SLOT`: arguments, and where to ask.

mod ask;
mod words;

use super::Reply;
use super::paint::Paint;
use crate::failure::Failure;
use crate::verbs::diagnose::{self, Asked, DiagnoseView, Place};
use crate::world::{self, Data};
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Finds out what is wrong, by the tests that take the fewest minutes on average.
///
/// PLAN is a build file. What is seen comes from a report of the machine, which is compared with it, or from --symptom and
/// --at. At a terminal it asks step by step; elsewhere --did and --answers carry the answers so far, and it says what is
/// next.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A build file (TOML).
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// What the machine reports now, as `compare` takes it.
    #[arg(value_name = "REPORT", conflicts_with = "symptom")]
    report: Option<PathBuf>,
    /// What is seen: no-boot, missing-module, missing-channel, missing-processor, wrong-size, slow, correctable-errors or
    /// uncorrectable-errors.
    #[arg(long, value_name = "WORD")]
    symptom: Option<String>,
    /// The slot that shows it; any slot of a channel, any slot or the name of a socket; several for several modules.
    #[arg(long, value_name = "SLOT", requires = "symptom")]
    at: Vec<String>,
    /// Which machine, where a report holds several, from 1.
    #[arg(long, value_name = "N", conflicts_with = "symptom")]
    node: Option<usize>,
    /// Which difference of the comparison, from 1; the first that is a symptom if absent.
    #[arg(long, value_name = "N", conflicts_with = "symptom")]
    difference: Option<usize>,
    /// What for: `run` (the machine is to run) or `prove` (which part failed, as for a return).
    #[arg(long, value_name = "AIM", default_value = "run")]
    aim: String,
    /// Of 100 starts, how many show the symptom while the fault is there.
    #[arg(long, value_name = "N", default_value_t = 100)]
    shows_up: u8,
    /// Your own outcomes so far (TOML): they take over from the figures of the program.
    #[arg(long, value_name = "FILE")]
    outcomes: Option<PathBuf>,
    /// What a test showed: `reseat=stays`, `reseat=gone`, or `reseat=cant` where it can't be done now.
    #[arg(long, value_name = "TEST=ANSWER")]
    did: Vec<String>,
    /// A file of such answers, one a line, before those of --did; `#` begins a remark.
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// Write the answers with what came of them here, to be read by --answers again.
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    /// Do not ask, also at a terminal.
    #[arg(long)]
    once: bool,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

/// Says what is next, or asks until it is found.
///
/// # Errors
/// A file is wrong, the symptom has no place in the build, or an answer can't be followed.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let mut answers = match &args.answers {
        Some(path) => kept(path)?,
        None => Vec::new(),
    };
    answers.extend(args.did.iter().cloned());
    let mut view = view(args, data, &answers)?;
    let asks = !args.json && !args.once && std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let mut saved = args.record.clone();
    if asks {
        let ended = ask::until_it_ends(view, |answers| self::view(args, data, answers), paint)?;
        view = ended.view;
        saved = saved.or(ended.save);
    }
    let mut reply = Reply::of(&view, args.json, !is_clean(&view), || words::all(&view, paint))?;
    if let Some(path) = &saved {
        world::write_file(path, &words::record(&view))?;
        reply.notices.push(format!("wrote {}: go on from it with --answers", path.display()));
    }
    Ok(reply)
}

/// Is the machine running again?
fn is_clean(view: &DiagnoseView) -> bool {
    view.verdict.as_ref().is_some_and(|v| v.runs)
}

fn view(args: &Args, data: &Data, answers: &[String]) -> Result<DiagnoseView, Failure> {
    let place = match (&args.report, &args.symptom) {
        (Some(seen), _) => Place::Report { seen, node: args.node, difference: args.difference },
        (None, Some(sign)) => Place::Hand { sign, at: &args.at },
        (None, None) => {
            return Err(Failure::Diagnose {
                why: "nothing says what is wrong with the machine".to_string(),
                hint: "name a report of it behind the plan, or what you see: `--symptom missing --at SLOT`".to_string(),
            });
        }
    };
    let outcomes = args.outcomes.as_deref();
    let asked = Asked { plan: &args.plan, place, aim: &args.aim, shows_up: args.shows_up, outcomes, answers };
    diagnose::diagnose(&data.library, &asked)
}

/// Answers of a file, without remarks and empty lines.
fn kept(path: &Path) -> Result<Vec<String>, Failure> {
    let text = std::fs::read_to_string(path).map_err(|e| Failure::Diagnose {
        why: format!("`{}` can't be read: {e}", path.display()),
        hint: "check the path; it is a text with one TEST=ANSWER a line".to_string(),
    })?;
    let lines = text.lines().map(|l| l.split('#').next().unwrap_or("").trim());
    Ok(lines.filter(|l| !l.is_empty()).map(String::from).collect())
}
