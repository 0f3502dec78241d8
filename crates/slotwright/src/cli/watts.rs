//! `watts BUILD`: arguments and text.

use super::Reply;
use super::judged::section;
use super::paint::Paint;
use super::table::{facts, paragraph, table};
use crate::failure::Failure;
use crate::verbs::watts::{self, ModuleWattsView, Question, WattsView};
use crate::world::Data;
use std::path::PathBuf;

/// Says what a build's memory draws while it works, from the currents of typical devices.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A build file (TOML).
    #[arg(value_name = "BUILD")]
    build: PathBuf,
    /// Share of each channel's peak that is in use, in percent.
    #[arg(long, value_name = "PERCENT", default_value = "50", value_parser = percent)]
    used: f64,
    /// Share of the traffic that is reads, in percent.
    #[arg(long, value_name = "PERCENT", default_value = "67", value_parser = percent)]
    reads: f64,
    /// Share of accesses that find their row open, in percent.
    #[arg(long, value_name = "PERCENT", default_value = "50", value_parser = percent)]
    row_hits: f64,
    /// How hot the devices are, in °C.
    #[arg(long, value_name = "CELSIUS", default_value = "60", value_parser = celsius)]
    temperature: f64,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
}

fn within(text: &str, least: f64, most: f64) -> Result<f64, String> {
    let number: f64 = text.parse().map_err(|_| "write a number, such as 50".to_string())?;
    if (least..=most).contains(&number) { Ok(number) } else { Err(format!("give a figure from {least} to {most}")) }
}
fn percent(text: &str) -> Result<f64, String> {
    within(text.trim_end_matches('%'), 0.0, 100.0)
}
fn celsius(text: &str) -> Result<f64, String> {
    within(text, 0.0, 125.0)
}

/// Works it out.
///
/// # Errors
/// The build file is wrong.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let share = |percent: f64| percent / 100.0;
    let question = Question {
        used: share(args.used),
        reads: share(args.reads),
        hits: share(args.row_hits),
        celsius: args.temperature,
    };
    let view = watts::watts(&data.library, &args.build, question)?;
    Reply::of(&view, args.json, false, || words(&view, paint))
}

fn words(view: &WattsView, paint: Paint) -> String {
    let often = if view.hot { "twice as often as below 85 °C" } else { "as often as below 85 °C" };
    let mut text = facts(&[
        ("board", format!("{} at {} MT/s", view.board, view.data_rate_mts)),
        (
            "at work",
            format!(
                "{} % of peak, {:.1} GB/s; {} % reads, {} % of rows found open",
                view.used_percent, view.through_gbs, view.reads_percent, view.row_hits_percent
            ),
        ),
        ("refresh", format!("{often}; {:.1} % of the time", view.refresh_percent)),
        ("watts", format!("{:.1} standing, {:.1} at work", view.standing_watts, view.working_watts)),
        (
            "catalogue",
            format!(
                "{:.1} loaded{}",
                view.catalogue_watts,
                if view.catalogue_complete { "" } else { ", partly by a plain default" }
            ),
        ),
        ("currents", view.currents_source.join("; ")),
    ]);
    let head = [
        "", "module", "GB/s", "standing", "at work", "standby", "activate", "transfer", "refresh", "register", "supply",
    ];
    let right: Vec<usize> = [0].into_iter().chain(2..head.len()).collect();
    let rows = view.modules.iter().map(row).collect();
    text.push_str(&section("watts of each module", &table(&head, &right, rows), paint));
    let notes: String = view.notes.iter().map(|n| format!("{}\n", paragraph(&format!("- {n}"), 2, 4))).collect();
    text.push_str(&section("notes", &notes, paint));
    text
}

fn row(module: &ModuleWattsView) -> Vec<String> {
    let watts = [
        module.standing_watts,
        module.working_watts,
        module.standby_watts,
        module.activate_watts,
        module.transfer_watts,
        module.refresh_watts,
        module.register_watts,
        module.supply_loss_watts,
    ];
    let mut row = vec![format!("{} ×", module.count), module.module.clone(), format!("{:.1}", module.through_gbs)];
    row.extend(watts.map(|w| format!("{w:.2}")));
    row
}
