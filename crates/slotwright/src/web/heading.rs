//! The heading of a column that sorts: a link whose second click turns the order round.

use super::query::Query;
use maud::{Markup, html};

/// The order of a table: the column's name in the address, and whether it goes down.
pub fn order(query: &Query) -> (&str, bool) {
    (query.get("sort"), query.get("order") == "down")
}

/// The heading of one column.
pub fn sortable(query: &Query, path: &str, name: &str, title: &str, number: bool) -> Markup {
    let (sort, down) = order(query);
    let now = sort == name;
    let down = now && down;
    let mut next = query.without(&["page", "file"]).with("sort", name);
    next = if now && !down { next.with("order", "down") } else { next.without(&["order"]) };
    let state = match (now, down) {
        (false, _) => None,
        (_, true) => Some("descending"),
        (_, false) => Some("ascending"),
    };
    html! {
        th.number[number] scope="col" aria-sort=[state] {
            a href=(next.to(path)) { (title) @if now { @if down { " ▼" } @else { " ▲" } } }
        }
    }
}
