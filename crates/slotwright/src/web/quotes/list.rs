//! Quotes by their newest version, the newest quote on top, page by page.

use super::PLACE;
use crate::verbs::shop::calendar;
use crate::verbs::shop::quote::{self, QuoteListView, QuoteView};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::layout::{Page, quoted};
use crate::web::query::Query;
use crate::web::shop;
use crate::world;
use domain::quote::QuoteState;
use maud::{Markup, html};
use store::{QuoteFilter, Store};

/// Quotes of a page.
const MOST: u32 = 50;
/// States that a newest version can have.
const STATES: [QuoteState; 3] = [QuoteState::Open, QuoteState::Ordered, QuoteState::Withdrawn];

/// The quotes that the form asks for.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Quotes", PLACE, |store| {
        let query = asked.query.trimmed();
        let state = QuoteState::parse(query.get("state")).filter(|s| STATES.contains(s));
        let filter = QuoteFilter { words: query.get("words").to_string(), state, skip: shop::skip(&query), most: MOST };
        match quote::list(store, &filter, calendar::of(world::today())) {
            Ok(view) => {
                let body = html! {
                    (form(&query))
                    (shown(&query, &filter, &view))
                    div.acts { a.button href="/need" { "New quote: say what is needed" } a.button.lesser href="/quotes/prices" { "Prices and margins" } }
                };
                Page::new("Quotes", PLACE, body).command(command(store, &filter)).answer()
            }
            Err(failure) => shop::failed(&failure, PLACE),
        }
    })
}

fn form(query: &Query) -> Markup {
    let any = [(String::new(), "all".to_string())].into_iter();
    let states: Vec<(String, String)> =
        any.chain(STATES.iter().map(|s| (s.word().to_string(), format!("only {s}")))).collect();
    shop::search(query, PLACE, "state", &states, "Show all")
}

fn shown(query: &Query, filter: &QuoteFilter, view: &QuoteListView) -> Markup {
    let more = view.found > u64::from(filter.skip) + u64::from(filter.most);
    html! {
        @if view.quotes.is_empty() {
            p role="status" {
                @if filter.words.is_empty() && filter.state.is_none() { "There is no quote yet: a plan's page makes one." }
                @else { "No quote is like that. " a href=(PLACE) { "Show all" } }
            }
        } @else {
            p role="status" { (view.found) @if view.found == 1 { " quote." } @else { " quotes, the newest on top." } }
            div.wide tabindex="0" role="group" aria-label="Quotes" { table.plans {
                thead { tr {
                    th scope="col" { "Quote, customer" } th scope="col" { "State" }
                    th scope="col" { "Valid until" } th scope="col" { "Build" } th.number scope="col" { "Total" }
                } }
                tbody { @for quote in &view.quotes { (row(quote)) } }
            } }
        }
        (shop::turn(query, PLACE, (filter.skip, filter.most), more))
    }
}

fn row(quote: &QuoteView) -> Markup {
    html! { tr {
        th scope="row" { a href={ "/quote/" (quote.number) } { (quote.number) } div { (quote.customer) } }
        td { (state(quote)) @if let Some(order) = &quote.order { ": " a href={ "/order/" (order) } { (order) } } @if quote.version > 1 { div.hint { "version " (quote.version) } } }
        td.day { (quote.valid_until) }
        td.made-of { (quote.build.build.board) ": " (quote.build.words) }
        td.number { (quote.total) @if quote.net != quote.total { div.hint { "net " (quote.net) } } }
    } }
}

/// Its state in a word: open ones past their last day are expired.
pub fn state(quote: &QuoteView) -> &str {
    if quote.expired && quote.state == QuoteState::Open.word() { "expired" } else { &quote.state }
}

fn command(store: &Store, filter: &QuoteFilter) -> String {
    let mut rest = "quote list".to_string();
    if !filter.words.is_empty() {
        rest.push_str(&format!(" {}", quoted(&filter.words)));
    }
    rest.extend(filter.state.map(|s| format!(" --state {s}")));
    shop::command(store, &rest)
}
