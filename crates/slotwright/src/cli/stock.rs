//! `stock`: arguments and text.

mod bench;
mod correct;
pub mod evidence;
mod scan;

use super::Reply;
use super::table::table;
use crate::failure::Failure;
use crate::verbs::shop::act::{self, Act as Bench};
use crate::verbs::shop::correct as verbs_correct;
use crate::verbs::shop::stock::{self, ItemView, Row, ShelfLine};
use crate::verbs::shop::{calendar, count, evidence as kept, intake, order, worth};
use crate::world::{self, Data};
use domain::item::{ItemState, Search, Subject};
use std::path::{Path, PathBuf};
use store::Store;

/// The shop's modules: single ones with their serials, and lots.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// What the shelf holds by model; with --items, single items.
    List {
        /// Words that must all be found: of label, part number or maker, a bin, or how a serial begins or ends.
        #[arg(value_name = "WORDS")]
        words: Vec<String>,
        #[arg(long)]
        items: bool,
        /// Only items in this state.
        #[arg(long, value_name = "STATE", requires = "items")]
        state: Option<String>,
        /// At most so many, 1 to 1000.
        #[arg(long, default_value_t = 100, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
        most: u32,
        /// Leave out so many.
        #[arg(long, default_value_t = 0, value_name = "N")]
        skip: u32,
        #[arg(long)]
        json: bool,
    },
    /// One item and all that happened to it.
    Show {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        #[arg(long)]
        json: bool,
    },
    /// Take one module or one lot in.
    Add {
        /// A module label, or an id of the catalogue.
        #[arg(value_name = "LABEL")]
        label: String,
        #[arg(long, default_value = "", value_name = "TEXT")]
        part_number: String,
        #[arg(long, default_value = "", value_name = "NAME")]
        maker: String,
        #[arg(long, default_value = "", value_name = "TEXT", conflicts_with = "count")]
        serial: String,
        /// How many, for a lot without serials.
        #[arg(long, default_value = "", value_name = "N")]
        count: String,
        /// new or used.
        #[arg(long, default_value = "used", value_name = "WORD")]
        condition: String,
        #[arg(long, default_value = "", value_name = "BIN")]
        bin: String,
        /// What one cost, such as "42.50 EUR".
        #[arg(long, value_name = "MONEY")]
        cost: String,
        /// From whom, by which reference.
        #[arg(long, default_value = "", value_name = "SUPPLIER/REF")]
        batch: String,
        #[arg(long, default_value = "", value_name = "TEXT")]
        note: String,
        #[arg(long)]
        json: bool,
    },
    /// Take a list in, each module screened: all rows or none, every bad row told.
    Intake {
        /// A list with a header: label, code, part number, spd (a dump beside it), serial, maker, die, made, count, condition, bin,
        /// cost, supplier, batch, received, note; - is standard input.
        #[arg(value_name = "FILE")]
        file: PathBuf,
        #[command(flatten)]
        terms: bench::TermArgs,
        #[arg(long)]
        json: bool,
    },
    /// Put an item into another bin.
    Move {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        #[arg(long, value_name = "BIN")]
        bin: String,
        /// Of a lot only so many, which become an item of their own.
        #[arg(long, value_name = "N")]
        count: Option<u32>,
    },
    /// Set an item aside, put it back on the shelf, or mark it otherwise.
    Mark {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        /// "on the shelf", "held back", scrapped or missing; it becomes shipped by its order, and sent back by `supplier send`.
        #[arg(value_name = "STATE")]
        state: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        /// Of a lot only so many, which become an item of their own.
        #[arg(long, value_name = "N")]
        count: Option<u32>,
    },
    /// Mend what was written wrong of an item; its history keeps both.
    Correct {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        #[command(flatten)]
        right: correct::Args,
    },
    /// Take in a folder of SPD dumps, each screened: all of it or nothing.
    Tray {
        #[arg(value_name = "FOLDER")]
        folder: PathBuf,
        #[command(flatten)]
        terms: bench::TermArgs,
        #[arg(long)]
        json: bool,
    },
    /// Scan modules in: a label, then its serial, and so on; `bin A3`, `undo`, `done`.
    ///
    /// A 2-D code that carries the serial needs no second line; `none` stands for no serial. Nothing is taken in before `done`.
    Scan {
        #[command(flatten)]
        terms: bench::TermArgs,
        #[arg(long)]
        json: bool,
    },
    /// Compare a bin with the serials that lie in it, one a line.
    Count {
        #[arg(long, value_name = "BIN")]
        bin: String,
        /// A file of serials, or - for standard input.
        #[arg(value_name = "FILE|-", required_unless_present = "empty", conflicts_with = "empty")]
        from: Option<PathBuf>,
        /// Nothing lies in the bin.
        #[arg(long)]
        empty: bool,
        /// Make the store say so: move what was found, mark what is missing.
        #[arg(long)]
        accept: bool,
        #[arg(long)]
        json: bool,
    },
    /// Sum up what is in stock and what it cost.
    Value {
        #[arg(long)]
        json: bool,
    },
    /// Print what is on the shelf as a table that `intake` reads.
    Export,
    /// Write down that a module failed, with the record of its diagnosis, and hold it back; `supplier send` sends it back.
    Fail {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        /// The record of the diagnosis, a file.
        #[arg(long, value_name = "FILE")]
        record: Option<PathBuf>,
        #[arg(long)]
        json: bool,
    },
    /// Attach photos, logs, snapshots or records to an item; list them; get one back.
    Attach {
        #[arg(value_name = "SERIAL|ITEM")]
        item: String,
        #[command(flatten)]
        files: evidence::AttachArgs,
    },
}

