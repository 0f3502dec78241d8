//! Who gets what, over all open orders: a proposal with its reasons, accepted as a whole or order by order.

use super::app::App;
use super::asked::{Answer, Asked};
use super::layout::{self, Page, sentence};
use super::query::Query;
use super::shop;
use crate::failure::Failure;
use crate::verbs::shop::accept;
use crate::verbs::shop::allocate::{self, AllocationView, ServedView, UnservedView};
use crate::world;
use maud::{Markup, html};
use store::Store;

const PLACE: &str = "/allocate";
/// Orders of a proposal on one page.
const MOST: u32 = 100;

/// The newest proposal; a form that was sent makes one, or accepts it, first.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Allocate", PLACE, |store| {
        let mut failure = None;
        if !asked.fields.is_empty() {
            match act(app, store, &asked.fields) {
                Ok(to) => return Answer::Go(to),
                Err(failed) => failure = Some(failed),
            }
        }
        let found = allocate::newest(store).and_then(|view| {
            let open = view.as_ref().map_or_else(|| Ok(Vec::new()), |view| allocate::acceptable(store, view))?;
            Ok((view, open))
        });
        match found {
            Ok((view, open)) => shown(store, view.as_ref(), &open, asked, failure.as_ref()),
            Err(failure) => shop::failed(&failure, PLACE),
        }
    })
}

fn act(app: &App, store: &Store, fields: &Query) -> Result<String, Failure> {
    let who = world::who();
    match fields.get("act") {
        "propose" => {
            allocate::propose(&app.data(), store, fields.holds("afresh", "yes"), app.sale()?, &who)?;
            Ok(PLACE.to_string())
        }
        "all" => take(store, fields, &[]),
        "some" => {
            let named: Vec<String> = fields.all("order").map(str::to_string).collect();
            if named.is_empty() {
                return Err(Failure::Shop {
                    why: "no order is ticked".to_string(),
                    hint: "tick the orders that shall get their modules".to_string(),
                });
            }
            take(store, fields, &named)
        }
        other => Err(Failure::Shop {
            why: format!("`{other}` is nothing that can be done to a proposal"),
            hint: "use the buttons of the page".to_string(),
        }),
    }
}

fn take(store: &Store, fields: &Query, named: &[String]) -> Result<String, Failure> {
    let view = accept::accept(store, shop::number(fields.get("number")), named, &world::who())?;
    Ok(Query::default().with("accepted", view.orders.len()).to(PLACE))
}

fn shown(
    store: &Store,
    view: Option<&AllocationView>,
    open: &[String],
    asked: &Asked,
    failure: Option<&Failure>,
) -> Answer {
    let body = html! {
        p.lead { "Gives the free stock to all orders that wait: as many as can be served by priority, then at least cost, with matched sets, oldest stock first." }
        @if let Some(failure) = failure { (layout::told(failure)) }
        @if let (None, Some(count)) = (failure, asked.query.some("accepted")) {
            p.verdict role="status" { "Accepted: " (shop::number::<u32>(count)) " orders have their build and their modules now. " a href="/orders?stage=reserved" { "Pick them" } }
        }
        @match view {
            Some(view) => { (proposal(view, open, left(store, view), asked)) }
            None => { p role="status" { "There is no proposal yet." } }
        }
        (again(view.is_some(), &asked.fields))
    };
    let mut lines = vec![shop::command(store, "allocate propose")];
    if let Some(view) = view.filter(|_| !open.is_empty()) {
        // What somebody changed since can't be accepted, so the others are named.
        let whole = left(store, view) == open.len();
        let named: String = open.iter().filter(|_| !whole).map(|o| format!(" --order {o}")).collect();
        lines.push(shop::command(store, &format!("allocate accept {}{named}", view.number)));
    }
    let page = Page::new("Allocate", PLACE, body).command(lines.join("\n"));
    if failure.is_some() { page.refused() } else { page.answer() }
}

