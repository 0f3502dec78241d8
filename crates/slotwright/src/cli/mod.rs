//! The command line: arguments → a verb's input, a verb's view → text.

mod allocate;
mod board;
mod boards;
mod build_file;
mod check;
mod codes;
mod compare;
mod completions;
mod demo;
mod diagnose;
mod draft;
mod exercise;
mod explain;
mod judged;
mod man;
mod measure;
mod modules;
mod order;
mod paint;
mod plan;
mod quote;
mod read;
mod serve;
mod sheet;
mod snapshot;
mod spares;
mod stock;
mod store;
mod supplier;
mod table;
mod token;
mod watts;

use crate::failure::Failure;
use crate::world::{self, Colour, Data};
use ::store::Store;
use clap::{Parser, Subcommand};
use paint::Paint;
use serde::Serialize;
use std::path::PathBuf;

/// Which memory modules fit a server board, at what rate they run, in which slots, at what price.
#[derive(Debug, Parser)]
#[command(
    name = "slotwright",
    version,
    propagate_version = true,
    after_help = "Exit codes: 0 clean, 1 findings worth acting on or nothing fits, 2 your input is wrong, 3 a fault of this program.\nStart with: slotwright demo"
)]
pub struct Cli {
    /// Colour in what is printed.
    #[arg(long, global = true, value_enum, default_value_t, value_name = "WHEN", alias = "color")]
    pub colour: Colour,
    /// A folder of your own boards, processors, modules and sources, over those that the program carries.
    #[arg(long, global = true, env = "SLOTWRIGHT_DATA", hide_env_values = true, value_name = "DIR")]
    data: Option<PathBuf>,
    /// The shop's store: a file, or postgres://USER@HOST/DATABASE; `slotwright/shop.db` among the user's data if not given.
    #[arg(long, global = true, env = "SLOTWRIGHT_STORE", hide_env_values = true, value_name = "FILE|URL")]
    store: Option<String>,
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    Plan(plan::Args),
    Check(check::Args),
    Compare(compare::Args),
    Diagnose(Box<diagnose::Args>),
    Boards(boards::Args),
    Modules(modules::Args),
    Sheet(sheet::Args),
    Snapshot(snapshot::Args),
    Read(Box<read::Args>),
    Measure(measure::Args),
    Exercise(exercise::Args),
    Spares(spares::Args),
    Watts(watts::Args),
    Explain(explain::Args),
    Draft(draft::Args),
    Demo(demo::Args),
    Stock(stock::Args),
    Quote(Box<quote::Args>),
    Order(order::Args),
    Allocate(allocate::Args),
    Supplier(supplier::Args),
    Store(store::Args),
    Serve(serve::Args),
    Completions(completions::Args),
    Man(man::Args),
}

/// What a verb has to say.
#[derive(Debug, Default)]
pub struct Reply {
    /// For standard output.
    pub text: String,
    /// For standard error: what was written where.
    pub notices: Vec<String>,
    pub code: u8,
}

impl Reply {
    /// A text with the exit code that its findings mean.
    fn new(text: String, findings: bool) -> Self {
        Self { text, notices: Vec::new(), code: if findings { world::FINDINGS } else { world::CLEAN } }
    }
    /// A view as JSON, or as the text that `words` makes of it.
    fn of<V: Serialize>(view: &V, json: bool, findings: bool, words: impl FnOnce() -> String) -> Result<Self, Failure> {
        let text = if json {
            let mut text = serde_json::to_string_pretty(view)?;
            text.push('\n');
            text
        } else {
            words()
        };
        Ok(Self::new(text, findings))
    }
}

impl Cli {
    /// The store, where one was named: pages of the shop are not there by accident.
    fn named_store(&self) -> Result<Option<Store>, Failure> {
        let named = self.store.as_deref().filter(|s| !s.trim().is_empty());
        named.map(|said| world::open_store(Some(said))).transpose()
    }
    /// Answers what was asked.
    ///
    /// # Errors
    /// The input is wrong, a file can't be written, or the program has a fault.
    pub fn run(&self) -> Result<Reply, Failure> {
        let paint = Paint::new(self.colour.on_output());
        let data = || Data::open(self.data.as_deref().filter(|d| !d.as_os_str().is_empty()));
        let open = || world::open_store(self.store.as_deref());
        match &self.verb {
            Verb::Plan(args) => plan::run(args, &data()?, paint),
            Verb::Snapshot(args) => snapshot::run(args, paint),
            Verb::Sheet(args) => sheet::run(args, &data()?, || self.named_store(), paint),
            Verb::Compare(args) => compare::run(args, &data()?, paint),
            Verb::Diagnose(args) => diagnose::run(args, &data()?, paint),
            Verb::Check(args) => check::run(args, &data()?, paint),
            Verb::Boards(args) => boards::run(args, &data()?, paint),
            Verb::Modules(args) => modules::run(args, &data()?, paint),
            Verb::Read(args) => read::run(args, paint),
            Verb::Measure(args) => measure::run(args, &data()?, paint),
            Verb::Exercise(args) => exercise::run(args, paint),
            Verb::Spares(args) => spares::run(args, &data()?, paint),
            Verb::Watts(args) => watts::run(args, &data()?, paint),
            Verb::Explain(args) => explain::run(args, paint),
            Verb::Draft(args) => draft::run(args, &data()?, paint),
            Verb::Demo(args) => demo::run(args, paint),
            Verb::Stock(args) => stock::run(args, &data()?, &open()?),
            Verb::Quote(args) => quote::run(args, &data()?, &open()?, paint),
            Verb::Order(args) => order::run(args, &data()?, &open()?, paint),
            Verb::Allocate(args) => allocate::run(args, &data()?, &open()?),
            Verb::Supplier(args) => supplier::run(args, &open()?),
            Verb::Store(args) => store::run(args, data, open),
            Verb::Serve(args) => serve::run(args, data()?, self.named_store()?),
            Verb::Completions(args) => completions::run(args),
            Verb::Man(args) => man::run(args),
        }
    }
}
