//! `demo`: arguments and text.

use super::paint::Paint;
use super::{Reply, judged, plan};
use crate::failure::Failure;
use crate::verbs::demo;
use crate::verbs::drawing::Map;
use crate::world;
use std::path::PathBuf;

/// Plans a demo need on the shipped data and shows one plan closely, with its slot map.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    /// Where to write the slot map as SVG.
    #[arg(long, value_name = "FILE", default_value = "slotwright-demo.svg")]
    svg: PathBuf,
}

/// Runs the demo.
///
/// # Errors
/// The drawing can't be written; or the demo's data is wrong, which is our bug.
pub fn run(args: &Args, paint: Paint) -> Result<Reply, Failure> {
    let library = world::shipped()?;
    let demo = demo::demo(&library)?;
    let view = &demo.view;
    let mut reply = Reply::of(view, args.json, view.plans.is_empty(), || text(&demo, paint))?;
    let shown = view.shown.and_then(|n| demo.planned.plans.get(n - 1));
    if let Some(plan) = shown {
        reply.notices.push(Map::planned(plan).save(&args.svg)?);
    }
    Ok(reply)
}

fn text(demo: &demo::Demo, paint: Paint) -> String {
    let mut text = judged::section("a need, as it is written (examples/need-750.toml)", &demo.view.need_file, paint);
    text = text.trim_start().to_string();
    let plans = plan::overview(&demo.planned.view, paint);
    text.push_str(&judged::section("the plans worth having", &plans, paint));
    if let Some(number) = demo.view.shown {
        let heading = format!("plan {number}, which has the most bandwidth");
        let closely = plan::closely(&demo.planned, number, paint);
        text.push_str(&judged::section(&heading, &closely, paint));
    }
    text
}
