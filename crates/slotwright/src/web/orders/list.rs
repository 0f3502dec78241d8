//! Orders, those that go first on top, page by page.

use super::PLACE;
use crate::verbs::shop::order::{self, OrderListView};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::layout::{Page, quoted};
use crate::web::query::Query;
use crate::web::shop;
use domain::order::Stage;
use maud::{Markup, html};
use store::{OrderFilter, Store};

/// Orders of a page.
const MOST: u32 = 50;

/// The orders that the form asks for.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Orders", PLACE, |store| {
        let query = asked.query.trimmed();
        let stage = Stage::parse(query.get("stage"));
        let filter = OrderFilter {
            words: query.get("words").to_string(),
            stage,
            open: stage.is_none() && query.get("stage") != "all",
            skip: shop::skip(&query),
            most: MOST,
        };
        match order::list(store, &filter) {
            Ok(view) => {
                let body = html! { (form(&query)) (shown(&query, &filter, &view)) (acts()) };
                Page::new("Orders", PLACE, body).command(command(store, &filter)).answer()
            }
            Err(failure) => shop::failed(&failure, PLACE),
        }
    })
}

fn form(query: &Query) -> Markup {
    let named = [("", "open ones"), ("all", "all, closed ones too")].map(|(v, w)| (v.to_string(), w.to_string()));
    let stages = Stage::ALL.iter().map(|s| (s.word().to_string(), format!("only {s}")));
    let stages: Vec<(String, String)> = named.into_iter().chain(stages).collect();
    shop::search(query, PLACE, "stage", &stages, "Show all that are open")
}

fn shown(query: &Query, filter: &OrderFilter, view: &OrderListView) -> Markup {
    let more = view.found > u64::from(filter.skip) + u64::from(filter.most);
    html! {
        @if view.orders.is_empty() {
            p role="status" {
                @if filter.words.is_empty() && filter.open { "No order is open." }
                @else { "No order is like that. " a href=(PLACE) { "Show all that are open" } }
            }
        } @else {
            p role="status" { (view.found) @if view.found == 1 { " order" } @else { " orders" } ", those that go first on top." }
            (table(view))
        }
        (shop::turn(query, PLACE, (filter.skip, filter.most), more))
    }
}

fn table(view: &OrderListView) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Orders" { table.plans {
            thead { tr {
                th scope="col" { "Order, customer" } th scope="col" { "Stage" } th.number scope="col" { "Priority" }
                th scope="col" { "Wanted by" } th scope="col" { "Build" } th.number scope="col" { "Price" }
            } }
            tbody { @for order in &view.orders { tr {
                th scope="row" { a href={ "/order/" (order.number) } { (order.number) } div { (order.customer) } }
                td { (order.stage) }
                td.number { (order.priority) }
                td.day { (order.due.as_deref().unwrap_or("-")) }
                td.made-of {
                    @if order.machines > 1 { (order.machines) " machines, " @if order.build.is_some() { "each " } }
                    @if let Some(build) = &order.build { (build.build.board) ": " (build.words) } @else { "not chosen" }
                }
                td.number { @if let Some((price, is)) = order.price.as_ref().zip(order.price_is.as_ref()) { (price) div.hint { (is) } } }
            } } }
        } }
    }
}

fn acts() -> Markup {
    html! {
        div.acts {
            a.button href="/need" { "New order: say what is needed" }
            a.button.lesser href="/quotes?state=open" { "Order from a quote" }
            a.button.lesser href="/allocate" { "Allocate stock to all open orders" }
        }
    }
}

fn command(store: &Store, filter: &OrderFilter) -> String {
    let mut rest = "order list".to_string();
    if !filter.words.is_empty() {
        rest.push_str(&format!(" {}", quoted(&filter.words)));
    }
    match filter.stage {
        Some(stage) => rest.push_str(&format!(" --stage {stage}")),
        None if !filter.open => rest.push_str(" --all"),
        None => {}
    }
    shop::command(store, &rest)
}
