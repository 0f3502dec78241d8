//! `quote`: arguments and text.

mod make;
mod selling;

use super::Reply;
use super::paint::Paint;
use super::sheet as sheet_text;
use super::table::{next, paragraph, table, wrap};
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::quote::{self, Ordering, QuoteCloselyView, QuoteListView, QuoteView};
use crate::verbs::shop::quote_paper::QuotePaper;
use crate::world::{self, Data};
use domain::Stamp;
use domain::item::Who;
use domain::quote::QuoteState;
use draw::sheet::Paper;
use jiff::civil::Date;
use std::path::{Path, PathBuf};
use store::{QuoteFilter, Store, Terms};

/// Quotes: numbered, in versions, each until its last day; and what modules are sold at.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The day on which this is done, for papers, days and history, such as 2026-11-25; today if absent.
    #[arg(long, global = true, value_name = "DAY")]
    date: Option<Date>,
    #[command(subcommand)]
    act: Act,
}

#[derive(Debug, clap::Subcommand)]
enum Act {
    /// Plan a need, price it, and write the quote down.
    New {
        /// A need file (TOML).
        #[arg(value_name = "NEED")]
        need: PathBuf,
        #[arg(long, value_name = "NAME")]
        customer: String,
        #[command(flatten)]
        how: make::How,
    },
    /// Write the next version of an open quote; the one before is superseded. What is not said stays as it was quoted.
    Revise(make::ReviseArgs),
    /// List quotes, the newest on top.
    List {
        /// Part of a customer's name or of a number.
        #[arg(default_value = "", value_name = "WORDS")]
        words: String,
        /// Only those that are open, ordered or withdrawn.
        #[arg(long, value_name = "STATE")]
        state: Option<String>,
        /// At most so many.
        #[arg(long, default_value_t = 100, value_name = "N")]
        most: u32,
        /// All of them as a table for other programs (CSV).
        #[arg(long, conflicts_with_all = ["json", "most"])]
        csv: bool,
        #[arg(long)]
        json: bool,
    },
    /// Show one quote and its versions.
    #[command(disable_version_flag = true)]
    Show {
        #[arg(value_name = "QUOTE")]
        quote: String,
        #[arg(long, value_name = "N")]
        version: Option<u32>,
        #[arg(long)]
        json: bool,
    },
    /// Print a quote as it was given out.
    #[command(disable_version_flag = true)]
    Paper {
        #[arg(value_name = "QUOTE")]
        quote: String,
        #[arg(long, value_name = "N")]
        version: Option<u32>,
        /// Write it as PDF.
        #[arg(long, value_name = "FILE")]
        pdf: Option<PathBuf>,
    },
    /// Take an open quote back.
    #[command(disable_version_flag = true)]
    Withdraw {
        #[arg(value_name = "QUOTE")]
        quote: String,
        #[arg(long, default_value = "", value_name = "TEXT")]
        why: String,
        /// The version that was looked at: refused where another is the newest.
        #[arg(long, value_name = "N")]
        version: Option<u32>,
        #[arg(long)]
        json: bool,
    },
    /// Turn a quote into an order; prices and stock are looked at again first.
    #[command(disable_version_flag = true)]
    Order {
        #[arg(value_name = "QUOTE")]
        quote: String,
        /// The version that was looked at: refused where another is the newest.
        #[arg(long, value_name = "N")]
        version: Option<u32>,
        /// 0 goes first, 9 last.
        #[arg(long, default_value_t = 5, value_name = "0-9")]
        priority: u8,
        /// The day by which it is wanted, such as 2026-12-24.
        #[arg(long, value_name = "DAY")]
        due: Option<String>,
        /// At the quoted price, although prices or stock changed.
        #[arg(long)]
        anyway: bool,
        #[arg(long)]
        json: bool,
    },
    /// Take in a price list with the columns label, condition, price, supplier, or correct or withdraw one; or print what holds.
    Prices(selling::PricesArgs),
    /// Set what goes on top of the cost of a class, such as "used" or "new ddr5", from a day on; or list what was set.
    Margin(selling::MarginArgs),
}

/// Does what was asked.
///
/// # Errors
/// A file is wrong, there is no such quote, or it is not open.
pub fn run(args: &Args, data: &Data, store: &Store, paint: Paint) -> Result<Reply, Failure> {
    let who = args.who();
    let date = args.date.unwrap_or_else(world::today);
    let today = calendar::of(date);
    match &args.act {
        Act::New { need, customer, how } => make::new(data, store, (need, customer), how, (date, &who)),
        Act::Revise(args) => make::revise(data, store, args, (date, &who)),
        Act::List { words, state, most, csv, json } => {
            let state = state.as_deref().map(read_state).transpose()?;
            if *csv {
                return Ok(Reply::new(quote::export(store, words, state, today)?, false));
            }
            let filter = QuoteFilter { words: words.clone(), state, skip: 0, most: *most };
            let view = quote::list(store, &filter, today)?;
            Reply::of(&view, *json, false, || list(&view))
        }
        Act::Show { quote, version, json } => {
            let view = quote::closely(store, quote, *version, today)?;
            Reply::of(&view, *json, false, || closely(&view))
        }
        Act::Paper { quote, version, pdf } => paper(data, store, (quote, *version), pdf.as_deref(), paint),
        Act::Withdraw { quote, why, version, json } => {
            said(&quote::withdraw(store, (quote, *version), why, &who)?, *json)
        }
        Act::Order { quote, version, priority, due, anyway, json } => {
            let due = due.as_deref().map(calendar::read_day).transpose()?;
            let terms = Terms { priority: *priority, due, day: today };
            let how = Ordering { terms, anyway: *anyway, today: calendar::of(world::today()) };
            let view = quote::order(data, store, (quote, *version), how, &who)?;
            super::order::said(&view, *json)
        }
        Act::Prices(args) => selling::prices(data, store, args, (today, &who)),
        Act::Margin(args) => selling::margin(store, args, (today, &who)),
    }
}

