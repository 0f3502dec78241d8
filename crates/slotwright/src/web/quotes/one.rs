//! One quote: its state, its paper, its versions, and what can be done with it: withdraw, revise, turn into an order.

use super::PLACE;
use super::list::state;
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::quote::{self, Ordering, QuoteCloselyView, QuoteView};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::layout::{self, Page, sentence};
use crate::web::need::Wrong;
use crate::web::orders::new::priority;
use crate::web::query::Query;
use crate::web::sheets::print;
use crate::web::shop;
use crate::world;
use domain::Day;
use domain::quote::QuoteState;
use draw::sheet::{Paper, Sheet};
use maud::{Markup, html};
use store::{Store, Terms};

/// What was sent, and what came of it.
struct Sent<'a> {
    fields: &'a Query,
    wrong: Wrong,
    failure: Option<(&'static str, Failure)>,
}

/// Shows a quote; a form that was sent changes it first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Quote", PLACE, |store| {
        let mut sent = Sent { fields: &asked.fields, wrong: Wrong::default(), failure: None };
        if !asked.fields.is_empty() {
            match act(app, store, &asked.name, &asked.fields, &mut sent.wrong) {
                Ok(Some(to)) => return Answer::Go(to),
                Ok(None) => {}
                Err(failed) => sent.failure = Some(failed),
            }
        }
        let version = asked.query.some("version").and_then(|v| v.parse().ok());
        let today = calendar::of(world::today());
        let found = quote::closely(store, &asked.name, version, today)
            .and_then(|view| Ok((quote::sheet(&app.data(), store, &asked.name, version)?, view)));
        let (sheet, view) = match found {
            Ok(found) => found,
            Err(failure) => return shop::failed(&failure, PLACE),
        };
        if asked.query.get("as") == "pdf" {
            let size = if asked.query.get("paper") == "letter" { Paper::Letter } else { Paper::A4 };
            let name = format!("{}-{}.pdf", view.quote.number, view.quote.version);
            return Answer::Pdf { name, bytes: draw::pdf::render(&sheet, size) };
        }
        shown(app, store, &view, &sheet, &sent, today)
    })
}

/// Does what the form says; gives where to go then, or `None` where a field is wrong.
fn act(
    app: &App,
    store: &Store,
    number: &str,
    fields: &Query,
    wrong: &mut Wrong,
) -> Result<Option<String>, (&'static str, Failure)> {
    let who = world::who();
    let which = (number, fields.some("version").and_then(|v| v.parse().ok()));
    match fields.get("act") {
        "withdraw" => {
            let quote = quote::withdraw(store, which, fields.get("reason"), &who).map_err(|f| ("withdraw", f))?;
            Ok(Some(format!("/quote/{}", quote.number)))
        }
        "order" => {
            let due = match fields.some("due").map(calendar::read_day).transpose() {
                Ok(due) => due,
                Err(fault) => {
                    wrong.add("due", shop::words(&fault));
                    return Ok(None);
                }
            };
            let priority = fields.some("priority").map_or(5, |p| p.parse().unwrap_or(u8::MAX));
            let terms = Terms { priority, due, day: calendar::of(world::today()) };
            let anyway = fields.holds("anyway", "yes");
            let how = Ordering { terms, anyway, today: terms.day };
            let order = quote::order(&app.data(), store, which, how, &who).map_err(|f| ("order", of_page(f)))?;
            Ok(Some(format!("/order/{}", order.number)))
        }
        other => Err((
            "withdraw",
            Failure::Shop {
                why: format!("`{other}` is nothing that can be done to a quote"),
                hint: "use the buttons of its page".to_string(),
            },
        )),
    }
}

/// The hint that names an option of the command line, in the words of the page.
fn of_page(failure: Failure) -> Failure {
    let Failure::QuoteMoved { .. } = failure else { return failure };
    Failure::Shop {
        why: failure.to_string(),
        hint: "revise the quote, or tick that it is ordered anyway, at the quoted price".to_string(),
    }
}

fn shown(app: &App, store: &Store, view: &QuoteCloselyView, sheet: &Sheet, sent: &Sent<'_>, today: Day) -> Answer {
    let quote = &view.quote;
    let newest = view.versions.last().is_none_or(|v| v.version == quote.version);
    let open = newest && quote.state == QuoteState::Open.word();
    let here = format!("/quote/{}", quote.number);
    let this = Query::default().with("version", quote.version);
    let body = html! {
        p.verdict.is-note[!open || quote.expired] role="status" {
            strong { (state(quote)) } ": for " (quote.customer) ", " (shop::machines(quote.machines)) ", net " (quote.net)
            @if quote.net == quote.total { ", without tax" } @else { ", total " (quote.total) }
            ", valid until " (quote.valid_until)
        }
        @if let Some(order) = &quote.order { p { "It became order " a href={ "/order/" (order) } { (order) } "." } }
        @if !newest { p { "This is version " (quote.version) ". " a href=(here) { "The newest version" } } }
        div.acts.unprinted {
            a.button href=(this.with("as", "pdf").to(&here)) { "As PDF" }
            @if open { a.button.lesser href=(Query::default().with("revise", &quote.number).to("/quotes/new")) { "Revise it" } }
            button.lesser type="button" data-print="" hidden { "Print" }
        }
        @if open { (acts(app, store, view, sent, today)) }
        (versions(view))
        @if !view.changes.is_empty() {
            section.unprinted {
                h2 { "What version " (quote.version) " changed" }
                ul { @for change in &view.changes { li { (sentence(change)) } } }
            }
        }
        h2.unprinted { "Its paper" }
        (print::sheet(sheet))
        details.file { summary { "The need as a file" } pre tabindex="0" aria-label="The need as a file" { code { (view.need) } } }
    };
    let title = format!("Quote {}", quote.number);
    let mut lines = vec![shop::command(store, &format!("quote show {}", quote.number))];
    if open {
        lines.push(shop::command(store, &format!("quote order {}", quote.number)));
    }
    let page = Page::new(&title, PLACE, body).command(lines.join("\n"));
    if sent.failure.is_some() || sent.wrong.any() { page.refused() } else { page.answer() }
}

