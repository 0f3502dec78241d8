//! A page that only prints its size: what the load trial holds the other pages against. Offered with `--reference` alone.

use super::app::App;
use super::asked::{Answer, Asked};
use super::{layout, routes};
use maud::html;

/// Largest page, in bytes.
const MOST: usize = 4 << 20;

/// A page of about `size` bytes.
pub fn page(app: &App, asked: &Asked) -> Answer {
    if !app.reference {
        return routes::nothing(app, asked);
    }
    let size = asked.query.get("size").parse::<usize>().unwrap_or(0).min(MOST);
    let words = "about this many bytes ".repeat(size / 22);
    layout::Page::new("Reference", "", html! { p { (size) " bytes" } p { (words) } }).answer()
}
