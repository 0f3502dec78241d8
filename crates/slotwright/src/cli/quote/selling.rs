//! `quote prices`, `quote margin`: arguments and text.

use super::read;
use crate::cli::Reply;
use crate::cli::table::table;
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::prices::{self, Holding, ListView, MarginView, PricesTakenView};
use crate::world::Data;
use domain::Day;
use domain::item::Who;
use std::path::PathBuf;
use store::Store;

#[derive(Debug, clap::Args)]
pub struct PricesArgs {
    #[arg(value_name = "FILE", requires = "valid_from")]
    file: Option<PathBuf>,
    #[arg(long, value_name = "DAY")]
    valid_from: Option<String>,
    #[arg(long, value_name = "DAY", requires = "file")]
    valid_until: Option<String>,
    /// It takes the place of the list of that name and day, which stays in the history.
    #[arg(long, requires = "file")]
    correct: bool,
    /// Take back the list of that name; --valid-from says which, where several bear it.
    #[arg(long, value_name = "NAME", requires_all = ["valid_from", "why"], conflicts_with = "file")]
    withdraw: Option<String>,
    /// Why it is taken back.
    #[arg(long, value_name = "TEXT", requires = "withdraw")]
    why: Option<String>,
    /// Every list that was taken in, and what became of it.
    #[arg(long, conflicts_with_all = ["file", "withdraw", "valid_from"])]
    lists: bool,
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
pub struct MarginArgs {
    /// Absent, what was set is listed.
    #[arg(value_name = "CLASS", requires = "percent")]
    class: Option<String>,
    #[arg(value_name = "PERCENT")]
    percent: Option<String>,
    /// Today if absent.
    #[arg(long, value_name = "DAY", requires = "class")]
    valid_from: Option<String>,
    #[arg(long)]
    json: bool,
}

/// Prints the list that holds, takes one in or back, or lists them.
pub fn prices(data: &Data, store: &Store, args: &PricesArgs, (today, who): (Day, &Who)) -> Result<Reply, Failure> {
    let from = prices::day_or(args.valid_from.as_deref(), today)?;
    if args.lists {
        return lists(store, args.json);
    }
    if let Some(name) = &args.withdraw {
        prices::withdraw(store, name, from, args.why.as_deref().unwrap_or_default(), who)?;
        return lists(store, args.json);
    }
    let until = args.valid_until.as_deref().map(calendar::read_day).transpose()?;
    let Some(file) = &args.file else {
        let table = prices::export(store, from)?;
        return Reply::of(&prices::on(store, from)?, args.json, false, || table);
    };
    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let when = Holding { from, until, correct: args.correct };
    let count = prices::take(data, store, &name, &read(file)?, when, who)?;
    let (valid_from, valid_until) = (calendar::day(from), until.map(calendar::day));
    let view = PricesTakenView { prices: count, valid_from, valid_until };
    let unit = if count == 1 { "price" } else { "prices" };
    Reply::of(&view, args.json, false, || format!("{count} {unit} from {} on\n", view.valid_from))
}

fn lists(store: &Store, json: bool) -> Result<Reply, Failure> {
    let view = prices::lists(store)?;
    let row = |l: &ListView| {
        let until = l.valid_until.clone().unwrap_or_default();
        vec![l.name.clone(), l.valid_from.clone(), until, l.prices.to_string(), l.currency.clone(), l.state.clone()]
    };
    Reply::of(&view, json, false, || match view.lists.as_slice() {
        [] => "no price lists\n".to_string(),
        lists => {
            let header = ["list", "from", "until", "prices", "currency", "state"];
            table(&header, &[3], lists.iter().map(row).collect())
        }
    })
}

/// Sets a margin, or lists what was set.
pub fn margin(store: &Store, args: &MarginArgs, (today, who): (Day, &Who)) -> Result<Reply, Failure> {
    let Some((class, percent)) = args.class.as_ref().zip(args.percent.as_ref()) else {
        let view = prices::margins(store)?;
        let row = |m: &MarginView| vec![m.class.clone(), m.percent.clone(), m.valid_from.clone()];
        return Reply::of(&view, args.json, false, || match view.margins.as_slice() {
            [] => "no margins are set\n".to_string(),
            set => table(&["class", "margin", "from"], &[1], set.iter().map(row).collect()),
        });
    };
    let from = prices::day_or(args.valid_from.as_deref(), today)?;
    let view = MarginView::new(&prices::margin(store, class, percent, from, who)?);
    Reply::of(&view, args.json, false, || format!("{}: {} from {} on\n", view.class, view.percent, view.valid_from))
}
