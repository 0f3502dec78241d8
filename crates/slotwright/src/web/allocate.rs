//! Who gets what, over all open orders: a proposal with its reasons, accepted as a whole or order by order.

use super::app::App;
use super::asked::{Answer, Asked};
use super::field::Field;
use super::layout::{self, Page, sentence};
use super::query::Query;
use super::shop;
use crate::failure::Failure;
use crate::verbs::shop::accept;
use crate::verbs::shop::allocate::{self, PurchaseLine, UnservedView};
use crate::verbs::shop::proposal::{Newest, Proposal, Served};
use crate::world;
use maud::{Markup, html};
use std::collections::BTreeSet;
use store::Store;

const PLACE: &str = "/allocate";
/// Orders of a proposal on one page.
const MOST: u32 = 50;
/// So few found orders have their reasons on the page; of more, the reasons are a link away.
const REASONS_MOST: usize = 5;
/// What is kept in the address when something is done.
const STAYS: [&str; 2] = ["words", "skip"];

/// The newest proposal; a form that was sent makes one, or accepts it, first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Allocate", PLACE, |store| {
        let mut failure = None;
        if !asked.fields.is_empty() {
            match act(app, store, asked) {
                Ok(to) => return Answer::Go(to),
                Err(failed) => failure = Some(failed),
            }
        }
        match app.proposal.newest(store) {
            Ok(newest) => shown(store, newest.as_ref(), asked, failure.as_ref()),
            Err(failure) => shop::failed(&failure, PLACE),
        }
    })
}

fn act(app: &App, store: &Store, asked: &Asked) -> Result<String, Failure> {
    let (fields, who) = (&asked.fields, world::who());
    match fields.get("act") {
        "propose" => {
            allocate::propose(&app.data(), store, fields.holds("afresh", "yes"), app.sale()?, &who)?;
            Ok(PLACE.to_string())
        }
        "all" => take(store, asked, &[]),
        "some" => {
            let named: Vec<String> = fields.all("order").map(str::to_string).collect();
            if named.is_empty() {
                return Err(Failure::Shop {
                    why: "no order is ticked".to_string(),
                    hint: "tick the orders that shall get their modules".to_string(),
                });
            }
            take(store, asked, &named)
        }
        other => Err(Failure::Shop {
            why: format!("`{other}` is nothing that can be done to a proposal"),
            hint: "use the buttons of the page".to_string(),
        }),
    }
}

fn take(store: &Store, asked: &Asked, named: &[String]) -> Result<String, Failure> {
    let view = accept::accept(store, shop::number(asked.fields.get("number")), named, &world::who())?;
    Ok(stays(asked).with("accepted", view.orders.len()).to(PLACE))
}

/// What is looked at, without what was done.
fn stays(asked: &Asked) -> Query {
    Query::of(asked.query.pairs().filter(|(n, _)| STAYS.contains(n)).map(|(n, v)| (n.into(), v.into())).collect())
        .trimmed()
}

fn shown(store: &Store, newest: Option<&Newest>, asked: &Asked, failure: Option<&Failure>) -> Answer {
    let looked = newest.map(|n| Looked::at(&n.proposal, asked));
    let body = html! {
        p.lead { "Gives the free stock to all orders that wait: as many as can be served by priority, then at least cost, with matched sets, oldest stock first." }
        @if let Some(failure) = failure { (layout::told(failure)) }
        @if let (None, Some(count)) = (failure, asked.query.some("accepted")) {
            p.verdict role="status" { "Accepted: " (shop::number::<u32>(count)) " orders have their build and their modules now. " a href="/orders?stage=reserved" { "Pick them" } }
        }
        @match (newest, &looked) {
            (Some(newest), Some(looked)) => { (proposal(newest, looked, asked)) }
            _ => { p role="status" { "There is no proposal yet." } }
        }
        (again(newest.is_some(), &asked.fields))
    };
    let mut lines = vec![shop::command(store, "allocate propose")];
    if let (Some(newest), Some(looked)) = (newest.filter(|n| !n.open.is_empty()), &looked) {
        // What was served since can't be accepted again, so the others of this page are named.
        let whole = newest.whole();
        let open = looked.page.iter().filter(|s| !whole && newest.open.contains(&s.order));
        let named: String = open.map(|s| format!(" --order {}", s.order)).collect();
        if whole || !named.is_empty() {
            lines.push(shop::command(store, &format!("allocate accept {}{named}", newest.number)));
        }
    }
    let page = Page::new("Allocate", PLACE, body).command(lines.join("\n"));
    if failure.is_some() { page.refused() } else { page.answer() }
}

