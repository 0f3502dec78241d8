//! Suppliers: how often their modules fail, what waits to go back, what was bought.

use super::app::App;
use super::asked::{Answer, Asked};
use super::field::Field;
use super::layout::{self, Page};
use super::query::Query;
use super::shop::{command, number, skip, turn, with_store};
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::supplier::{self, BatchListView, FailureListView, FailureView, RatesView};
use crate::world;
use domain::failure::{CountedBy, FailureId};
use maud::{Markup, html};
use store::{Sending, Store};

const PLACE: &str = "/suppliers";
/// Failures of a page.
const MOST: u32 = 50;
/// Batches of a page, the newest: an older one is asked for by its supplier.
const BATCHES_MOST: u32 = 60;
/// Rates of a page, those with the most failures.
const RATES_MOST: usize = 60;

/// Shows them; a form that was sent changes something first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    with_store(app, "Suppliers", PLACE, |store| {
        let query = asked.query.trimmed();
        let wrong = if asked.fields.is_empty() {
            None
        } else {
            match change(store, &asked.fields) {
                Ok(()) => return Answer::Go(query.to(PLACE)),
                Err(failure) => Some(failure),
            }
        };
        match shown(store, &query, &asked.fields, wrong.as_ref()) {
            Ok(page) if wrong.is_some() => page.refused(),
            Ok(page) => page.answer(),
            Err(failure) => layout::failed(&failure, PLACE),
        }
    })
}

fn change(store: &Store, fields: &Query) -> Result<(), Failure> {
    let who = world::who();
    let text = |name: &str| fields.get(name).trim().to_string();
    match fields.get("act") {
        "send" => {
            let failures: Vec<FailureId> =
                fields.all("failure").filter_map(|f| f.parse().ok()).map(FailureId).collect();
            let late = fields.get("late") == "yes";
            let sending = Sending { failures, reference: text("reference"), note: text("note"), late };
            supplier::send(store, &sending, &who)?;
        }
        "warranty" => {
            supplier::warranty(store, fields.get("batch"), calendar::read_day(fields.get("until"))?, &who)?;
        }
        "close" => {
            supplier::close(store, number(fields.get("failure")), fields.get("to"), fields.get("note"), &who)?;
        }
        other => {
            return Err(Failure::Shop {
                why: format!("`{other}` is nothing that can be done here"),
                hint: "use the buttons of this page".to_string(),
            });
        }
    }
    Ok(())
}

fn by(query: &Query) -> (CountedBy, &'static str) {
    match query.get("by") {
        "batch" => (CountedBy::Batch, "batch"),
        "model" => (CountedBy::Model, "model"),
        _ => (CountedBy::Supplier, "supplier"),
    }
}

fn shown(store: &Store, query: &Query, sent: &Query, wrong: Option<&Failure>) -> Result<Page<'static>, Failure> {
    let (counted, word) = by(query);
    let all = query.get("all") == "yes";
    let failures = supplier::failures(store, all, skip(query), MOST)?;
    let mut rates = supplier::rates(store, counted)?;
    rates.rates.truncate(RATES_MOST);
    let (batches, found) = supplier::newest(store, BATCHES_MOST)?;
    let older = found.saturating_sub(u64::from(BATCHES_MOST));
    let body = html! {
        @if let Some(failure) = wrong { (layout::told(failure)) }
        h2 { "What failed" }
        p {
            @if all { a href=(query.without(&["all", "skip"]).to(PLACE)) { "Only what has something left to do" } }
            @else { a href=(query.with("all", "yes").to(PLACE)) { "Closed ones too" } }
        }
        (waiting(&failures, query, sent))
        (turn(query, PLACE, (skip(query), MOST), failures.more))
        h2 { "How often" }
        p { "Counted by "
            @for (at, name) in ["supplier", "batch", "model"].into_iter().enumerate() {
                @if at > 0 { ", " }
                @if name == word { strong { (name) } } @else { a href=(query.with("by", name).to(PLACE)) { (name) } }
            }
            ". The range says where the true share lies at 95 %: few modules say little."
        }
        (often(&rates))
        h2 { "What was bought" }
        (bought(&batches, query, sent))
        @if older > 0 { p.hint { "The newest " (BATCHES_MOST) "; " (older) " older ones: slotwright supplier batches." } }
    };
    let rest = if all { "supplier failures --all" } else { "supplier failures" };
    Ok(Page::new("Suppliers", PLACE, body).command(command(store, rest)))
}