impl Args {
    /// Who does it, and when: at noon (UTC) of the day that is named.
    fn who(&self) -> Who {
        const NOON: i64 = 12 * 3600;
        let now = world::who();
        match self.date {
            Some(date) => Who { at: Stamp::from_seconds(calendar::of(date).days() * 24 * 3600 + NOON), ..now },
            None => now,
        }
    }
}

fn paper(
    data: &Data,
    store: &Store,
    which: (&str, Option<u32>),
    pdf: Option<&Path>,
    paint: Paint,
) -> Result<Reply, Failure> {
    let quote = store.quote(which.0, which.1)?;
    let sheet = QuotePaper::read(&quote.offer.paper)?.print(data, &quote)?;
    let Some(path) = pdf else { return Ok(Reply::new(sheet_text::words(&sheet, paint), false)) };
    world::write_bytes(path, &draw::pdf::render(&sheet, Paper::A4))?;
    let mut reply = Reply::new(String::new(), false);
    let pages = draw::sheet::pages(&sheet, Paper::A4).len();
    reply.notices.push(format!("wrote {}: quote, pages: {pages}", path.display()));
    Ok(reply)
}

fn read(path: &Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|e| Failure::Shop {
        why: format!("`{}` can't be read: {e}", path.display()),
        hint: "name a file of text".to_string(),
    })
}

fn read_state(text: &str) -> Result<QuoteState, Failure> {
    QuoteState::parse(text).ok_or_else(|| Failure::Shop {
        why: format!("`{text}` is no state of a quote"),
        hint: "use open, ordered or withdrawn".to_string(),
    })
}

fn said(view: &QuoteView, json: bool) -> Result<Reply, Failure> {
    Reply::of(view, json, false, || format!("{}{}", head(view), next(&view.next, view.next_command.as_deref())))
}

fn head(view: &QuoteView) -> String {
    let machines = if view.machines == 1 { "1 machine".to_string() } else { format!("{} machines", view.machines) };
    let until = if view.expired { "expired on" } else { "valid until" };
    let build = format!("{} with {}", view.build.build.board, view.build.words);
    let order = view.order.as_ref().map_or_else(String::new, |o| format!("  became order {o}\n"));
    format!(
        "quote {} version {} for {}: {}, {machines}, {until} {}\n{}\n  net {}, {}\n{order}",
        view.number,
        view.version,
        view.customer,
        view.state,
        view.valid_until,
        wrap(&build, 2),
        view.net,
        if view.net == view.total { "without tax".to_string() } else { format!("total {}", view.total) }
    )
}

fn list(view: &QuoteListView) -> String {
    if view.quotes.is_empty() {
        return "no quotes\n".to_string();
    }
    let row = |q: &QuoteView| {
        let state = if q.expired && q.state == "open" { "expired".to_string() } else { q.state.clone() };
        let (version, net) = (q.version.to_string(), q.net.to_string());
        vec![q.number.clone(), version, state, q.customer.clone(), q.valid_until.clone(), net, q.build.words.clone()]
    };
    let header = ["quote", "version", "state", "customer", "valid until", "net", "build"];
    let text = table(&header, &[1, 5], view.quotes.iter().map(row).collect());
    let more = view.found.saturating_sub(view.quotes.len() as u64);
    if more > 0 { format!("{text}and {more} more\n") } else { text }
}

fn closely(view: &QuoteCloselyView) -> String {
    let row = |q: &QuoteView| {
        vec![
            q.version.to_string(),
            q.state.clone(),
            q.issued.clone(),
            q.valid_until.clone(),
            q.net.to_string(),
            q.by.clone(),
        ]
    };
    let header = ["version", "state", "issued", "valid until", "net", "by"];
    let versions = table(&header, &[0, 4], view.versions.iter().map(row).collect());
    let mut text = format!("{}\n{versions}", head(&view.quote));
    if !view.changes.is_empty() {
        text.push_str(&format!("\nversion {} against the one before:\n", view.quote.version));
        text.extend(view.changes.iter().map(|c| format!("{}\n", paragraph(&format!("- {c}"), 2, 4))));
    }
    text.push_str(&format!("\n{}", next(&view.quote.next, view.quote.next_command.as_deref())));
    text
}
