//! `spares [BUILD]`: arguments and text.

use super::Reply;
use super::judged::section;
use super::paint::Paint;
use super::table::{facts, paragraph, table};
use crate::failure::Failure;
use crate::verbs::spares::{self, Age, Basis, Question, SparesView};
use crate::world::Data;
use std::path::PathBuf;

/// Says how many modules of a fleet will fail in a year, and how many to keep in stock.
#[derive(Debug, clap::Args)]
#[command(group(clap::ArgGroup::new("fleet").required(true).args(["build", "modules"])))]
pub struct Args {
    /// A build file (TOML): the fleet is machines like it.
    #[arg(value_name = "BUILD")]
    build: Option<PathBuf>,
    /// Machines, with a build file.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    machines: u32,
    /// Modules, without one.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100_000_000))]
    modules: Option<u32>,
    /// DRAM devices of a module, without a build file.
    #[arg(long, value_name = "N", conflicts_with = "build", value_parser = clap::value_parser!(u32).range(1..=1024))]
    devices: Option<u32>,
    /// What counts as a failure.
    #[arg(long, value_name = "BASIS", value_enum, default_value_t = Basis::PermanentFault)]
    basis: Basis,
    /// Your own share of modules that fail in a year, in percent.
    #[arg(long, value_name = "PERCENT", value_parser = percent, conflicts_with = "scale")]
    yearly: Option<f64>,
    /// Times the rate of the basis, as your own modules are better or worse.
    #[arg(long, value_name = "FACTOR", default_value = "1", value_parser = factor)]
    scale: f64,
    /// How old the modules are.
    #[arg(long, value_name = "AGE", value_enum, default_value_t = Age::Settled)]
    age: Age,
    /// Days until ordered modules come.
    #[arg(long, value_name = "DAYS", default_value = "365", value_parser = days)]
    resupply: f64,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

fn within(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let number: f64 = text.trim_end_matches('%').parse().map_err(|_| "write a number, such as 1.5".to_string())?;
    if (least..=most).contains(&number) { Ok(number) } else { Err(format!("give a figure from {least} to {most}")) }
}

fn percent(text: &str) -> Result<f64, String> {
    within(text, 0.0, 100.0)
}
fn factor(text: &str) -> Result<f64, String> {
    within(text, 0.0, 1000.0)
}
fn days(text: &str) -> Result<f64, String> {
    within(text, 0.0, 3650.0)
}

/// Works it out.
///
/// # Errors
/// The build file is wrong.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let question = Question {
        count: args.modules.unwrap_or(args.machines),
        devices: args.devices,
        basis: args.basis,
        yearly: args.yearly.map(|p| p / 100.0),
        scale: args.scale,
        age: args.age,
        resupply: args.resupply,
    };
    let view = spares::spares(&data.library, args.build.as_deref(), &question)?;
    Reply::of(&view, args.json, false, || words(&view, paint))
}

fn words(view: &SparesView, paint: Paint) -> String {
    let rate = format!("{} ({}, {})", view.basis_words, view.basis, view.source);
    let mut text = facts(&[
        ("a failure is", rate),
        ("modules", view.modules.to_string()),
        ("failures a year", format!("{:.2}", view.failures_a_year)),
        ("until new ones come", format!("{:.2} in {} days", view.failures_until_resupply, view.resupply_days)),
    ]);
    let lots = view.lots.iter().map(|l| {
        let share = format!("{:.3} %", l.yearly_percent);
        vec![l.module.clone(), l.modules.to_string(), l.devices.to_string(), share, format!("{:.2}", l.failures_a_year)]
    });
    let head = ["module", "modules", "devices each", "fail in a year", "failures a year"];
    text.push_str(&section("by module", &table(&head, &[1, 2, 3, 4], lots.collect()), paint));
    let shapes: Vec<f64> = view.stock.first().map_or_else(Vec::new, |s| s.uneven.iter().map(|u| u.shape).collect());
    let mut head = vec!["enough with".to_string(), "spares".to_string()];
    head.extend(shapes.iter().map(|s| format!("batches differ ({s})")));
    let head: Vec<&str> = head.iter().map(String::as_str).collect();
    let right: Vec<usize> = (1..head.len()).collect();
    let rows = view.stock.iter().map(|s| {
        let mut row = vec![format!("{} %", s.level), s.spares.to_string()];
        row.extend(s.uneven.iter().map(|u| u.spares.to_string()));
        row
    });
    text.push_str(&section("stock", &table(&head, &right, rows.collect()), paint));
    let rows = view.field.iter().map(|f| {
        let figure = match f.unit.as_str() {
            "percent" if f.figure < 0.01 => format!("{:.4} %", f.figure),
            "percent" => format!("{:.1} %", f.figure),
            unit => format!("{:.1} {unit}", f.figure),
        };
        vec![figure, f.what.clone(), f.source.clone()]
    });
    text.push_str(&section("what others counted", &table(&["", "", "where"], &[], rows.collect()), paint));
    let notes: String = view.notes.iter().map(|n| format!("{}\n", paragraph(&format!("- {n}"), 2, 4))).collect();
    text.push_str(&section("notes", &notes, paint));
    text
}
