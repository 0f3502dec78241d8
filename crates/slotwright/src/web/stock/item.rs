//! One item: its facts, its history, and what can be done to it at the bench.

use super::super::app::App;
use super::super::asked::{Answer, Asked};
use super::super::field::Field;
use super::super::layout::{self, Page};
use super::super::query::Query;
use super::{PLACE, command, evidence, with_store};
use crate::failure::Failure;
use crate::verbs::shop::act::{self, Act};
use crate::verbs::shop::correct;
use crate::verbs::shop::stock::{self, ItemCloselyView};
use crate::world;
use axum::http::StatusCode;
use domain::item::{ItemId, ItemState};
use maud::{Markup, html};
use store::{Store, StoreError};

/// Shows an item; a form that was sent changes it first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    with_store(app, |store| {
        // By its number only: a serial may look like another item's number.
        let Ok(number) = asked.name.parse::<i64>() else {
            return layout::plain(StatusCode::NOT_FOUND, "There is no such item.", "look for it on the page Stock");
        };
        let wrong = if asked.fields.is_empty() {
            None
        } else {
            match change(app, store, number, &asked.fields) {
                Ok(()) => return Answer::Go(format!("/stock/item/{number}")),
                Err(failure) => Some(failure),
            }
        };
        match stock::closely(store, ItemId(number)) {
            Ok(view) => shown(store, &view, &asked.fields, wrong.as_ref()),
            Err(Failure::Store(StoreError::Absent { .. })) => {
                let what = format!("There is no item {number}.");
                layout::plain(StatusCode::NOT_FOUND, &what, "look for it on the page Stock")
            }
            Err(failure) => layout::failed(&failure, PLACE),
        }
    })
}

fn change(app: &App, store: &Store, number: i64, fields: &Query) -> Result<(), Failure> {
    let version = fields.some("version").and_then(|v| v.parse().ok());
    if fields.get("act") == "correct" {
        correct::correct(&app.data(), store, ItemId(number), version, &asked(fields), &world::who())?;
        return Ok(());
    }
    let act = match fields.get("act") {
        "move" => Act::Move(fields.get("bin").to_string()),
        "hold" => Act::Hold,
        "shelve" => Act::Shelve,
        "scrap" => Act::Scrap,
        other => {
            return Err(Failure::Shop {
                why: format!("`{other}` is nothing that can be done to an item"),
                hint: "use the buttons of its page".to_string(),
            });
        }
    };
    let part = fields.some("part").map(|text| {
        let wrong =
            || Failure::Shop { why: format!("`{text}` is no count"), hint: "write a whole number from 1".to_string() };
        text.parse::<u32>().map_err(|_| wrong())
    });
    let part = part.transpose()?;
    act::act(store, ItemId(number), version, (&act, part), fields.get("why"), &world::who())?;
    Ok(())
}

fn asked(fields: &Query) -> correct::Asked {
    let text = |name: &str| fields.get(name).to_string();
    correct::Asked {
        label: text("right-label"),
        part_number: text("right-part"),
        maker: text("right-maker"),
        die: text("right-die"),
        serial: text("right-serial"),
        condition: text("right-condition"),
        count: text("right-count"),
        cost: text("right-cost"),
        received: text("right-received"),
        batch: text("right-batch"),
        why: text("right-why"),
    }
}

/// The page of an item, with what was sent still in its forms.
pub fn shown(store: &Store, view: &ItemCloselyView, sent: &Query, wrong: Option<&Failure>) -> Answer {
    let item = &view.item;
    let body = html! {
        @if let Some(failure) = wrong { (layout::told(failure)) }
        (facts(view))
        @if gone(&item.state) { p.hint { "It is not here any more: that it failed can still be noted, and papers attached." } } @else { (forms(view, sent)) }
        (evidence::part(store, view, sent))
        (mending(view, sent))
        h2 { "History" }
        div.wide tabindex="0" role="group" aria-label="Table" { table {
            thead { tr { th scope="col" { "At" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "Detail" } } }
            tbody {
                @for event in &view.history {
                    tr { td { (event.at) } td { (event.who) } td { (event.act) } td { (event.detail) } }
                }
            }
        } }
    };
    let title = format!("Item {}", item.item);
    let page = Page::new(&title, PLACE, body).command(command(store, &format!("show {}", item.item)));
    if wrong.is_some() { page.refused() } else { page.answer() }
}

fn gone(state: &str) -> bool {
    ItemState::parse(state).is_some_and(act::is_gone)
}

