//! `store`: arguments and text.

use super::table::facts;
use super::{Reply, token};
use crate::failure::Failure;
use crate::verbs::shop::invented::{self, Wish};
use crate::verbs::shop::keep;
use crate::verbs::shop::settings::{self, SettingsView};
use crate::world::{self, Data};
use jiff::civil::Date;
use std::path::PathBuf;
use store::Store;

/// The shop's store: where it is, whether it holds together, a backup.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// Say where the store is and look for what does not hold together.
    Check {
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Copy the store to a new file while it is in use (for one in a file; a server has its own tools).
    Backup {
        /// The new file.
        #[arg(value_name = "FILE")]
        to: PathBuf,
    },
    /// Keep the shop's settings in the store, for every quote, paper and page that names no others; or show what is kept.
    Settings {
        /// The shop's settings (TOML): name, margin, tax, labour, terms.
        #[arg(value_name = "FILE")]
        file: Option<PathBuf>,
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Tokens that let other programs in at the HTTP API of `serve`.
    #[command(subcommand)]
    Token(token::Act),
    /// Fill an empty store with an invented shop, to look at and to try things on; the same seed makes the same shop.
    Invent {
        /// Modules in all.
        #[arg(long, default_value_t = 2000, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
        modules: u32,
        #[arg(long, default_value_t = 60, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=100_000))]
        orders: u32,
        #[arg(long, default_value_t = 1, value_name = "N")]
        seed: u64,
        /// The day on which the shop is looked at, such as 2026-11-25; today if absent.
        #[arg(long, value_name = "DAY")]
        date: Option<Date>,
        /// Print the view as JSON.
        #[arg(long)]
        json: bool,
    },
}

/// Looks over, copies, or fills.
///
/// # Errors
/// The store can't be opened, the copy can't be written, or what is to be filled is not empty.
pub fn run(
    args: &Args,
    data: impl FnOnce() -> Result<Data, Failure>,
    open: impl FnOnce() -> Result<Store, Failure>,
) -> Result<Reply, Failure> {
    let store = open()?;
    match &args.act {
        Act::Check { json } => {
            let view = keep::look(&store)?;
            Reply::of(&view, *json, !view.faults.is_empty(), || {
                let mut text = format!("{} ({})\n", view.place, view.database);
                match view.faults.as_slice() {
                    [] => text.push_str("all holds together\n"),
                    faults => text.extend(faults.iter().map(|f| format!("- {f}\n"))),
                }
                text
            })
        }
        Act::Invent { modules, orders, seed, date, json } => {
            let today = date.unwrap_or_else(world::today);
            let wish = Wish { modules: *modules, orders: *orders, seed: *seed, today };
            let bar = world::bar();
            let told = |what: &str, thousandths: u64| {
                bar.set_message(what.to_string());
                bar.set_position(thousandths);
            };
            let view = invented::fill(&data()?, &store, &wish, &told)?;
            bar.finish_and_clear();
            Reply::of(&view, *json, false, || {
                format!(
                    "invented: {} modules ({} items) in {} deliveries, {} orders, {} quotes, {} failures; nothing of it is real\n",
                    view.modules, view.items, view.batches, view.orders, view.quotes, view.failures
                )
            })
        }
        Act::Settings { file: Some(file), json } => {
            let view = settings::keep(&data()?, &store, file, &world::who())?;
            Reply::of(&view, *json, false, || words(&view))
        }
        Act::Settings { file: None, json } => {
            let view = settings::show(&data()?, &store)?;
            Reply::of(&view, *json, false, || view.as_ref().map_or_else(|| NONE.to_string(), words))
        }
        Act::Token(act) => token::run(act, &store),
        Act::Backup { to } => {
            keep::backup(&store, to)?;
            Ok(Reply::new(format!("wrote {}\n", to.display()), false))
        }
    }
}

const NONE: &str = "no settings are kept: quotes carry no name, no tax and no margin unless --shop names a file\n\
                    next: keep them\n  slotwright store settings shop.toml\n";

fn words(view: &SettingsView) -> String {
    let shop = &view.shop;
    let tax = shop.tax.as_ref().map_or_else(|| "none is set".to_string(), |t| format!("{} {}", t.name, t.rate));
    let labour = shop.labour.as_ref().map_or_else(|| "none".to_string(), |l| format!("{l} a machine"));
    let mut rows = vec![
        ("shop", shop.name.clone()),
        ("address", shop.address.join(", ")),
        ("margin", format!("{}, where no price list and no margin of a class says more", shop.margin)),
        ("tax", tax),
        ("labour", labour),
        ("quotes hold", format!("{} days", shop.validity_days)),
    ];
    rows.extend(shop.terms.iter().map(|t| ("term", t.clone())));
    rows.push(("kept", format!("{} by {}", view.at, view.by)));
    facts(&rows)
}
