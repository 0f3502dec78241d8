//! What an order's page shows beside its forms: stages, facts, the chosen build on its map, exact modules, and history.

use super::forms;
use crate::verbs::check::Checked;
use crate::verbs::drawing::Map;
use crate::verbs::shop::chosen::ChosenBuild;
use crate::verbs::shop::order::{OrderCloselyView, OrderView, PromiseView};
use crate::verbs::shop::stock::EventView;
use crate::web::build;
use crate::web::judged;
use crate::web::query::Query;
use domain::order::Stage;
use maud::{Markup, html};

/// The row of stages with the one that it is at.
pub fn stages(view: &OrderView) -> Markup {
    let now = Stage::ALL.iter().position(|s| s.word() == view.stage);
    html! {
        @if view.stage == Stage::Cancelled.word() {
            p.verdict.is-note role="status" { strong { "cancelled" } ": it holds nothing any more." }
        } @else {
            ol.stages aria-label="Stages" {
                @for (at, stage) in Stage::ALL.iter().enumerate().filter(|(_, s)| **s != Stage::Cancelled) {
                    @let done = now.is_some_and(|now| at < now);
                    li aria-current=[(now == Some(at)).then_some("step")] {
                        @if done { span aria-hidden="true" { "✓ " } span.unseen { "done: " } } (stage)
                    }
                }
            }
            @if !view.lacks.is_empty() { p.verdict.is-note role="status" { "The shelf lacks " (view.lacks.join(", ")) "." } }
            @if Stage::parse(&view.stage).is_some_and(Stage::is_open) { p { "Next: " (view.next) "." } }
        }
    }
}

/// Who, how many, by when, at what price.
pub fn facts(closely: &OrderCloselyView) -> Markup {
    let view = &closely.order;
    html! {
        dl.facts {
            dt { "customer" } dd { (view.customer) }
            dt { "machines" } dd { (view.machines) }
            dt { "priority" } dd { (view.priority) span.hint { " (0 goes first, 9 last)" } }
            dt { "wanted by" } dd { (view.due.as_deref().unwrap_or("no day named")) }
            @if let Some((price, is)) = view.price.as_ref().zip(view.price_is.as_ref()) {
                dt { "price" } dd { (price) @if view.machines > 1 { " for all machines" } ", " (is) }
                @if let Some(cost) = view.cost.as_ref().filter(|c| *c != price) { dt { "its modules cost" } dd { (cost) } }
            }
            @if let Some((quote, version)) = closely.quote.as_ref().zip(closely.quote_version) {
                dt { "quote" } dd { a href={ "/quote/" (quote) "?version=" (version) } { (quote) " version " (version) } }
            }
            dt { "written down" } dd { (crate::web::layout::moment(&view.created)) }
        }
    }
}

/// The chosen build with its map, and where it goes from here.
pub fn chosen(view: &OrderView, build: &ChosenBuild, exchanged: &[String], checked: Option<&Checked>) -> Markup {
    let query = build::Form::of(&build.build).query;
    html! {
        h2 { "The chosen build" }
        p.lead { strong { (build.build.board) } " with " (build.words) }
        @for exchange in exchanged { p.verdict.is-note { "Other than chosen: " (exchange) "." } }
        div.acts { (papers(&view.number)) a.button.lesser href=(query.to("/build")) { "Open as a build" } a.button.lesser href=(query.to("/compare")) { "Compare with the machine" } }
        @match checked {
            Some(checked) => {
                (judged::verdict(&checked.view))
                (judged::map(&Map::judged(&checked.build, &checked.judgement).drawing(), &checked.view))
            }
            None => { p.hint { "Its board or one of its modules is not known any more, so no map can be drawn." } }
        }
    }
}

/// Links to the papers of an order.
fn papers(number: &str) -> Markup {
    let kinds = [("pick-list", "Pick list"), ("bench", "Bench sheet"), ("record", "Record"), ("stickers", "Stickers")];
    html! {
        @for (kind, words) in kinds {
            a.button.lesser href=(Query::default().with("order", number).to(&format!("/sheet/{kind}"))) { (words) }
        }
    }
}

/// Modules that are the order's, by machine and slot; what was let go stands below.
pub fn modules(view: &OrderCloselyView, picked: Option<i64>) -> Markup {
    let (now, gone): (Vec<&PromiseView>, Vec<&PromiseView>) =
        view.modules.iter().partition(|m| forms::bound(view).any(|b| std::ptr::eq(b, *m)));
    html! {
        @if !now.is_empty() {
            h2 #modules { "Its modules" }
            (module_table(&now, view.order.machines > 1, picked, "Its modules"))
        }
        @if !gone.is_empty() {
            details.file {
                summary { (gone.len()) @if gone.len() == 1 { " module was" } @else { " modules were" } " let go or taken out" }
                (module_table(&gone, view.order.machines > 1, None, "Let go"))
            }
        }
    }
}

fn module_table(all: &[&PromiseView], many: bool, picked: Option<i64>, name: &str) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label=(name) { table.slots {
            thead { tr {
                @if many { th.number scope="col" { "Machine" } }
                th scope="col" { "Slot" } th scope="col" { "State" } th scope="col" { "Bin" } th scope="col" { "Serial" }
                th scope="col" { "Module" } th.number scope="col" { "Item" }
            } }
            tbody { @for m in all { tr.binds[picked == Some(m.item)] {
                @if many { td.number { (m.machine) } }
                th scope="row" { (m.slot) }
                td { @if m.state != "held" { span aria-hidden="true" { "✓ " } } (m.state) }
                td { @if m.bin.is_empty() { "-" } @else { (m.bin) } }
                td { (m.serial.as_deref().unwrap_or("-")) }
                td { (m.module) @if let Some(part) = &m.part_number { span.hint { " " (part) } } }
                td.number { a href={ "/stock/item/" (m.item) } { (m.item) } }
            } } }
        } }
    }
}

/// Everything that was done to it, with its stamp.
pub fn history(history: &[EventView]) -> Markup {
    html! {
        h2 { "History" }
        div.wide tabindex="0" role="group" aria-label="History" { table {
            thead { tr { th scope="col" { "At" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "Detail" } } }
            tbody { @for e in history { tr { td.day { (crate::web::layout::moment(&e.at)) } td { (e.who) } td { (e.act) } td { (e.detail) } } } }
        } }
    }
}