fn waiting(view: &FailureListView, query: &Query, sent: &Query) -> Markup {
    if view.failures.is_empty() {
        return html! { p role="status" { "No module waits to go back. A module is reported on its own page, or where it is taken out of an order as faulty." } };
    }
    let here = |f: &FailureView| f.state == "found" || f.state == "refused";
    let mine = if sent.get("act") == "send" { sent } else { &Query::default() };
    html! {
        form method="post" action=(query.to(PLACE)) {
            input type="hidden" name="act" value="send";
            div.wide tabindex="0" role="group" aria-label="Modules that failed" { table {
                thead { tr {
                    th scope="col" { "Send" } th scope="col" { "Module" } th scope="col" { "Item" } th scope="col" { "State" }
                    th scope="col" { "Bought from" } th scope="col" { "Warranty until" } th scope="col" { "Return" } th scope="col" { "Reason" }
                } }
                tbody { @for f in &view.failures { tr {
                    td { @if here(f) {
                        label.tick {
                            input type="checkbox" name="failure" value=(f.failure) checked[mine.all("failure").any(|v| v == f.failure.to_string())];
                            " " (f.failure)
                        }
                    } @else { (f.failure) } }
                    th scope="row" { (f.item.label) @if let Some(serial) = &f.item.serial { br; (serial) } }
                    td { a href={ "/stock/item/" (f.item.item) } { "item " (f.item.item) } }
                    td { (f.state) @if let Some(order) = &f.order { br; "order " (order) } }
                    td { (f.supplier.as_deref().unwrap_or("nobody known")) @if let Some(batch) = &f.batch { br; (batch) } }
                    td.day { (f.warranty_until.as_deref().unwrap_or("not said")) }
                    td { (f.reference) }
                    td { (f.reason) @if !f.note.is_empty() { br; (f.note) } }
                } } }
            } }
            @if view.failures.iter().any(here) {
                fieldset {
                    legend { "Send the ticked ones back" }
                    (Field { name: "reference", label: "The supplier's number of the return", hint: "all go to one supplier", value: mine.get("reference"), required: true, ..Field::default() }.line())
                    (Field { name: "note", label: "Note", value: mine.get("note"), ..Field::default() }.line())
                    label.tick { input type="checkbox" name="late" value="yes" checked[mine.get("late") == "yes"]; " although the warranty is over" }
                    div.acts { button { "Send them back" } }
                }
            }
        }
        @let open: Vec<&FailureView> = view.failures.iter().filter(|f| f.state == "sent back" || here(f)).collect();
        @if !open.is_empty() {
            form method="post" action=(query.to(PLACE)) {
                input type="hidden" name="act" value="close";
                fieldset {
                    legend { "What became of one" }
                    div.field {
                        label for="f-failed" { "Failure" }
                        select id="f-failed" name="failure" required {
                            option value="" { "choose one" }
                            @for f in &open { option value=(f.failure) selected[sent.get("act") == "close" && sent.get("failure") == f.failure.to_string()] {
                                (f.failure) ": " (f.item.label) ", " (f.state)
                            } }
                        }
                    }
                    div.field {
                        label for="f-closing" { "In words" }
                        input id="f-closing" name="note" type="text" autocomplete="off" aria-describedby="f-closing-hint"
                            value=(if sent.get("act") == "close" { sent.get("note") } else { "" });
                        p.hint id="f-closing-hint" { "such as the number of the credit note" }
                    }
                    div.acts {
                        button name="to" value="replaced" { "Replaced" }
                        button name="to" value="credited" { "Credited" }
                        button.lesser name="to" value="refused" { "Refused" }
                        button.lesser name="to" value="scrapped" { "Scrap it" }
                        button.lesser name="to" value="sound" { "It is sound: back to the shelf" }
                    }
                    p.hint { "A module that keeps its contents without power may hold a customer's data: see to that before it is scrapped or sent." }
                }
            }
        }
    }
}

fn name(by: &str) -> &'static str {
    match by {
        "batch" => "Batch",
        "model" => "Model",
        _ => "Supplier",
    }
}

fn often(view: &RatesView) -> Markup {
    html! {
        @if view.rates.is_empty() { p { "Nothing came in yet." } } @else {
            div.wide tabindex="0" role="group" aria-label="How often modules fail" { table {
                thead { tr {
                    th scope="col" { (name(&view.by)) } th.number scope="col" { "Came in" } th.number scope="col" { "Failed" }
                    th.number scope="col" { "Made good" } th.number scope="col" { "Share" } th scope="col" { "At 95 % sure" }
                } }
                tbody { @for rate in &view.rates { tr {
                    th scope="row" { @if rate.name.is_empty() { "bought in no batch" } @else { (rate.name) } }
                    td.number { (rate.received) } td.number { (rate.failed) } td.number { (rate.made_good) }
                    td.number { (format!("{:.1} %", rate.percent)) }
                    td { (format!("{:.1} to {:.1} %", rate.percent_least, rate.percent_most)) }
                } } }
            } }
        }
    }
}

fn bought(view: &BatchListView, query: &Query, sent: &Query) -> Markup {
    let mine = sent.get("act") == "warranty";
    html! {
        @if view.batches.is_empty() { p { "Nothing was bought in a batch yet: at the intake, say supplier and reference." } } @else {
            form method="post" action=(query.to(PLACE)) {
                input type="hidden" name="act" value="warranty";
                fieldset {
                    legend { "Until when a batch can go back" }
                    div.field {
                        label for="f-batch" { "Batch" }
                        select id="f-batch" name="batch" {
                            @for b in &view.batches { option value=(b.batch) selected[mine && sent.get("batch") == b.batch.to_string()] {
                                (b.supplier) ", " (b.reference)
                            } }
                        }
                    }
                    (Field { name: "until", label: "Last day", hint: "such as 2027-05-31", value: if mine { sent.get("until") } else { "" }, required: true, ..Field::default() }.line())
                    div.acts { button { "Set it" } }
                }
            }
            div.wide tabindex="0" role="group" aria-label="Batches" { table {
                thead { tr {
                    th scope="col" { "Supplier" } th scope="col" { "Reference" } th scope="col" { "Bought" } th scope="col" { "Warranty until" }
                    th.number scope="col" { "Modules" } th.number scope="col" { "Failed" }
                } }
                tbody { @for b in &view.batches { tr {
                    th scope="row" { (b.supplier) } td { (b.reference) } td { (b.bought) }
                    td.day { (b.warranty_until.as_deref().unwrap_or("not said")) }
                    td.number { (b.modules) } td.number { (b.failed) }
                } } }
            } }
        }
    }
}
