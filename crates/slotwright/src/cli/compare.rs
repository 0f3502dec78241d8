//! `compare PLAN MACHINE`: arguments and text.

use super::paint::Paint;
use super::{Reply, table};
use crate::failure::Failure;
use crate::verbs::compare::{self, CompareView, DifferenceView};
use crate::world::Data;
use std::path::PathBuf;

/// Compares what was planned with what a machine reports, and says what is likely wrong.
///
/// PLAN is a build file, or an earlier report of the machine. MACHINE is a snapshot, an SMBIOS table, a Redfish tree, or
/// anything else that `read` knows of a machine.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A build file (TOML), or an earlier report.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// What the machine reports now; `-` is standard input. Several files are the parts of one report, such as the texts of its
    /// codes.
    #[arg(value_name = "MACHINE", required = true)]
    machine: Vec<PathBuf>,
    /// Which of several systems of a report, from 1.
    #[arg(long, alias = "node", value_name = "N")]
    system: Option<usize>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

/// Compares and says what differs.
///
/// # Errors
/// A file is wrong, or no slot of the report can be matched to one of the plan.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let view = compare::compare(&data.library, &args.plan, &args.machine, args.system)?;
    Reply::of(&view, args.json, !view.differences.is_empty(), || words(&view, paint))
}

fn words(view: &CompareView, paint: Paint) -> String {
    let gib = |mib: u64| domain::Capacity::from_mib(mib).to_string();
    let mut text = table::facts(&[
        (
            "planned",
            format!("{}: {} modules, {}", view.planned_from, view.modules_planned, gib(view.capacity_planned_mib)),
        ),
        ("seen", format!("{}: {} modules, {}", view.seen_from, view.modules_seen, gib(view.capacity_seen_mib))),
        ("slots", format!("{} of {} matched by {}", view.slots_listed, view.slots_planned, view.matched_by)),
    ]);
    if view.differences.is_empty() {
        text.push_str(&format!("\n{}\n", paint.strong("As planned: no difference that this report can show.")));
    }
    for difference in &view.differences {
        text.push_str(&one(difference, paint));
    }
    let old: Vec<String> = view.old_errors.iter().filter_map(|e| e.words.clone()).collect();
    section(&mut text, "errors counted before, none since: no difference", &old, paint);
    section(&mut text, "what this report cannot tell", &view.untold, paint);
    section(&mut text, "noted while reading", &view.notes, paint);
    if !view.differences.is_empty() {
        text.push_str(&format!("\n{}\n", table::wrap(CAUTION, 0)));
    }
    text
}

const CAUTION: &str = "Before you open it: shut down, pull every power cord, wait for the standby light to go out, wear the \
                       wrist strap; modules may be hot. Follow the maker's service manual.";

fn one(difference: &DifferenceView, paint: Paint) -> String {
    let head = format!("{}: {}", paint.strong(&difference.what), difference.place);
    let mut text = format!("\n{head}\n");
    text.push_str(&table::facts(&[("planned", difference.planned.clone()), ("seen", difference.seen.clone())]));
    if !difference.causes.is_empty() {
        text.push_str("  likely, in this order (common practice, no source):\n");
    }
    for (i, cause) in difference.causes.iter().enumerate() {
        let line = table::wrap(&format!("{}: {}", cause.what, cause.why), 7);
        text.push_str(&format!("    {}. {}\n", i + 1, line.trim_start()));
    }
    text
}

fn section(text: &mut String, title: &str, lines: &[String], paint: Paint) {
    if lines.is_empty() {
        return;
    }
    text.push_str(&format!("\n{}\n", paint.strong(title)));
    for line in lines {
        text.push_str(&format!("  - {}\n", table::wrap(line, 4).trim_start()));
    }
}
