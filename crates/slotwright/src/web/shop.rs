//! What the pages of the shop have alike: they need a store, say what they are as a command line, and turn long lists.

use super::app::App;
use super::asked::Answer;
use super::field::Field;
use super::layout::{self, Page, quoted, sentence};
use super::query::Query;
use crate::failure::Failure;
use axum::http::StatusCode;
use maud::{Markup, html};
use store::{Store, StoreError};

/// Furthest that a list is turned: whoever looks there should search.
pub const SKIP_MOST: u32 = 100_000;

/// Answers with the store, or says that the server has none.
pub fn with_store(app: &App, title: &str, place: &str, answer: impl FnOnce(&Store) -> Answer) -> Answer {
    if let Some(store) = &app.store {
        return answer(store);
    }
    let body = html! {
        p.verdict.is-note role="status" { "This server was started without a store, so it keeps no stock, orders or quotes." }
        p { "What to do: start it with a store, a file that is made where there is none, or a database server." }
    };
    let page = Page::new(title, place, body).command("slotwright --store shop.db serve");
    Answer::Page(StatusCode::OK, page.markup())
}

/// A command line on the same store.
pub fn command(store: &Store, rest: &str) -> String {
    format!("slotwright --store {} {rest}", quoted(&store.place().to_string()))
}

/// A number of a path or query.
pub fn number<T: std::str::FromStr + Default>(text: &str) -> T {
    text.parse().unwrap_or_default()
}

/// How much of a list is passed over.
pub fn skip(query: &Query) -> u32 {
    number::<u32>(query.get("skip")).min(SKIP_MOST)
}

/// The form above a list that is found by a part of a number or customer, and by one choice; the first option is what is shown
/// where nothing is asked.
pub fn search(
    query: &Query,
    path: &str,
    name: &'static str,
    options: &[(String, String)],
    all: &'static str,
) -> Markup {
    let field = |name: &'static str, label: &'static str, hint: &'static str| Field {
        name,
        label,
        hint,
        value: query.get(name),
        ..Field::default()
    };
    html! {
        form method="get" action=(path) {
            div.row {
                (field("words", "Number or customer", "a part is enough").line())
                (field(name, "Which", "").choice(options))
            }
            div.acts { button { "Show these" } a.button.lesser href=(path) { (all) } }
        }
    }
}

/// Links to the pages of a list before and after this one.
pub fn turn(query: &Query, path: &str, (skip, most): (u32, u32), more: bool) -> Markup {
    let before = skip.saturating_sub(most);
    html! {
        @if skip > 0 || more {
            nav.turn aria-label="Pages" {
                @if skip > 0 { a rel="prev" href=(query.with("skip", before).to(path)) { "← Before these" } }
                @if more && skip < SKIP_MOST { a rel="next" href=(query.with("skip", skip + most).to(path)) { "After these →" } }
            }
        }
    }
}

/// The page of a failure; where the store has no such thing, it is not found.
pub fn failed(failure: &Failure, place: &str) -> Answer {
    match failure {
        Failure::Store(absent @ StoreError::Absent { .. }) => layout::absent(&sentence(&absent.to_string()), place),
        other => layout::failed(other, place),
    }
}

/// Why a form was not taken, beside one of its fields.
pub fn words(failure: &Failure) -> String {
    format!("{}: {}", failure, failure.hint())
}

/// `1 machine`, `3 machines`.
pub fn machines(count: u32) -> String {
    if count == 1 { "1 machine".to_string() } else { format!("{count} machines") }
}
