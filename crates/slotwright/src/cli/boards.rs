//! `boards [NAME]`: arguments and text.

use super::paint::Paint;
use super::{Reply, board, table};
use crate::failure::Failure;
use crate::verbs::boards::{self, BoardListView, Question};
use crate::verbs::drawing::Map;
use crate::world::Data;
use std::path::PathBuf;

/// Lists the boards, or shows one with its slots in filling order, or the slots for so many modules.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// A board's name, or the path of a board file ending in .toml.
    name: Option<String>,
    /// Modules per processor: show only the slots that they go into.
    #[arg(long, value_name = "N", requires = "name")]
    count: Option<u16>,
    /// The RAS mode that the order is for; `independent` if not given.
    #[arg(long, value_name = "MODE", requires = "name")]
    mode: Option<String>,
    /// The processor family; the board's first if not given.
    #[arg(long, value_name = "FAMILY", requires = "name")]
    processor: Option<String>,
    /// Package ranks of the modules, where the board's charts differ by them.
    #[arg(long, value_name = "N", requires = "count")]
    ranks: Option<u8>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    /// Also write the board's slot map as SVG.
    #[arg(long, value_name = "FILE", requires = "name")]
    svg: Option<PathBuf>,
}

/// Lists or shows.
///
/// # Errors
/// There is no such board, mode or processor, its file is wrong, or the drawing can't be written.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    let library = &data.library;
    let Some(name) = &args.name else {
        let view = boards::list(library.catalog());
        return Reply::of(&view, args.json, false, || list(&view));
    };
    let found = boards::find(library, name)?;
    let question =
        Question { count: args.count, mode: args.mode.clone(), processor: args.processor.clone(), ranks: args.ranks };
    let answer = boards::one(library.catalog(), &found, &question)?;
    let map = Map::ordered(&answer.build, &answer.order);
    let refused = answer.view.is_refused();
    let mut reply =
        Reply::of(&answer.view, args.json, refused, || board::text(&answer.view, &map.text(paint.is_on()), paint))?;
    if let Some(path) = &args.svg {
        reply.notices.push(map.save(path)?);
    }
    Ok(reply)
}

fn list(view: &BoardListView) -> String {
    let rows = view
        .boards
        .iter()
        .map(|b| vec![b.id.clone(), b.generation.clone(), b.sockets.to_string(), b.slots.to_string(), b.title.clone()]);
    let mut text = table::table(&["board", "memory", "sockets", "slots", "what it is"], &[2, 3], rows.collect());
    text.push_str("\n`slotwright boards NAME` shows one.\n");
    text
}
