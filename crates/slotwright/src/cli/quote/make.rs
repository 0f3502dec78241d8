//! `quote new`, `quote revise`: arguments and text.

use super::{head, next, read};
use crate::cli::Reply;
use crate::cli::table::paragraph;
use crate::failure::Failure;
use crate::verbs::shop::quote_make::{self, Offer, QuoteMadeView, Revision, Saw};
use crate::verbs::shop::settings;
use crate::world::Data;
use domain::item::Who;
use jiff::civil::Date;
use std::path::{Path, PathBuf};
use store::Store;

/// How a quote is made.
#[derive(Debug, clap::Args)]
pub struct How {
    /// The plan's number.
    #[arg(long, default_value_t = 1, value_name = "N")]
    plan: usize,
    /// Days for which it holds; as the shop's settings say, else 14.
    #[arg(long, value_name = "N")]
    valid_days: Option<u16>,
    /// The shop's settings (TOML): name, margin, tax, terms; those of `store settings` if absent.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// From what is free on the shelf.
    #[arg(long)]
    from_stock: bool,
    #[arg(long)]
    json: bool,
}

/// What is other in the next version.
#[derive(Debug, clap::Args)]
pub struct ReviseArgs {
    #[arg(value_name = "QUOTE")]
    quote: String,
    /// Another need file.
    #[arg(long, value_name = "FILE")]
    need: Option<PathBuf>,
    /// Another plan's number; the quoted build, or what is nearest to it, if absent.
    #[arg(long, value_name = "N")]
    plan: Option<usize>,
    /// Other days for which it holds.
    #[arg(long, value_name = "N")]
    valid_days: Option<u16>,
    /// Other settings of the shop (TOML) than it was made with.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// The settings that the store keeps now, in the place of those that it was made with.
    #[arg(long, conflicts_with = "shop")]
    settings_now: bool,
    /// From what is free on the shelf, although it was planned from what can be bought.
    #[arg(long)]
    from_stock: bool,
    /// From what can be bought, although it was planned from the shelf.
    #[arg(long, conflicts_with = "from_stock")]
    from_catalogue: bool,
    #[arg(long)]
    json: bool,
}

/// Makes a quote of a need file for a customer.
pub fn new(
    data: &Data,
    store: &Store,
    (need, customer): (&Path, &str),
    how: &How,
    (today, who): (Date, &Who),
) -> Result<Reply, Failure> {
    let text = read(need)?;
    let offer = Offer {
        need: &text,
        customer,
        plan: how.plan,
        shop: settings::named(data, store, how.shop.as_deref())?,
        valid_days: how.valid_days,
        from_stock: how.from_stock,
        today,
    };
    said(&quote_make::new(data, store, offer, Saw::default(), who)?, how.json)
}

/// Makes the next version of a quote.
pub fn revise(data: &Data, store: &Store, args: &ReviseArgs, (today, who): (Date, &Who)) -> Result<Reply, Failure> {
    let old = store.quote(&args.quote, None)?;
    let need = args.need.as_deref().map(read).transpose()?;
    let others = args.shop.is_some() || args.settings_now;
    let shop = if others { settings::named(data, store, args.shop.as_deref())? } else { None };
    if args.settings_now && shop.is_none() {
        return Err(settings::none_kept());
    }
    let revision = Revision {
        need: need.as_deref(),
        plan: args.plan,
        shop,
        valid_days: args.valid_days,
        from_stock: (args.from_stock || args.from_catalogue).then_some(args.from_stock),
        today,
    };
    said(&quote_make::revise(data, store, &old, &revision, Saw::default(), who)?, args.json)
}

fn said(view: &QuoteMadeView, json: bool) -> Result<Reply, Failure> {
    Reply::of(view, json, false, || {
        let mut text = head(&view.quote);
        if let Some(changes) = &view.changes {
            text.push_str(&format!("  against version {}:\n", view.quote.version.saturating_sub(1)));
            text.extend(changes.iter().map(|c| format!("{}\n", paragraph(&format!("- {c}"), 2, 4))));
        }
        text.extend(view.notes.iter().map(|n| format!("{}\n", paragraph(&format!("! {n}"), 2, 4))));
        text.push_str(&next(&view.quote.next, view.quote.next_command.as_deref()));
        text
    })
}