/// The orders of a proposal that are asked for.
struct Looked<'a> {
    found: usize,
    skip: u32,
    page: Vec<&'a Served>,
}

impl<'a> Looked<'a> {
    fn at(proposal: &'a Proposal, asked: &Asked) -> Self {
        let words = asked.query.get("words");
        let found: Vec<&Served> = proposal.served.iter().filter(|s| words.is_empty() || s.holds(words)).collect();
        let skip = shop::skip(&asked.query);
        let page = found.iter().skip(skip as usize).take(MOST as usize).copied().collect();
        Self { found: found.len(), skip, page }
    }
}

/// The form that works out a proposal.
fn again(before: bool, fields: &Query) -> Markup {
    html! {
        form method="post" action=(PLACE) {
            fieldset {
                legend { @if before { "Work it out again" } @else { "Work out a proposal" } }
                input type="hidden" name="act" value="propose";
                p.hint { "Nothing is promised by it: you accept it, or not. It takes the time that many orders and modules take." }
                @if before {
                    label.tick { input type="checkbox" name="afresh" value="yes" checked[fields.holds("afresh", "yes")]; " Afresh: things may move against the proposal before" }
                }
                div.acts { button { @if before { "Work it out again" } @else { "Work it out" } } }
            }
        }
    }
}

fn proposal(newest: &Newest, looked: &Looked<'_>, asked: &Asked) -> Markup {
    let all = &*newest.proposal;
    html! {
        h2 { "Proposal " (newest.number) ": " (newest.state) }
        ul { @for line in &all.reached { li { (sentence(line)) } } li { (sentence(&all.proof)) } }
        ul.turn aria-label="On this page" {
            @if !all.served.is_empty() { li { a href="#served" { "What each order gets: " (all.served.len()) } } }
            @if !all.unserved.is_empty() { li { a href="#without" { "Orders that go without: " (all.unserved.len()) } } }
            @if !all.purchase.is_empty() { li { a href="#buy" { "To buy: " (all.purchase_price) } } }
        }
        @if !all.moves.is_empty() {
            details open[all.moves.len() <= MOST as usize] {
                summary { "What moved against the proposal before: " (all.moves.len()) }
                ul { @for moved in &all.moves { li { (sentence(moved)) } } }
            }
        }
        @if !all.served.is_empty() { (served(newest, looked, asked)) }
        @if !all.unserved.is_empty() { (unserved(&all.unserved)) }
        @if !all.purchase.is_empty() { (purchase(&all.purchase, &all.purchase_price)) }
    }
}

fn search(asked: &Asked) -> Markup {
    let field = Field {
        name: "words",
        label: "Order or customer",
        hint: "a part is enough",
        value: asked.query.get("words"),
        ..Field::default()
    };
    html! {
        form method="get" action={ (PLACE) "#served" } {
            div.row { (field.line()) }
            div.acts { button.lesser { "Show these" } a.button.lesser href={ (PLACE) "#served" } { "Show all" } }
        }
    }
}

fn served(newest: &Newest, looked: &Looked<'_>, asked: &Asked) -> Markup {
    let reasons = looked.page.iter().any(|s| !s.why.is_empty());
    let (open, whole) = (&newest.open, newest.whole());
    let all = newest.left == newest.proposal.served.len();
    let full = looked.page.len() <= REASONS_MOST;
    let last = looked.skip as usize + looked.page.len();
    html! {
        h2 #served { "What each order gets" }
        @if whole {
            form method="post" action=(PLACE) {
                input type="hidden" name="number" value=(newest.number);
                div.acts { button name="act" value="all" { @if all { "Accept all of it" } @else { "Accept the rest of it" } } }
            }
        }
        (search(asked))
        @if looked.page.is_empty() { p role="status" { "No order of this proposal is like that. " a href={ (PLACE) "#served" } { "Show all" } } }
        @else {
            p role="status" {
                @if looked.found == 1 { "1 order" } @else { (looked.skip + 1) " to " (last) " of " (looked.found) " orders" }
                @if looked.found < newest.proposal.served.len() { " found" } "."
            }
            form method="post" action=(stays(asked).to(PLACE)) {
                input type="hidden" name="number" value=(newest.number);
                div.wide tabindex="0" role="group" aria-label="What each order gets" { table.plans {
                    thead { tr {
                        @if !open.is_empty() { th scope="col" { "Take" } }
                        th scope="col" { "Order, customer" } th.number scope="col" { "Priority" } th scope="col" { "Gets" }
                        th.number scope="col" { "Cost" } th scope="col" { "Sets" } @if reasons { th scope="col" { "Why this one" } }
                    } }
                    tbody { @for order in &looked.page { (row(order, open, reasons.then_some(full), &asked.fields)) } }
                } }
                (shop::turn(&stays(asked), PLACE, (looked.skip, MOST), looked.found > last))
                @if open.is_empty() {
                    @if newest.state != "accepted" { p.hint { "Its orders were changed or served since: work it out again." } }
                } @else {
                    @if !whole { p.hint { "Some of its orders were changed since; the others can still be ticked." } }
                    @if looked.found > looked.page.len() { p.hint { "Ticks hold for this page: accept them before you turn it." } }
                    div.acts {
                        button.lesser name="act" value="some" { "Accept the ticked orders" }
                    }
                }
            }
        }
    }
}

