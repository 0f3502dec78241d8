//! `exercise`: arguments, progress and text.

use super::Reply;
use super::judged::section;
use super::paint::Paint;
use super::table::{facts, paragraph, table};
use crate::failure::Failure;
use crate::verbs::exercise::{self, CounterView, ErrorView, ExerciseView, ListView, OneView, Question};
use crate::world;
use domain::Capacity;
use std::time::Duration;

/// Exercises free memory of this machine with march tests, on all processors, and names the module that errs where it can.
///
/// Interrupt it at any time: it gives the memory back and says what it found so far. As root it locks the memory and tells
/// physical addresses.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Share of what may be taken, in percent; a reserve stays free in any case.
    #[arg(long, value_name = "PERCENT", default_value = "75", value_parser = percent)]
    share: f64,
    /// So much in place of a share, such as 4 GiB.
    #[arg(long, value_name = "SIZE", value_parser = size, conflicts_with = "share")]
    size: Option<Capacity>,
    /// Only this exercise; may be given again.
    #[arg(long, value_name = "NAME")]
    only: Vec<String>,
    /// A march test by its name, or in its notation: "{b(w0); u(r0,w1); d(r1,w0)}".
    #[arg(long, value_name = "TEST", conflicts_with = "only")]
    march: Option<String>,
    /// The march test of --march with one data pattern in place of seven.
    #[arg(long, requires = "march")]
    one_pattern: bool,
    /// How often to do it all.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    rounds: u32,
    /// Stop at the first error.
    #[arg(long)]
    first_error: bool,
    /// Push each write out of the caches, so that reads come from memory: many times slower.
    #[arg(long)]
    flush: bool,
    /// Processors at most.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// List exercises and march tests, with what they find, and touch nothing.
    #[arg(long)]
    list: bool,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

fn percent(text: &str) -> Result<f64, String> {
    let number: f64 = text.trim_end_matches('%').parse().map_err(|_| "write a number, such as 50".to_string())?;
    if number > 0.0 && number <= 100.0 { Ok(number) } else { Err("give a share above 0, up to 100".to_string()) }
}

fn size(text: &str) -> Result<Capacity, String> {
    Capacity::parse(text).map_err(|e| format!("{e}: {}", e.hint()))
}

/// Exercises, or lists what there is.
///
/// # Errors
/// No such exercise, a march test that can't be read, or not so much memory.
pub fn run(args: &Args, paint: Paint) -> Result<Reply, Failure> {
    if args.list {
        let view = exercise::list();
        return Reply::of(&view, args.json, false, || listed(&view, paint));
    }
    let question = Question {
        share: args.share / 100.0,
        size: args.size,
        only: args.only.clone(),
        march: args.march.clone(),
        one_pattern: args.one_pattern,
        rounds: args.rounds,
        first: args.first_error,
        flush: args.flush,
        threads: args.threads.map(usize::from),
    };
    let stop = world::interrupted()?;
    let bar = world::bar();
    let view = exercise::exercise(&question, &stop, &mut |progress| {
        bar.set_position((progress.done as f64 / progress.all.max(1) as f64 * 1000.0) as u64);
        let left =
            progress.left().map_or_else(|| "time left not known yet".to_string(), |l| format!("{} left", short(l)));
        bar.set_message(format!("{left}, errors {}", progress.errors));
    });
    bar.finish_and_clear();
    let view = view?;
    Reply::of(&view, args.json, view.has_findings(), || words(&view, paint))
}

/// `1 h 05 min`, `3 min 20 s`, `20 s`.
fn short(time: Duration) -> String {
    let seconds = time.as_secs();
    match (seconds / 3600, seconds / 60 % 60, seconds % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, m, s) => format!("{m} min {s:02} s"),
        (h, m, _) => format!("{h} h {m:02} min"),
    }
}