/// Does what was asked.
///
/// # Errors
/// There is no such item, a row is wrong, or the store's.
pub fn run(args: &Args, data: &Data, store: &Store) -> Result<Reply, Failure> {
    let who = world::who();
    let today = calendar::of(world::today());
    match &args.act {
        Act::List { words, items, state, most, skip, json } => {
            let state = state.as_deref().map(read_state).transpose()?;
            let search = Search { words: words.join(" "), state, most: *most, skip: *skip, ..Search::default() };
            if *items {
                let view = stock::items(store, &search)?;
                return Reply::of(&view, *json, false, || item_list(&view, *skip));
            }
            let view = stock::shelf(store, &search)?;
            Reply::of(&view, *json, false, || shelf(&view, *skip))
        }
        Act::Show { item, json } => {
            let view = stock::closely(store, order::item(store, item)?)?;
            Reply::of(&view, *json, false, || closely(&view))
        }
        Act::Add { label, part_number, maker, serial, count, condition, bin, cost, batch, note, json } => {
            let row = Row {
                label: label.clone(),
                part_number: part_number.clone(),
                maker: maker.clone(),
                serial: serial.clone(),
                count: count.clone(),
                condition: condition.clone(),
                bin: bin.clone(),
                cost: cost.clone(),
                batch: batch.clone(),
                note: note.clone(),
                ..Row::default()
            };
            took(&stock::take_in(store, &[stock::new_item(data, &row, today)?], &who)?, *json)
        }
        Act::Intake { file, terms, json } => {
            let folder = file.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
            let view = intake::list_in(data, store, &bench::text(file)?, folder, &terms.read()?, &who)?;
            Reply::of(&view, *json, view.rejects + view.suspects > 0, || bench::took(&view))
        }
        Act::Move { item, bin, count } => done(store, item, (&Bench::Move(bin.clone()), *count), ""),
        Act::Mark { item, state, why, count } => done(store, item, (&Bench::to(read_state(state)?)?, *count), why),
        Act::Correct { item, right } => {
            said(&verbs_correct::correct(data, store, order::item(store, item)?, None, &right.asked(), &who)?)
        }
        Act::Tray { folder, terms, json } => {
            let view = intake::folder(data, store, folder, &terms.read()?, &who)?;
            Reply::of(&view, *json, view.rejects + view.suspects > 0, || bench::took(&view))
        }
        Act::Scan { terms, json } => {
            let view = scan::run(data, store, &terms.read()?)?;
            Reply::of(&view, *json, view.rejects + view.suspects > 0, || bench::took(&view))
        }
        Act::Count { bin, from, empty, accept, json } => {
            let seen = from.as_deref().map(bench::text).transpose()?.unwrap_or_default();
            let view = count::count(store, bin, &seen, (*empty, *accept), &who)?;
            Reply::of(&view, *json, view.differs(), || bench::counted(&view))
        }
        Act::Value { json } => {
            let view = worth::worth(store)?;
            Reply::of(&view, *json, false, || value(&view))
        }
        Act::Export => Ok(Reply::new(stock::export(store)?, false)),
        Act::Fail { item, why, record, json } => {
            let record = record.as_deref().map(evidence::Named::read).transpose()?;
            let file = record.as_ref().map(evidence::Named::file);
            super::supplier::said(&kept::fail(store, order::item(store, item)?, why, file, &who)?, *json)
        }
        Act::Attach { item, files } => evidence::run(store, Subject::Item(order::item(store, item)?.0), files),
    }
}

fn done(store: &Store, item: &str, act: (&Bench, Option<u32>), why: &str) -> Result<Reply, Failure> {
    said(&act::act(store, order::item(store, item)?, None, act, why, &world::who())?)
}

fn said(now: &ItemView) -> Result<Reply, Failure> {
    let bin = if now.bin.is_empty() { "no bin" } else { now.bin.as_str() };
    let serial = now.serial.as_ref().map_or_else(String::new, |s| format!(", serial {s}"));
    let (count, label, condition, cost) = (now.quantity, &now.label, &now.condition, &now.cost);
    let text =
        format!("item {}: {count} x {label}{serial}, {condition}, {}, {bin}, {cost} each\n", now.item, now.state);
    Ok(Reply::new(text, false))
}

