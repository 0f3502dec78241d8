//! `draft MACHINE`: arguments and text.

use super::Reply;
use super::paint::Paint;
use super::table::{facts, table, wrap};
use crate::failure::Failure;
use crate::verbs::draft::{self, DraftView, blank};
use crate::world::{self, Data};
use catalog::{Folder, Input};
use domain::Generation;
use std::path::{Path, PathBuf};

/// Works out a machine's board from what it reports, and writes a board file to confirm and finish.
///
/// MACHINE is a snapshot, an SMBIOS table, a folder with one, or a saved Redfish tree. Nothing is guessed: what rests on a
/// habit of naming is `likely`, what is open is `unsure`, and each question names the readings that are left.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// What the machine reported; `-` is standard input.
    #[arg(value_name = "MACHINE", required_unless_present = "blank", conflicts_with = "blank")]
    machine: Option<PathBuf>,
    /// Which of several systems of a report, from 1.
    #[arg(long, alias = "node", value_name = "N", default_value_t = 1)]
    system: usize,
    /// Your own processor names (TOML): processors = { "name pattern" = "family" }.
    #[arg(long, value_name = "FILE")]
    names: Option<PathBuf>,
    /// No machine: a board file to fill in from the service manual. Counts that are not given are asked for.
    #[arg(long)]
    blank: bool,
    /// Sockets of a blank board.
    #[arg(long, value_name = "N", requires = "blank")]
    sockets: Option<usize>,
    /// Memory controllers of a socket of a blank board.
    #[arg(long, value_name = "N", requires = "blank")]
    controllers: Option<usize>,
    /// Channels of a controller of a blank board.
    #[arg(long, value_name = "N", requires = "blank")]
    channels: Option<usize>,
    /// Slots of a channel of a blank board.
    #[arg(long, value_name = "N", requires = "blank")]
    slots: Option<usize>,
    /// The generation of a blank board: DDR3, DDR4 or DDR5.
    #[arg(long, value_name = "DDR", requires = "blank", value_parser = generation)]
    generation: Option<Generation>,
    /// Write the board file here; it must not be there yet.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Print the view as JSON.
    #[arg(long, conflicts_with = "blank")]
    json: bool,
}

fn generation(text: &str) -> Result<Generation, String> {
    Generation::parse(text).ok_or_else(|| "use DDR3, DDR4 or DDR5".to_string())
}

/// Drafts.
///
/// # Errors
/// The report or the names can't be read, a count is missing or out of range, or the board file can't be written.
pub fn run(args: &Args, data: &Data, paint: Paint) -> Result<Reply, Failure> {
    if let Some(out) = args.out.as_deref().filter(|o| o.exists()) {
        return Err(Failure::DraftThere { path: out.display().to_string() });
    }
    let Some(machine) = args.machine.as_deref() else {
        return from_counts(args, data);
    };
    let named;
    let library = match &args.names {
        None => &data.library,
        Some(path) => {
            let folder = Folder::new("");
            named = data.library.with_names(&Input::file(&folder, path)?)?;
            &named
        }
    };
    let drafted = draft::draft(machine, args.system, library)?;
    let open = drafted.view.confidence != "sure";
    let mut reply = Reply::of(&drafted.view, args.json, open, || words(&drafted.view, args.out.as_deref(), paint))?;
    if let Some(out) = &args.out {
        world::write_file(out, &drafted.board)?;
        reply.notices.push(format!("wrote {}: drafted, to be confirmed", out.display()));
    }
    Ok(reply)
}

fn from_counts(args: &Args, data: &Data) -> Result<Reply, Failure> {
    let counts = blank::Counts {
        sockets: args.sockets,
        controllers: args.controllers,
        channels: args.channels,
        slots: args.slots,
        generation: args.generation,
    };
    let board = catalog::write_board(&blank::board(&counts, data.library.catalog(), &mut world::ask)?);
    let Some(out) = &args.out else {
        return Ok(Reply::new(board, false));
    };
    world::write_file(out, &board)?;
    let mut reply = Reply::new(String::new(), false);
    reply.notices.push(format!("wrote {}: fill it in from the manual", out.display()));
    Ok(reply)
}

fn words(view: &DraftView, out: Option<&Path>, paint: Paint) -> String {
    let count = |n: Option<usize>| n.map_or_else(|| "not known".to_string(), |n| n.to_string());
    let mut rows = vec![
        ("confidence", view.confidence.clone()),
        ("sockets", count(view.sockets)),
        ("channels a socket", count(view.channels_per_socket)),
        ("slots", view.slots.len().to_string()),
    ];
    if let Some(processor) = &view.processor {
        let family = view.family.as_ref().map_or_else(String::new, |f| format!(", {f}"));
        rows.push(("processor", format!("{processor}{family}")));
    }
    let mut text = facts(&rows);
    text.push_str(&format!("\n{}", slots(view)));
    if let Some(first) = view.slots.first().filter(|s| !s.evidence.is_empty()) {
        text.push_str(&list("what it rests on", &first.evidence, paint));
    }
    let questions: Vec<String> = view.questions.iter().map(question).collect();
    text.push_str(&list("to confirm", &questions, paint));
    text.push_str(&list("noted", &view.notes, paint));
    if out.is_none() {
        text.push_str("\nWith --out FILE it is written as a board file.\n");
    }
    text
}

fn question(question: &draft::QuestionView) -> String {
    let mut text = question.question.clone();
    for (i, reading) in question.readings.iter().enumerate() {
        text.push_str(&format!(" ({}) {reading};", i + 1));
    }
    if !question.slots.is_empty() {
        text.push_str(&format!(" slots: {}", question.slots.join(", ")));
    }
    text.trim_end_matches(';').to_string()
}

fn list(title: &str, lines: &[String], paint: Paint) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{}\n", paint.strong(title));
    for line in lines {
        text.push_str(&format!("  - {}\n", wrap(line, 4).trim_start()));
    }
    text
}

fn slots(view: &DraftView) -> String {
    let number = |n: Option<usize>| n.map_or_else(|| "?".to_string(), |n| n.to_string());
    let mut rows: Vec<_> = view.slots.iter().collect();
    rows.sort_by_key(|s| (s.socket, s.channel, s.position));
    let row = |s: &&draft::SlotView| {
        vec![
            s.label.clone(),
            number(s.socket),
            number(s.channel),
            number(s.position),
            s.confidence.clone(),
            s.handle.clone(),
        ]
    };
    table(
        &["slot", "socket", "channel", "position", "confidence", "handle"],
        &[1, 2, 3],
        rows.iter().map(row).collect(),
    )
}