fn words(view: &ExerciseView, paint: Paint) -> String {
    let end = match view.end.as_str() {
        "done" => "it ran to its end",
        "first-error" => "stopped at the first error",
        "stopped" => "stopped by you",
        _ => "stopped, since other programs needed memory",
    };
    let mib = |mib: u64| Capacity::from_mib(mib).to_string();
    let share = view.exercised_mib as f64 / view.total_mib.max(1) as f64 * 100.0;
    let verdict = if view.has_findings() { "errors" } else { "no error seen" };
    let mut text = facts(&[
        (
            "memory",
            format!(
                "{} of {} ({share:.0} %), {} locked",
                mib(view.exercised_mib),
                mib(view.total_mib),
                mib(view.locked_mib)
            ),
        ),
        ("processors", view.processors.to_string()),
        ("time", format!("{}; {end}", short(Duration::from_secs_f64(view.seconds)))),
        ("moved", format!("{:.1} of {:.1} GB", view.moved_bytes as f64 / 1e9, view.planned_bytes as f64 / 1e9)),
        ("verdict", format!("{}: {} wrong reads", paint.strong(verdict), view.errors)),
    ]);
    text.push_str(&section("exercises", &exercises(&view.exercises), paint));
    text.push_str(&section("wrong reads", &errors(&view.found, view.errors), paint));
    if let Some(shared) = &view.shared {
        text.push_str(&section("where to look", &lines(&shared.words_of_it), paint));
    }
    text.push_str(&section("error counters that went up", &counters(&view.counters), paint));
    text.push_str(&section("what it did not reach", &lines(&view.limits), paint));
    text.push_str(&section("notes", &lines(&view.notes), paint));
    text
}

fn lines(all: &[String]) -> String {
    all.iter().map(|n| format!("{}\n", paragraph(&format!("- {n}"), 2, 4))).collect()
}

fn exercises(all: &[OneView]) -> String {
    let patterns = |one: &OneView| match one.patterns.as_slice() {
        [single] => single.clone(),
        many => format!("{} patterns", many.len()),
    };
    let rows = all.iter().map(|e| vec![e.name.clone(), e.march.clone(), patterns(e), e.citation.clone()]).collect();
    table(&["", "march test", "data", "from"], &[], rows)
}

/// Errors shown; `--json` has more.
const SHOWN: usize = 20;

fn errors(found: &[ErrorView], all: u64) -> String {
    if found.is_empty() {
        return String::new();
    }
    let row = |e: &ErrorView| {
        let physical = e.physical.map_or_else(|| "not told".to_string(), |p| format!("{p:012X}"));
        let again = if e.passing { "right when read again" } else { "wrong again" };
        vec![
            physical,
            e.slot.clone().unwrap_or_else(|| "not known".to_string()),
            e.expected.clone(),
            e.read.clone(),
            again.to_string(),
            e.exercise.clone(),
        ]
    };
    let rows = found.iter().take(SHOWN).map(row).collect();
    let mut text = table(&["physical", "likely slot", "written", "read", "", "exercise"], &[], rows);
    if all > SHOWN as u64 {
        text.push_str(&format!("  {all} in all; --json has the first 1000\n"));
    }
    text
}

fn counters(all: &[CounterView]) -> String {
    all.iter().map(|c| format!("  {}: {} corrected, {} uncorrected\n", c.module, c.corrected, c.uncorrected)).collect()
}

fn listed(view: &ListView, paint: Paint) -> String {
    let mut text = section("exercises", &exercises(&view.exercises), paint);
    let rows = view
        .marches
        .iter()
        .map(|m| vec![m.name.clone(), format!("{}n", m.operations), m.march.clone(), m.citation.clone()]);
    text.push_str(&section(
        "march tests for --march",
        &table(&["", "", "notation", "from"], &[1], rows.collect()),
        paint,
    ));
    let mut head = vec![""];
    head.extend(view.families.iter().map(|f| f.short.as_str()));
    let right: Vec<usize> = (1..head.len()).collect();
    let rows = view.marches.iter().map(|m| {
        let mut row = vec![m.name.clone()];
        row.extend(m.finds.iter().map(|p| format!("{p:.0}")));
        row
    });
    text.push_str(&section("faults found for certain, in percent", &table(&head, &right, rows.collect()), paint));
    let families = view.families.iter().map(|f| format!("  {:5} {}\n", f.short, f.words)).collect::<String>();
    text.push_str(&section("families of faults", &families, paint));
    text.trim_start_matches('\n').to_string()
}
