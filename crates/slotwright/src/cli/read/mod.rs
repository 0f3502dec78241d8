//! `read [THING...]`: arguments and text.

mod errors;
mod machine;
mod module;
mod tray;

use super::Reply;
use super::judged::section;
use super::paint::Paint;
use super::table::{paragraph, wrap};
use crate::failure::Failure;
use crate::verbs::read::{self, As, ItemView, NoteView, Question, ReadView, SignView, UnreadView};
use crate::{remote, world};

/// Reads modules and machines: labels, part numbers, SPD contents, SMBIOS tables, Redfish, error counters and
/// logs, lists.
///
/// It recognises what it is given, screens used modules, and says where each fact comes from.
// The services' arguments are a group of the same name.
#[derive(Debug, clap::Args)]
#[group(skip)]
pub struct Args {
    /// Files, folders, https:// addresses, texts such as "64GB 2Rx4 PC4-2933Y-RB2-12", or - for standard input.
    #[arg(value_name = "THING")]
    things: Vec<String>,
    /// What the things are, where they are not recognised.
    #[arg(long = "as", value_enum, value_name = "KIND")]
    kind: Option<As>,
    /// All things are evidence about one module: hold them against each other.
    #[arg(long)]
    same: bool,
    /// Take the modules for one tray: a line a module and a summary.
    #[arg(long, conflicts_with = "same")]
    tray: bool,
    /// When corrected errors are too many; read an SMBIOS table together with the log to have its slots named.
    #[arg(long, value_name = "NAME", value_parser = thresholds())]
    threshold: Option<String>,
    /// Print the view as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    services: remote::Args,
}

/// The names of thresholds.
fn thresholds() -> clap::builder::PossibleValuesParser {
    read::thresholds().into()
}

/// Reads what was given.
///
/// # Errors
/// Nothing of it can be read.
pub fn run(args: &Args, paint: Paint) -> Result<Reply, Failure> {
    let question = Question {
        things: args.things.clone(),
        kind: args.kind,
        same: args.same,
        tray: args.tray,
        today: read::week_of(world::today()),
        threshold: read::threshold(args.threshold.as_deref()),
    };
    let view = read::read(&question, &args.services)?;
    let mut reply = Reply::of(&view, args.json, view.has_findings(), || text(&view, paint))?;
    if view.has_unread() {
        reply.code = world::INPUT;
    }
    if args.things.iter().any(|t| remote::is_address(t)) {
        reply.notices.extend(args.services.cautions());
    }
    Ok(reply)
}

/// Items of one sort are a table where there are several; a module alone is shown closely.
fn text(view: &ReadView, paint: Paint) -> String {
    let modules: Vec<(usize, &ItemView)> = view.items.iter().enumerate().filter(|(_, i)| i.module.is_some()).collect();
    let shown = view.tray.as_ref().filter(|t| t.shown || modules.len() > 1);
    let mut text = String::new();
    match (shown, &modules[..]) {
        (Some(tray), _) => text.push_str(&tray::whole(tray, &modules, paint)),
        (None, items) => items.iter().for_each(|(_, item)| text.push_str(&module::closely(item, paint))),
    }
    for item in view.items.iter().filter(|i| i.machine.is_some()) {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&machine::whole(item, paint));
    }
    for item in view.items.iter().filter(|i| i.errors.is_some()) {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&errors::whole(item, paint));
    }
    text.push_str(&section("not read", &unread(&view.unread), paint));
    text
}

fn unread(unread: &[UnreadView]) -> String {
    let mut text = String::new();
    for one in unread {
        let at = one.offset.map_or_else(String::new, |o| format!(" at offset {o}"));
        text.push_str(&format!("{}\n", wrap(&format!("{}{at}: {}", one.from, one.why), 2)));
        text.push_str(&format!("{}\n", wrap(&format!("do: {}", one.hint), 6)));
    }
    text
}

/// Findings with all that explains them.
fn findings(found: &[SignView], paint: Paint) -> String {
    let seen: Vec<(String, &SignView)> = found.iter().map(|f| (String::new(), f)).collect();
    grouped(&seen, paint)
}

/// Findings of several modules, heaviest first: one explanation for each name, with all its evidence and whose it is.
fn grouped(seen: &[(String, &SignView)], paint: Paint) -> String {
    let mut names: Vec<&SignView> = Vec::new();
    for (_, found) in seen {
        if !names.iter().any(|n| n.name == found.name) {
            names.push(found);
        }
    }
    let order = ["reject", "suspect", "note"];
    names.sort_by_key(|n| order.iter().position(|w| *w == n.weight));
    let mut text = String::new();
    for name in names {
        text.push_str(&format!("  {}: {}\n", paint.severity(&name.weight), name.name));
        let mut lines: Vec<String> = Vec::new();
        for (whose, found) in seen.iter().filter(|(_, f)| f.name == name.name) {
            lines.push(if whose.is_empty() { found.evidence.clone() } else { format!("{whose}: {}", found.evidence) });
        }
        lines.push(format!("it means: {}", lower(&name.means)));
        lines.push(format!("innocently: {}", name.innocent));
        lines.push(format!("do: {} ({})", name.advice, name.source));
        for line in lines {
            text.push_str(&wrap(&line, 6));
            text.push('\n');
        }
    }
    text
}

/// A sentence's start inside another; `SPD` stays.
fn lower(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(chars).collect()
        }
        _ => text.to_string(),
    }
}

/// Notes, each with its place.
fn notes(notes: &[NoteView]) -> String {
    let mut text = String::new();
    for note in notes {
        let mut line = String::new();
        if let Some(place) = &note.place {
            line.push_str(&format!("{place}: "));
        }
        line.push_str(&note.what);
        if let Some(offset) = note.offset {
            line.push_str(&format!(" (offset {offset})"));
        }
        text.push_str(&paragraph(&format!("- {line}"), 2, 4));
        text.push('\n');
    }
    text
}