/// `reasons`: nothing where no order has any; else whether they stand here or behind a link.
fn row(order: &Served, open: &BTreeSet<String>, reasons: Option<bool>, fields: &Query) -> Markup {
    html! { tr {
        @if !open.is_empty() { td {
            @if open.contains(&order.order) {
                label.tick { input type="checkbox" name="order" value=(order.order) checked[fields.holds("order", &order.order)] aria-label={ "Take " (order.order) }; }
            } @else { span.hint { "done" } }
        } }
        th scope="row" { a href={ "/order/" (order.order) } { (order.order) } div { (order.customer) } }
        td.number { (order.priority) }
        td.made-of { @if order.machines > 1 { (order.machines) " machines, each " } (order.build.words) }
        td.number { (order.cost) }
        td { @if order.broken_sets == 0 { "matched" } @else { (order.broken_sets) " broken" } }
        @if let Some(full) = reasons { td { @if !order.why.is_empty() { (why(order, full)) } } }
    } }
}

fn why(order: &Served, full: bool) -> Markup {
    let count = order.why.len();
    let words =
        html! { (count) @if count == 1 { " reason" } @else { " reasons" } span.unseen { " of order " (order.order) } };
    html! {
        @if full { details { summary { (words) } @for why in &order.why { p { (sentence(why)) } } } }
        @else { a href={ (Query::default().with("words", &order.order).to(PLACE)) "#served" } { (words) } }
    }
}

fn unserved(all: &[UnservedView]) -> Markup {
    html! {
        h2 #without { "Orders that go without" }
        div.wide tabindex="0" role="group" aria-label="Orders that go without" { table.plans {
            thead { tr {
                th scope="col" { "Order, customer" } th.number scope="col" { "Priority" } th scope="col" { "What the nearest build lacks on the shelf" }
                th scope="col" { "To buy for it" } th.number scope="col" { "For" }
            } }
            tbody { @for order in all { tr {
                th scope="row" { a href={ "/order/" (order.order) } { (order.order) } div { (order.customer) } }
                td.number { (order.priority) }
                td {
                    @if let Some(build) = &order.nearest { p { (build) ":" } }
                    @for lack in &order.lacks { p { (sentence(lack)) } }
                }
                td {
                    @if let Some(build) = &order.buy_build { p { (build) ":" } }
                    @for buy in &order.buy { p { (buy) } }
                    @if let Some(beside) = &order.buy_beside { p { "Beside, from the shelf: " (beside) } }
                }
                td.number { (order.buy_price.as_deref().unwrap_or("-")) }
            } } }
        } }
    }
}

fn purchase(lines: &[PurchaseLine], price: &str) -> Markup {
    html! {
        h2 #buy { "To buy, so that the others can be served too" }
        div.wide tabindex="0" role="group" aria-label="To buy" { table {
            thead { tr { th.number scope="col" { "Count" } th scope="col" { "Module" } th.number scope="col" { "Each" } th.number scope="col" { "Sum" } } }
            tbody { @for line in lines { tr { td.number { (line.count) } td { (line.module) } td.number { (line.each) } td.number { (line.sum) } } } }
            tfoot { tr { th scope="row" colspan="3" { "In all" } td.number { (price) } } }
        } }
    }
}
