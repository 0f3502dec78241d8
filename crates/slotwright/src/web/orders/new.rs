//! A new order: the need that the address carries, and who wants it by when.

use super::PLACE;
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::order::{self, Asked as Wanted};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::{Field, carried};
use crate::web::layout::{self, Page, quoted};
use crate::web::need::{self, Form, Wrong};
use crate::web::query::Query;
use crate::web::{judged, shop};
use crate::world;
use maud::{Markup, html};
use store::{Store, StoreError};

const HERE: &str = "/orders/new";

/// The form; what was sent is written down.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "New order", PLACE, |store| {
        let sent = !asked.fields.is_empty();
        let given = if sent { &asked.fields } else { &asked.query };
        let form = Form::new(&given.trimmed().without(&["stock"]));
        if form.query.is_empty() {
            return beginning();
        }
        let data = app.data();
        let words = match form.read(&data.library) {
            Ok(need) => crate::verbs::need::NeedView::new(&need),
            Err(wrong) => return need::answer(data.library.catalog(), &Form::new(given), &wrong),
        };
        let mut wrong = Wrong::default();
        let mut failure = None;
        if sent {
            match write(app, store, &form, given) {
                Ok(number) => return Answer::Go(format!("/order/{number}")),
                Err(fault) => beside(fault, given, &mut wrong, &mut failure),
            }
        }
        let body = html! {
            @if let Some(failure) = &failure { (layout::told(failure)) }
            p.lead { strong { (words.board) } ": " (words.words) }
            @if given.some("stock").is_some() {
                p.verdict.is-note role="status" { "The stock that was typed into the need is left out: an order is met from the shelf." }
            }
            (fields(given, &form, &wrong))
            (judged::file("The need as a file", "need.toml", &form.text(), &form.query, "/plans"))
        };
        let page =
            Page::new("New order", PLACE, body).way(vec![("/need", form.query.text()), ("/plans", form.query.text())]);
        let page = page.command(command(store, given));
        if wrong.any() || failure.is_some() { page.refused() } else { page.answer() }
    })
}

/// Puts a fault beside the field that it speaks of.
fn beside(fault: Failure, given: &Query, wrong: &mut Wrong, failure: &mut Option<Failure>) {
    let of_customer = given.some("customer").is_none();
    match &fault {
        Failure::Shop { .. } => wrong.add("due", shop::words(&fault)),
        Failure::Store(StoreError::Refused(_)) if of_customer => {
            wrong.add("customer", "an order needs a customer's name".to_string());
        }
        _ => *failure = Some(fault),
    }
}

fn beginning() -> Answer {
    let body = html! {
        p { "An order begins with what the customer needs, or with a quote that was accepted." }
        div.acts {
            a.button href="/need" { "Say what the customer needs" }
            a.button.lesser href="/quotes?state=open" { "Look at open quotes" }
        }
    };
    Page::new("New order", PLACE, body).command("slotwright order new need.toml --customer NAME").answer()
}

fn write(app: &App, store: &Store, form: &Form, given: &Query) -> Result<String, Failure> {
    let due = given.some("due").map(calendar::read_day).transpose()?;
    let text = form.text();
    let priority = given.some("priority").map_or(5, |p| p.parse().unwrap_or(u8::MAX));
    let wanted = Wanted { need: &text, customer: given.get("customer"), priority, due };
    Ok(order::new(&app.data(), store, &wanted, &world::who())?.number)
}

fn fields(given: &Query, form: &Form, wrong: &Wrong) -> Markup {
    let field = |name: &'static str, label: &'static str, hint: &'static str| Field {
        name,
        label,
        hint,
        value: given.get(name),
        wrong: wrong.of(name).collect(),
        ..Field::default()
    };
    html! {
        form method="post" action=(HERE) {
            (carried(&form.query))
            fieldset {
                legend { "The order" }
                div.row {
                    (Field { required: true, ..field("customer", "Customer", "") }.line())
                    (field("due", "Wanted by", "as 2026-12-24; empty if no day was named").line())
                    (priority(given.get("priority"), &wrong.of("priority").collect::<Vec<_>>()))
                }
                div.acts {
                    button { "Write it down" }
                    a.button.lesser href=(form.query.to("/plans")) { "Look at plans first" }
                }
            }
        }
    }
}

/// The choice of a priority, as usual where none is given.
pub fn priority(given: &str, wrong: &[&str]) -> Markup {
    let words = |p: u8| match p {
        0 => "0: before all others".to_string(),
        5 => "5: as usual".to_string(),
        9 => "9: when there is time".to_string(),
        p => p.to_string(),
    };
    let all: Vec<(String, String)> = (0..=9).map(|p| (p.to_string(), words(p))).collect();
    let value = if given.is_empty() { "5" } else { given };
    Field { name: "priority", label: "Priority", value, wrong: wrong.to_vec(), ..Field::default() }.choice(&all)
}

fn command(store: &Store, given: &Query) -> String {
    let mut rest = format!("order new need.toml --customer {}", quoted(given.some("customer").unwrap_or("NAME")));
    for name in ["priority", "due"] {
        if let Some(value) = given.some(name) {
            rest.push_str(&format!(" --{name} {}", quoted(value)));
        }
    }
    shop::command(store, &rest)
}
