//! `snapshot`: arguments and text.

use super::paint::Paint;
use super::{Reply, codes, table};
use crate::failure::Failure;
use crate::remote;
use crate::verbs::snapshot as verb;
use crate::world;
use domain::Snapshot;
use domain::snapshot::{ErrorCounts, Note, SeenSlot, SlotState};
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

/// Writes down what this machine says of its memory, as one JSON document for `read`, `draft` and `compare`.
///
/// Run it as root on the machine itself, from a live system if need be. Without --out, a terminal gets a summary, and a
/// pipe or file gets the document.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Read the file system under this folder in place of this machine's.
    #[arg(long, value_name = "DIR")]
    root: Option<PathBuf>,
    /// Write the document to this file, and print the summary. With --qr a folder, named with a / at its end where it is not
    /// there yet, gets the codes as SVG.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Send the document to a server of the bench (`slotwright serve`), such as http://192.0.2.10:7120. It has serial
    /// numbers in it, and by http:// it travels in the clear.
    #[arg(long, value_name = "ADDRESS")]
    send: Option<String>,
    /// With --send: a file whose first line is that server's access token; else SLOTWRIGHT_TOKEN.
    #[arg(long, value_name = "FILE", requires = "send")]
    token_file: Option<PathBuf>,
    /// Show the document as 2-D codes, to be scanned off the screen of a machine from which nothing else gets out.
    #[arg(long, conflicts_with = "json")]
    qr: bool,
    /// Print the document, on a terminal too.
    #[arg(long)]
    json: bool,
}

/// Takes the snapshot and writes, sends or prints it.
///
/// # Errors
/// The root folder is not there, or the document can't be written or sent.
pub fn run(args: &Args, paint: Paint) -> Result<Reply, Failure> {
    let snapshot = verb::take(args.root.clone())?;
    let document = readers::snapshot::write(&snapshot);
    let nothing = verb::is_empty(&snapshot);
    let folder = args.out.as_deref().filter(|path| args.qr && is_folder(path));
    let file = args.out.as_deref().filter(|_| folder.is_none());
    if let Some(path) = file {
        world::write_file(path, &document)?;
    }
    let page = match &args.send {
        Some(to) if !nothing => Some(sent(to, args, &document)?),
        _ => None,
    };
    let elsewhere = args.qr || file.is_some() || page.is_some();
    let whole = args.json || (!elsewhere && !io::stdout().is_terminal());
    let mut reply = Reply::new(if whole { document } else { summary(&snapshot, paint) }, nothing);
    if args.qr && !nothing {
        let (text, notice) = match folder {
            Some(folder) => (reply.text, codes::write(&snapshot, folder)?),
            None => codes::show(&snapshot, paint.is_on())?,
        };
        reply.text = text;
        reply.notices.push(notice);
    }
    reply.notices.extend(file.map(|path| format!("document written: {}", path.display())));
    reply.notices.extend(page.map(|page| format!("sent: open {page} in a browser")));
    if nothing {
        let unsent = if args.send.is_some() { "; nothing was sent" } else { "" };
        reply.notices.push(format!("nothing could be read: the notes say why{unsent}"));
    }
    Ok(reply)
}

/// Is or would it be a folder?
fn is_folder(path: &Path) -> bool {
    path.is_dir() || path.as_os_str().to_string_lossy().ends_with('/')
}

/// Sends the document; a failure says how not to lose it.
fn sent(to: &str, args: &Args, document: &str) -> Result<String, Failure> {
    let token = super::serve::token(args.token_file.as_deref())?;
    remote::send(to, token.as_deref(), document).map_err(|failure| match failure {
        Failure::Send { to, why, hint } if args.out.is_none() => {
            Failure::Send { to, why, hint: format!("{hint}; or write it with --out FILE and carry it by hand") }
        }
        other => other,
    })
}

fn summary(snapshot: &Snapshot, paint: Paint) -> String {
    let filled = snapshot.memory_slots().filter(|s| s.module.is_some()).count();
    let sockets = snapshot.processors.iter().filter(|p| p.present != Some(false)).count();
    let known = |text: &Option<String>| text.clone().unwrap_or_else(|| "not told".to_string());
    let memory = format!("{}, {filled} of {} slots filled", snapshot.installed(), snapshot.memory_slots().count());
    let mut text = table::facts(&[
        ("machine", known(&snapshot.system)),
        ("firmware", known(&snapshot.firmware)),
        ("processors", format!("{sockets} of {} sockets filled", snapshot.processors.len())),
        ("memory", memory),
        ("errors", errors(&snapshot.errors)),
    ]);
    if !snapshot.slots.is_empty() {
        let head = ["slot", "bank", "holds", "rated", "runs at", "part number"];
        text.push_str(&format!("\n{}", table::table(&head, &[], snapshot.memory_slots().map(row).collect())));
    }
    if !snapshot.notes.is_empty() {
        text.push_str(&format!("\n{}\n", paint.strong("notes")));
    }
    for Note { place, what, .. } in &snapshot.notes {
        let line = place.as_ref().map_or_else(|| what.clone(), |place| format!("{place}: {what}"));
        text.push_str(&format!("  - {}\n", table::wrap(&line, 4).trim_start()));
    }
    text
}

fn row(slot: &SeenSlot) -> Vec<String> {
    let module = slot.module.as_ref();
    let holds = match (slot.state, module.map(|m| &m.reading)) {
        (SlotState::Empty, _) => "empty".to_string(),
        (_, Some(reading)) => {
            let kind = reading.kind.map(|k| k.name().to_string());
            let generation = reading.generation.map(|g| g.name().to_string());
            let size = reading.capacity.map(|c| c.to_string());
            [size, generation, kind].into_iter().flatten().collect::<Vec<_>>().join(" ")
        }
        _ => "not told".to_string(),
    };
    let rate = |seen: Option<domain::snapshot::SeenRate>| seen.map_or_else(String::new, |r| r.rate.to_string());
    vec![
        if slot.name.trim().is_empty() { slot.handle.clone().into() } else { slot.name.trim().to_string() },
        slot.bank.as_deref().unwrap_or_default().trim().to_string(),
        holds,
        rate(module.and_then(|m| m.rated)),
        rate(module.and_then(|m| m.running)),
        module.and_then(|m| m.reading.part_number.clone()).unwrap_or_default().into(),
    ]
}

/// Counts with the time that they have run, without which they say little.
fn errors(counts: &ErrorCounts) -> String {
    let ErrorCounts::Read(all) = counts else { return "not counted".to_string() };
    let sum = |of: fn(&domain::snapshot::ErrorController) -> Option<u64>| all.iter().filter_map(of).sum::<u64>();
    let since = all.iter().filter_map(|c| c.seconds).max();
    let hours = since.map_or_else(String::new, |s| format!(" in {:.1} hours", s as f64 / 3600.0));
    format!("{} corrected, {} not corrected{hours}", sum(|c| c.corrected), sum(|c| c.uncorrected))
}
