//! The shelf by model, or single items, page by page.

use super::super::app::App;
use super::super::asked::{Answer, Asked};
use super::super::field::Field;
use super::super::layout::{self, Page, quoted};
use super::super::query::Query;
use super::super::shop;
use super::{PLACE, command, number, with_store};
use crate::failure::Failure;
use crate::verbs::shop::stock::{self, ItemListView, ItemView, ShelfView};
use domain::item::{ItemState, ModelId, Search};
use maud::{Markup, html};
use store::Store;

/// Items of a page.
const MOST: u32 = 50;
/// Models of a page: each is summed over all its items.
const MODELS_MOST: u32 = 20;

/// Begins the names under which an intake's terms are carried along.
pub const AGAIN: &str = "again-";

/// What is on the shelf.
pub fn page(app: &App, asked: &Asked) -> Answer {
    with_store(app, |store| {
        let query = asked.query.trimmed().without(&["took"]);
        let items = query.get("view") == "items";
        let search = Search {
            words: query.get("words").to_string(),
            state: query.some("state").filter(|_| items).and_then(ItemState::parse),
            model: query.some("model").filter(|_| items).and_then(|m| m.parse().ok()).map(ModelId),
            skip: shop::skip(&query),
            most: if items { MOST } else { MODELS_MOST },
            ..Search::default()
        };
        match found(store, &query, &search, items) {
            Ok(found) => {
                let body = html! {
                    @if let Some(took) = asked.query.some("took") {
                        p.verdict role="status" { @if took == "1" { "1 module was" } @else { (number::<u32>(took)) " modules were" } " taken in; the newest stand first, each with what screening said." }
                    }
                    (form(&query, items))
                    (found)
                    div.acts { a.button href=(again(&query).to("/stock/intake")) { "Take in" } }
                };
                Page::new("Stock", PLACE, body).command(as_command(store, &search, items)).answer()
            }
            Err(failure) => layout::failed(&failure, PLACE),
        }
    })
}

/// What the last intake said of all its modules, for the next one.
fn again(query: &Query) -> Query {
    let kept =
        query.pairs().filter_map(|(name, value)| Some((name.strip_prefix(AGAIN)?.to_string(), value.to_string())));
    Query::of(kept.collect())
}

fn found(store: &Store, query: &Query, search: &Search, items: bool) -> Result<Markup, Failure> {
    if items {
        let view = stock::items(store, search)?;
        return Ok(html! {
            @if view.items.is_empty() { p role="status" { "No item is like that. " a href=(PLACE) { "Show the whole shelf" } } }
            @else { (items_table(&view)) }
            (shop::turn(query, PLACE, (search.skip, search.most), view.more))
        });
    }
    let view = stock::shelf(store, search)?;
    let more = view.found > u64::from(search.skip) + u64::from(search.most);
    Ok(html! {
        @if view.models.is_empty() { (none(query)) } @else {
            p role="status" { @if view.found == 1 { "1 model." } @else { (view.found) " models." } }
            (shelf_table(&view))
        }
        (shop::turn(query, PLACE, (search.skip, search.most), more))
    })
}

/// Words that are of no model may be a serial.
fn none(query: &Query) -> Markup {
    html! {
        p role="status" {
            @if query.get("words").is_empty() { "Nothing is on the shelf yet. " a href="/stock/intake" { "Take something in" } }
            @else { "No model is like that. " a href=(query.with("view", "items").to(PLACE)) { "Look for items and serials" } }
        }
    }
}

fn form(query: &Query, items: bool) -> Markup {
    let views = [("".to_string(), "models".to_string()), ("items".to_string(), "items and serials".to_string())];
    let any = [(String::new(), "any".to_string())].into_iter();
    let states: Vec<(String, String)> =
        any.chain(ItemState::ALL.iter().map(|s| (s.word().to_string(), s.word().to_string()))).collect();
    html! {
        form method="get" action=(PLACE) {
            div.row {
                (Field {
                    name: "words",
                    label: "Words, a bin, or a serial",
                    hint: "parts of a label or part number, a batch, or how a serial begins or ends; a scanner may type here",
                    value: query.get("words"),
                    ..Field::default()
                }.line())
                (Field { name: "view", label: "Show", value: query.get("view"), ..Field::default() }.choice(&views))
                @if items {
                    (Field { name: "state", label: "State", value: query.get("state"), ..Field::default() }.choice(&states))
                }
            }
            @if let (true, Some(model)) = (items, query.some("model")) { input type="hidden" name="model" value=(model); }
            div.acts { button { "Show these" } a.button.lesser href=(PLACE) { "Show all" } }
        }
    }
}

fn shelf_table(view: &ShelfView) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
            thead { tr {
                th scope="col" { "Label" } th scope="col" { "Condition" }
                th.number scope="col" { "Free" } th.number scope="col" { "Reserved" } th.number scope="col" { "Held back" }
                th.number scope="col" { "Cost" }
            } }
            tbody {
                @for line in &view.models {
                    tr {
                        th scope="row" {
                            a href=(Query::default().with("view", "items").with("model", line.model).to(PLACE)) { (line.label) }
                            (beneath([line.part_number.as_deref(), line.maker.as_deref()]))
                        }
                        td { (line.condition) }
                        td.number { (line.free) } td.number { (line.reserved) } td.number { (line.held_back) }
                        td.number {
                            @if let (Some(a), Some(b)) = (&line.cost_least, &line.cost_most) {
                                @if a == b { (a) } @else { (a.amount) " to " (b) }
                            }
                        }
                    }
                }
            }
        } }
    }
}

fn items_table(view: &ItemListView) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
            thead { tr {
                th.number scope="col" { "Item" } th.number scope="col" { "Count" } th scope="col" { "Module" } th scope="col" { "Serial" }
                th scope="col" { "Bin" } th.number scope="col" { "Cost" } th scope="col" { "State, screening" }
            } }
            tbody { @for item in &view.items { (row(item)) } }
        } }
    }
}

/// Less weighty words on a line of their own.
fn beneath(words: [Option<&str>; 2]) -> Markup {
    let words: Vec<&str> = words.into_iter().flatten().filter(|w| !w.is_empty()).collect();
    html! { @if !words.is_empty() { div.hint { (words.join(", ")) } } }
}

fn row(item: &ItemView) -> Markup {
    html! {
        tr {
            th.number scope="row" { a href={ "/stock/item/" (item.item) } { (item.item) } }
            td.number { (item.quantity) }
            td { span.label { (item.label) } (beneath([item.part_number.as_deref(), Some(&item.condition)])) }
            td { (item.serial.as_deref().unwrap_or("-")) }
            td { (item.bin) }
            td.number { (item.cost) }
            td {
                (item.state) @if item.reserved > 0 { span.hint { ", " (item.reserved) " reserved" } }
                (beneath([Some(&item.screening), Some(&item.screening_note)]))
            }
        }
    }
}

fn as_command(store: &Store, search: &Search, items: bool) -> String {
    let mut rest = "list".to_string();
    search.words.split_whitespace().for_each(|w| rest.push_str(&format!(" {}", quoted(w))));
    if items {
        rest.push_str(" --items");
        rest.extend(search.state.map(|s| format!(" --state {}", quoted(s.word()))));
    }
    if search.skip > 0 {
        rest.push_str(&format!(" --skip {}", search.skip));
    }
    command(store, &rest)
}