fn facts(view: &ItemCloselyView) -> Markup {
    let item = &view.item;
    let optional = [
        ("maker", &item.maker),
        ("part number", &item.part_number),
        ("dies", &item.die),
        ("serial", &item.serial),
        ("supplier", &view.supplier),
        ("batch", &view.batch),
        ("warranty until", &view.warranty_until),
    ];
    html! {
        dl.facts {
            dt { "module" } dd { (item.label) }
            @for (name, value) in optional { @if let Some(value) = value { dt { (name) } dd { (value) } } }
            dt { "count" } dd { (item.quantity) @if item.reserved > 0 { ", " (item.reserved) " of them reserved" } }
            dt { "state" } dd { strong { (item.state) } ", " (item.condition) }
            dt { "bin" } dd { @if item.bin.is_empty() { "none" } @else { (item.bin) } }
            dt { "cost" } dd { (item.cost) " each" }
            dt { "screening" } dd { (item.screening) @if !item.screening_note.is_empty() { ": " (item.screening_note) } }
            dt { "received" } dd { (item.received) }
            @if !item.note.is_empty() { dt { "note" } dd { (item.note) } }
        }
    }
}

/// What was written wrong, closed until it is asked for.
fn mending(view: &ItemCloselyView, sent: &Query) -> Markup {
    let item = &view.item;
    let none = String::new();
    let batch = view.supplier.as_ref().zip(view.batch.as_ref()).map_or_else(String::new, |(s, b)| format!("{s}/{b}"));
    let (count, cost) = (item.quantity.to_string(), item.cost.to_string());
    let or_none = |text: &Option<String>| text.clone().unwrap_or_else(|| none.clone());
    let now = [
        ("right-label", "Label", item.label.clone()),
        ("right-part", "Part number", or_none(&item.part_number)),
        ("right-maker", "Maker", or_none(&item.maker)),
        ("right-die", "Dies", or_none(&item.die)),
        ("right-serial", "Serial", or_none(&item.serial)),
        ("right-condition", "Condition", item.condition.clone()),
        ("right-count", "Count", count),
        ("right-cost", "Cost of one", cost),
        ("right-batch", "Supplier and batch", batch),
        ("right-received", "Received", item.received.clone()),
    ];
    html! {
        details open[sent.get("act") == "correct"] {
            summary { "Correct what was written wrong" }
            form method="post" action={ "/stock/item/" (item.item) } {
                input type="hidden" name="version" value=(item.version);
                input type="hidden" name="act" value="correct";
                p.hint { "Fill in what is wrong; what stays empty stays as it is, and a - takes part number, maker, dies or serial away." }
                div.row {
                    @for (name, label, now) in now {
                        @let hint = if now.is_empty() { "now: none".to_string() } else { format!("now: {now}") };
                        (Field { name, label, hint: &hint, value: sent.get(name), ..Field::default() }.line())
                    }
                }
                (Field { name: "right-why", label: "Why it is corrected", hint: "stands in its history", value: sent.get("right-why"), required: true, ..Field::default() }.line())
                div.acts { button { "Correct it" } }
            }
        }
    }
}

fn forms(view: &ItemCloselyView, sent: &Query) -> Markup {
    let item = &view.item;
    let path = format!("/stock/item/{}", item.item);
    let on_shelf = item.state == ItemState::Shelf.word();
    html! {
        form method="post" action=(path) {
            fieldset {
                legend { "Move" }
                input type="hidden" name="version" value=(item.version);
                input type="hidden" name="act" value="move";
                (Field { name: "bin", label: "To bin", hint: "one word, such as A3; a scanner may type here", value: sent.get("bin"), required: true, ..Field::default() }.line())
                @if item.free > 1 {
                    (Field { name: "part", label: "How many", hint: "of the lot; all of it where this stays empty", value: sent.get("part"), ..Field::default() }.line())
                }
                div.acts { button { "Move it" } }
            }
        }
        form method="post" action=(path) {
            fieldset {
                legend { "Set aside, put back, scrap" }
                input type="hidden" name="version" value=(item.version);
                (Field { name: "why", label: "Why", hint: "stands in its history", value: sent.get("why"), required: true, ..Field::default() }.line())
                p.hint { "A module that keeps its contents without power may hold a customer's data: see to that before it is scrapped." }
                div.acts {
                    @if on_shelf { button name="act" value="hold" { "Hold it back" } }
                    @else { button name="act" value="shelve" { "Put it on the shelf" } }
                    button.lesser name="act" value="scrap" { "Scrap it" }
                }
            }
        }
    }
}