fn read_state(text: &str) -> Result<ItemState, Failure> {
    ItemState::parse(text).ok_or_else(|| Failure::Shop {
        why: format!("`{text}` is no state of an item"),
        hint: format!("use one of: {}", ItemState::ALL.iter().map(|s| s.word()).collect::<Vec<_>>().join(", ")),
    })
}

fn took(view: &stock::IntakeView, json: bool) -> Result<Reply, Failure> {
    Reply::of(view, json, false, || {
        let again = if view.again > 0 { format!(", {} of them were here before", view.again) } else { String::new() };
        let numbers = match view.items.as_slice() {
            [one] => format!("item {one}"),
            [first, .., last] => format!("{} items, {first} to {last}", view.items.len()),
            [] => "nothing".to_string(),
        };
        format!("took in {numbers}{again}\n")
    })
}

fn shelf(view: &stock::ShelfView, skip: u32) -> String {
    if view.models.is_empty() {
        return "nothing found on the shelf; serials are found with --items\n".to_string();
    }
    let row = |l: &ShelfLine| {
        let cost = match (&l.cost_least, &l.cost_most) {
            (Some(least), Some(most)) if least != most => format!("{} to {most}", least.amount),
            (Some(least), _) => least.to_string(),
            _ => String::new(),
        };
        vec![
            l.label.clone(),
            l.part_number.clone().unwrap_or_default(),
            l.maker.clone().unwrap_or_default(),
            l.dies.clone().unwrap_or_default(),
            l.condition.clone(),
            l.free.to_string(),
            l.reserved.to_string(),
            l.held_back.to_string(),
            cost,
        ]
    };
    let header = ["module", "part number", "maker", "dies", "condition", "free", "reserved", "held back", "cost"];
    let text = table(&header, &[5, 6, 7, 8], view.models.iter().map(row).collect());
    let models = view.models.iter().map(|l| l.model).collect::<std::collections::BTreeSet<_>>().len() as u64;
    let (next, more) = (u64::from(skip) + models, view.found.saturating_sub(u64::from(skip) + models));
    match more {
        0 => text,
        1 => format!("{text}and 1 model more: --skip {next}\n"),
        _ => format!("{text}and {more} models more: --skip {next}\n"),
    }
}

fn value(view: &worth::WorthView) -> String {
    let Some(cost) = &view.cost else { return "nothing is in stock\n".to_string() };
    let row = |l: &worth::WorthLine| {
        vec![
            format!("{} {}", l.generation, l.kind),
            l.condition.clone(),
            l.state.clone(),
            l.modules.to_string(),
            l.cost.to_string(),
        ]
    };
    let mut rows: Vec<Vec<String>> = view.lines.iter().map(row).collect();
    let none = String::new;
    rows.push(vec!["in all".to_string(), none(), none(), view.modules.to_string(), cost.to_string()]);
    table(&["kind", "condition", "state", "modules", "cost"], &[3, 4], rows)
}

fn item_list(view: &stock::ItemListView, skip: u32) -> String {
    if view.items.is_empty() {
        return "no items found\n".to_string();
    }
    let row = |i: &ItemView| {
        vec![
            i.item.to_string(),
            i.label.clone(),
            i.serial.clone().unwrap_or_default(),
            i.condition.clone(),
            i.state.clone(),
            format!("{} of {}", i.free, i.quantity),
            i.bin.clone(),
            i.cost.to_string(),
        ]
    };
    let header = ["item", "module", "serial", "condition", "state", "free", "bin", "cost"];
    let text = table(&header, &[0, 7], view.items.iter().map(row).collect());
    if view.more { format!("{text}and more: --skip {}\n", skip as usize + view.items.len()) } else { text }
}

fn closely(view: &stock::ItemCloselyView) -> String {
    let item = &view.item;
    let mut text = format!("item {}: {}\n", item.item, item.label);
    let note = Some(&item.screening_note).filter(|n| !n.is_empty());
    let screening = note.map_or_else(|| item.screening.clone(), |n| format!("{}: {n}", item.screening));
    let facts = [
        ("part number", item.part_number.clone()),
        ("maker", item.maker.clone()),
        ("die", item.die.clone()),
        ("serial", item.serial.clone()),
        ("condition", Some(item.condition.clone())),
        ("state", Some(item.state.clone())),
        ("count", Some(format!("{}, {} of them reserved", item.quantity, item.reserved))),
        ("bin", Some(item.bin.clone())),
        ("cost", Some(item.cost.to_string())),
        ("screening", Some(screening)),
        ("received", Some(item.received.clone())),
        ("supplier", view.supplier.clone()),
        ("batch", view.batch.clone()),
        ("warranty", view.warranty_until.as_ref().map(|day| format!("until {day}"))),
        ("note", Some(item.note.clone())),
    ];
    for (name, fact) in facts {
        text.extend(fact.filter(|f| !f.is_empty()).map(|f| format!("  {name:<12} {f}\n")));
    }
    let rows = view.history.iter().map(|e| vec![e.at.clone(), e.who.clone(), e.act.clone(), e.detail.clone()]);
    text.push_str(&format!("\n{}", table(&["at", "who", "what", "detail"], &[], rows.collect())));
    text
}
