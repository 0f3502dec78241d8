//! `check BUILD`: arguments and text.

use super::paint::Paint;
use super::{Reply, judged};
use crate::failure::Failure;
use crate::verbs::check;
use crate::verbs::drawing::Map;
use crate::world::Data;
use std::path::PathBuf;

/// Judges a build: capacity, data rate, regions, bandwidth, power, and what every rule finds.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A build file (TOML).
    #[arg(value_name = "BUILD")]
    file: PathBuf,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    /// Also write the slot map as SVG.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
}

/// Judges the build and says what was found.
///
/// # Errors
/// The file is wrong, or the drawing can't be written.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let library = &data.library;
    let checked = check::check(library, &args.file)?;
    let view = &checked.view;
    let map = Map::judged(&checked.build, &checked.judgement);
    let mut reply =
        Reply::of(view, args.json, view.has_findings(), || judged::whole(view, &map.text(paint.is_on()), paint))?;
    if let Some(path) = &args.svg {
        reply.notices.push(map.save(path)?);
    }
    Ok(reply)
}
