//! The shop's stock: the shelf by model, single items, one closely, and taking in.

pub mod intake;
pub mod item;
pub mod list;

use super::app::App;
use super::asked::Answer;
use super::layout::{Page, quoted};
use axum::http::StatusCode;
use maud::html;
use store::Store;

/// The place of all these pages in the navigation.
const PLACE: &str = "/stock";

/// Answers with the store, or says that the server has none.
fn with_store(app: &App, answer: impl FnOnce(&Store) -> Answer) -> Answer {
    if let Some(store) = &app.store {
        return answer(store);
    }
    let body = html! {
        p.verdict.is-note role="status" { "This server was started without a store, so it keeps no stock." }
        p { "What to do: start it with a store, a file that is made where there is none, or a database server." }
    };
    let page = Page::new("Stock", PLACE, body).command("slotwright --store shop.db serve");
    Answer::Page(StatusCode::OK, page.markup())
}

/// A command line on the same store.
fn command(store: &Store, rest: &str) -> String {
    format!("slotwright --store {} stock {rest}", quoted(&store.place().to_string()))
}

/// A number of a path or query.
fn number<T: std::str::FromStr + Default>(text: &str) -> T {
    text.parse().unwrap_or_default()
}