/// Orders of a proposal that were not accepted yet, whether or not they still can be.
fn left(store: &Store, view: &AllocationView) -> usize {
    store.allocated(view.number).map_or(0, |all| all.iter().filter(|(_, state)| state == "proposed").count())
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

fn proposal(view: &AllocationView, open: &[String], left: usize, asked: &Asked) -> Markup {
    html! {
        h2 { "Proposal " (view.number) ": " (view.state) }
        ul { @for line in &view.reached { li { (sentence(line)) } } li { (sentence(&view.proof)) } }
        @if !view.moves.is_empty() {
            h2 { "What moved against the proposal before" }
            ul { @for moved in &view.moves { li { (sentence(moved)) } } }
        }
        @if !view.served.is_empty() { (served(view, open, left, asked)) }
        @if !view.unserved.is_empty() { (unserved(&view.unserved)) }
        @if !view.purchase.is_empty() { (purchase(view)) }
    }
}

fn served(view: &AllocationView, open: &[String], left: usize, asked: &Asked) -> Markup {
    let skip = shop::skip(&asked.query);
    let page: Vec<&ServedView> = view.served.iter().skip(skip as usize).take(MOST as usize).collect();
    let more = view.served.len() > (skip + MOST) as usize;
    let reasons = page.iter().any(|s| !s.why.is_empty());
    let whole = open.len() == left;
    html! {
        h2 { "What each order gets" }
        form method="post" action=(PLACE) {
            input type="hidden" name="number" value=(view.number);
            @if whole && !open.is_empty() { div.acts { button name="act" value="all" { @if left == view.served.len() { "Accept all of it" } @else { "Accept the rest of it" } } } }
            div.wide tabindex="0" role="group" aria-label="What each order gets" { table.plans {
                thead { tr {
                    @if !open.is_empty() { th scope="col" { "Take" } }
                    th scope="col" { "Order" } th.number scope="col" { "Priority" } th scope="col" { "Customer" } th scope="col" { "Gets" }
                    th.number scope="col" { "Cost" } th scope="col" { "Sets" } @if reasons { th scope="col" { "Why not a cheaper one" } }
                } }
                tbody { @for order in page { (row(order, open, reasons, &asked.fields)) } }
            } }
            (shop::turn(&asked.query.without(&["accepted"]), PLACE, (skip, MOST), more))
            @if open.is_empty() {
                @if view.state != "accepted" { p.hint { "Its orders were changed or served since: work it out again." } }
            } @else {
                @if !whole { p.hint { "Some of its orders were changed since; the others can still be ticked." } }
                div.acts {
                    button.lesser name="act" value="some" { "Accept the ticked orders" }
                }
            }
        }
    }
}

fn row(order: &ServedView, open: &[String], reasons: bool, fields: &Query) -> Markup {
    html! { tr {
        @if !open.is_empty() { td {
            @if open.contains(&order.order) {
                label.tick { input type="checkbox" name="order" value=(order.order) checked[fields.holds("order", &order.order)] aria-label={ "Take " (order.order) }; }
            } @else { span.hint { "done" } }
        } }
        th scope="row" { a href={ "/order/" (order.order) } { (order.order) } }
        td.number { (order.priority) }
        td { (order.customer) }
        td.made-of { @if order.machines > 1 { (order.machines) " machines, each " } (order.build.words) }
        td.number { (order.cost) }
        td { @if order.broken_sets == 0 { "matched" } @else { (order.broken_sets) " broken" } }
        @if reasons { td {
            @if !order.why.is_empty() {
                details {
                    summary { (order.why.len()) @if order.why.len() == 1 { " reason" } @else { " reasons" } span.unseen { " of order " (order.order) } }
                    @for why in &order.why { p { (sentence(why)) } }
                }
            }
        } }
    } }
}

fn unserved(all: &[UnservedView]) -> Markup {
    html! {
        h2 { "Orders that go without" }
        div.wide tabindex="0" role="group" aria-label="Orders that go without" { table.plans {
            thead { tr {
                th scope="col" { "Order" } th.number scope="col" { "Priority" } th scope="col" { "Customer" } th scope="col" { "What the nearest build lacks on the shelf" }
                th scope="col" { "To buy for it" } th.number scope="col" { "For" }
            } }
            tbody { @for order in all { tr {
                th scope="row" { a href={ "/order/" (order.order) } { (order.order) } }
                td.number { (order.priority) }
                td { (order.customer) }
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

fn purchase(view: &AllocationView) -> Markup {
    html! {
        h2 { "To buy, so that the others can be served too" }
        div.wide tabindex="0" role="group" aria-label="To buy" { table {
            thead { tr { th.number scope="col" { "Count" } th scope="col" { "Module" } th scope="col" { "From" } th.number scope="col" { "Each" } th.number scope="col" { "Sum" } } }
            tbody { @for line in &view.purchase { tr { td.number { (line.count) } td { (line.module) } td { (line.supplier.as_deref().unwrap_or("the catalogue's price")) } td.number { (line.each) } td.number { (line.sum) } } } }
            tfoot { tr { th scope="row" colspan="4" { "In all" } td.number { (view.purchase_price) } } }
        } }
    }
}
