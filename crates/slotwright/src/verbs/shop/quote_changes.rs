//! What two versions of a quote differ in: build, lines, tax, net and total, as their papers have them.

use super::calendar;
use super::chosen::ChosenBuild;
use super::quote_paper::QuotePaper;
use crate::failure::Failure;
use crate::verbs::sheet::{BlockView, SheetView, TableView};
use domain::quote::Quote;
use std::collections::BTreeMap;

/// What is different in `new`, as sentences; the sums are told where they stayed, too.
///
/// # Errors
/// What the store holds of one of them can't be read.
pub fn between(old: &Quote, new: &Quote) -> Result<Vec<String>, Failure> {
    let (was, is) = (ChosenBuild::read(&old.offer.build)?, ChosenBuild::read(&new.offer.build)?);
    let (before, after) = (QuotePaper::read(&old.offer.paper)?, QuotePaper::read(&new.offer.paper)?);
    let mut words = Vec::new();
    let mut moved = |what: &str, was: &str, is: &str| {
        if was != is {
            words.push(format!("{what}: {was}; now {is}"));
        }
    };
    moved("board", &was.build.board, &is.build.board);
    moved("build", &was.words, &is.words);
    let elsewhere = was.words == is.words && was.build.slots != is.build.slots;
    moved("slots", "as they were", if elsewhere { "the same modules in other ones" } else { "as they were" });
    moved("machines", &old.offer.machines.to_string(), &new.offer.machines.to_string());
    let source = |paper: &QuotePaper| if paper.from_stock { "from the shelf" } else { "from what can be bought" };
    moved("planned", source(&before), source(&after));
    moved("shop", &before.sheet.from.join(", "), &after.sheet.from.join(", "));
    let (was_lines, is_lines) = (table(&before.sheet), table(&after.sheet));
    for (what, was, is) in lines(was_lines, is_lines) {
        match (was, is) {
            (Some(was), Some(is)) => moved(&what, &was, &is),
            (Some(was), None) => moved(&what, &was, "none"),
            (None, Some(is)) => moved(&what, "none before", &is),
            (None, None) => {}
        }
    }
    moved("tax", &tax(was_lines), &tax(is_lines));
    moved("terms", &terms(&before.sheet), &terms(&after.sheet));
    moved("valid until", &calendar::day(old.offer.valid_until), &calendar::day(new.offer.valid_until));
    for (what, was, is) in [("net", old.offer.net, new.offer.net), ("total", old.offer.total, new.offer.total)] {
        let same = was == is;
        words.push(if same { format!("{what}: {is}, as before") } else { format!("{what}: {was}; now {is}") });
    }
    Ok(words)
}

/// The table of prices.
fn table(sheet: &SheetView) -> Option<&TableView> {
    sheet.blocks.iter().find_map(|b| match b {
        BlockView::Table(table) => Some(table),
        _ => None,
    })
}

/// By what is sold: how it stood on the one, and on the other.
fn lines(was: Option<&TableView>, is: Option<&TableView>) -> Vec<(String, Option<String>, Option<String>)> {
    let of = |table: Option<&TableView>| {
        let mut by: BTreeMap<String, String> = BTreeMap::new();
        for row in table.iter().flat_map(|t| &t.rows) {
            let [count, what, each, sum] = row.as_slice() else { continue };
            let line = by.entry(what.clone()).or_default();
            let more = if line.is_empty() { "" } else { " and " };
            line.push_str(&format!("{more}{count} at {each}, {sum}"));
        }
        by
    };
    let (mut was, mut is) = (of(was), of(is));
    let names: std::collections::BTreeSet<String> = was.keys().chain(is.keys()).cloned().collect();
    names.into_iter().map(|n| (was.remove(&n), is.remove(&n), n)).map(|(was, is, n)| (n, was, is)).collect()
}

/// Such as `VAT 19 %`: the row between net and total.
fn tax(table: Option<&TableView>) -> String {
    let totals = table.map(|t| t.totals.as_slice()).unwrap_or_default();
    match totals {
        [_, tax, _] => tax.get(1).cloned().unwrap_or_default(),
        _ => "none".to_string(),
    }
}

/// The sentences at the end, without the one that names the last day.
fn terms(sheet: &SheetView) -> String {
    let small = sheet.blocks.iter().filter_map(|b| match b {
        BlockView::Small(text) => Some(text.as_str()),
        _ => None,
    });
    let all: Vec<&str> = small.skip(1).collect();
    if all.is_empty() { "none".to_string() } else { all.join(" ") }
}
