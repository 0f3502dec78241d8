//! `quote prices`, `quote margin`: arguments and text.

use super::read;
use crate::cli::Reply;
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::prices::{self, MarginView, PricesTakenView};
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
    #[arg(long, value_name = "DAY")]
    valid_until: Option<String>,
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
pub struct MarginArgs {
    #[arg(value_name = "CLASS")]
    class: String,
    #[arg(value_name = "PERCENT")]
    percent: String,
    /// Today if absent.
    #[arg(long, value_name = "DAY")]
    valid_from: Option<String>,
    #[arg(long)]
    json: bool,
}

/// Prints the list that holds, or takes one in.
pub fn prices(data: &Data, store: &Store, args: &PricesArgs, (today, who): (Day, &Who)) -> Result<Reply, Failure> {
    let from = prices::day_or(args.valid_from.as_deref(), today)?;
    let until = args.valid_until.as_deref().map(calendar::read_day).transpose()?;
    let Some(file) = &args.file else {
        let table = prices::export(store, from)?;
        return Reply::of(&prices::on(store, from)?, args.json, false, || table);
    };
    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let count = prices::take(data, store, &name, &read(file)?, (from, until), who)?;
    let (valid_from, valid_until) = (calendar::day(from), until.map(calendar::day));
    let view = PricesTakenView { prices: count, valid_from, valid_until };
    Reply::of(&view, args.json, false, || format!("{count} prices from {} on\n", view.valid_from))
}

/// Sets a margin.
pub fn margin(store: &Store, args: &MarginArgs, (today, who): (Day, &Who)) -> Result<Reply, Failure> {
    let from = prices::day_or(args.valid_from.as_deref(), today)?;
    let view = MarginView::new(&prices::margin(store, &args.class, &args.percent, from, who)?);
    Reply::of(&view, args.json, false, || format!("{}: {} from {} on\n", view.class, view.percent, view.valid_from))
}
