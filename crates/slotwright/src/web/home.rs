//! The start page: the way, and what there is to look up.

use super::app::App;
use super::asked::{Answer, Asked};
use super::layout::Page;
use super::need::Form;
use maud::html;

/// The start page.
pub fn page(app: &App, _: &Asked) -> Answer {
    let data = app.data();
    let catalog = data.library.catalog();
    let example = Form::example();
    let body = html! {
        p.lead { "Say what the customer needs. See every population worth having, with its true data rate, its price and what it loses. Build one, print its papers, and hold the machine against the plan." }
        ol.steps {
            li { a href="/need" { strong { "Need" } span { "board, processors, capacity, budget" } } }
            li { a href=(example.to("/plans")) { strong { "Plans" } span { "an example: about 750 GB in two sockets, at most 2500 EUR" } } }
            li { a href="/build" { strong { "Build" } span { "what sits in every slot, judged as you change it" } } }
            li { a href="/sheets" { strong { "Sheets" } span { "quote, pick list, bench sheet, record, stickers" } } }
            li { a href="/compare" { strong { "Compare" } span { "what was planned against what the machine reports" } } }
            li { a href="/diagnose" { strong { "Diagnose" } span { "the next test when a machine does not do as planned" } } }
        }
        h2 { "The shop" }
        @if app.store.is_none() { p.hint { "These ask for a store: " code { "slotwright --store shop.db serve" } } }
        ul.cards {
            li { a href="/quotes" { strong { "Quotes" } span { "what customers were offered, in versions" } } }
            li { a href="/orders" { strong { "Orders" } span { "from the asking to the shipping, each module by its serial" } } }
            li { a href="/allocate" { strong { "Allocate" } span { "who gets what of the stock, over all open orders" } } }
            li { a href="/stock" { strong { "Stock" } span { "what is on the shelf; take modules in" } } }
            li { a href="/suppliers" { strong { "Suppliers" } span { "what failed, what goes back, who sold it" } } }
        }
        h2 { "To look up" }
        ul.cards {
            li { a href="/boards" { strong { "Boards" } span { (catalog.boards.len()) " known; add your own from its manual" } } }
            li { a href="/modules" { strong { "Modules" } span { (catalog.modules.len()) " kinds in the catalogue" } } }
            li { a href="/rules" { strong { "Rules" } span { "each finding explained, its example drawn" } } }
            li { a href="/machines" { strong { "Machines" } span { "snapshots that machines sent here" } } }
            li { a href="/read" { strong { "Read" } span { "a label, SPD contents, a machine's report" } } }
        }
    };
    Page::new("The way of a machine", "/", body).command("slotwright demo").answer()
}