fn acts(app: &App, store: &Store, view: &QuoteCloselyView, sent: &Sent<'_>, today: Day) -> Markup {
    let (quote, from_stock) = (&view.quote, view.from_stock);
    let failure = |act: &str| sent.failure.as_ref().filter(|(a, _)| *a == act).map(|(_, f)| f);
    let here = format!("/quote/{}", quote.number);
    html! {
        @if quote.expired {
            p { "It is past its last day, so it can't be ordered: revise it first." }
            @if let Some(failure) = failure("order") { (layout::told(failure)) }
        } @else { (order(app, store, quote, sent, (failure("order"), from_stock, today))) }
        details.unprinted open[failure("withdraw").is_some()] {
            summary { "Withdraw this quote" }
            form method="post" action=(here) {
                fieldset {
                    legend { "Withdraw" }
                    @if let Some(failure) = failure("withdraw") { (layout::told(failure)) }
                    input type="hidden" name="act" value="withdraw";
                    input type="hidden" name="version" value=(quote.version);
                    p { "A withdrawn quote can't be ordered or revised any more." }
                    (Field { name: "reason", label: "Reason", hint: "stands in its history; may stay empty", value: sent.fields.get("reason"), ..Field::default() }.line())
                    div.acts { button.lesser { "Withdraw it" } }
                }
            }
        }
    }
}

/// The form that makes an order of it, with what changed since beside it.
fn order(
    app: &App,
    store: &Store,
    quote: &QuoteView,
    sent: &Sent<'_>,
    (failure, from_stock, today): (Option<&Failure>, bool, Day),
) -> Markup {
    let changes = store
        .quote(&quote.number, None)
        .map_err(Failure::from)
        .and_then(|kept| quote::changes(&app.data(), store, &kept, today));
    let changed = changes.as_ref().is_ok_and(|c| !c.is_empty());
    // What changed is told here already; a refusal that only says it again is left out.
    let told = failure.filter(|f| !(changed && matches!(f, Failure::Shop { .. })));
    html! {
        form.unprinted method="post" action={ "/quote/" (quote.number) } {
            fieldset {
                legend { "Turn it into an order" }
                input type="hidden" name="act" value="order";
                input type="hidden" name="version" value=(quote.version);
                @if let Some(failure) = told { (layout::told(failure)) }
                @match &changes {
                    Ok(none) if none.is_empty() && from_stock => { p { "Prices and stock are as quoted." } }
                    Ok(none) if none.is_empty() => { p { "Prices are as quoted. It was planned from what can be bought: what the shelf lacks is told with the order." } }
                    Ok(changes) => {
                        div.problem role="alert" {
                            p { strong { "It no longer stands as it was." } }
                            ul { @for change in changes { li { (sentence(change)) } } }
                            p { "What to do: revise it, or order it anyway." }
                        }
                        label.tick { input type="checkbox" name="anyway" value="yes" checked[sent.fields.holds("anyway", "yes")]; " Order it anyway, at the quoted price" }
                    }
                    Err(failure) => { (layout::told(failure)) }
                }
                div.row {
                    (priority(sent.fields.get("priority"), &sent.wrong.of("priority").collect::<Vec<_>>()))
                    (Field { name: "due", label: "Wanted by", hint: "as 2026-12-24; empty if no day was named", value: sent.fields.get("due"), wrong: sent.wrong.of("due").collect(), ..Field::default() }.line())
                }
                div.acts { button { "Make it an order" } }
            }
        }
    }
}

fn versions(view: &QuoteCloselyView) -> Markup {
    html! {
        @if view.versions.len() > 1 {
            section.unprinted {
                h2 { "Versions" }
                div.wide tabindex="0" role="group" aria-label="Versions" { table.plans {
                    thead { tr {
                        th.number scope="col" { "Version" } th scope="col" { "State" } th scope="col" { "Issued" } th scope="col" { "Valid until" }
                        th.number scope="col" { "Net" } th.number scope="col" { "Total" } th scope="col" { "By" }
                    } }
                    tbody { @for v in &view.versions { tr.binds[v.version == view.quote.version] {
                        th.number scope="row" { a href={ "/quote/" (v.number) "?version=" (v.version) } { (v.version) } }
                        td { (state(v)) } td { (v.issued) } td { (v.valid_until) } td.number { (v.net) } td.number { (v.total) } td { (v.by) }
                    } } }
                } }
            }
        }
    }
}
