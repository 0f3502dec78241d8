//! What modules are sold at: the shop's settings, margins, the prices of a day, and every price list that was taken in.

use super::PLACE;
use crate::failure::Failure;
use crate::verbs::shop::calendar;
use crate::verbs::shop::prices::{self, ListsView, MarginListView, PriceListView};
use crate::verbs::shop::settings::ShopView;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::layout::Page;
use crate::web::shop;
use crate::world;
use maud::{Markup, html};
use store::Store;

const HERE: &str = "/quotes/prices";

/// All that is known of prices on a day.
struct Known {
    shop: Option<ShopView>,
    margins: MarginListView,
    prices: PriceListView,
    lists: ListsView,
}

/// The page; `day` names another day than today.
pub fn page(app: &App, asked: &Asked) -> Answer {
    shop::with_store(app, "Prices", PLACE, |store| match known(app, store, asked.query.some("day")) {
        Ok(known) => {
            let command = format!("quote --date {} prices", known.prices.day);
            let lines = [
                shop::command(store, &command),
                shop::command(store, "quote margin"),
                shop::command(store, "store settings"),
            ];
            Page::new("Prices", PLACE, body(&known)).command(lines.join("\n")).answer()
        }
        Err(failure) => shop::failed(&failure, PLACE),
    })
}

fn known(app: &App, store: &Store, day: Option<&str>) -> Result<Known, Failure> {
    let day = prices::day_or(day, calendar::of(world::today()))?;
    Ok(Known {
        shop: app.shop()?.map(|shop| ShopView::new(&shop)),
        margins: prices::margins(store)?,
        prices: prices::on(store, day)?,
        lists: prices::lists(store)?,
    })
}

fn body(known: &Known) -> Markup {
    html! {
        p.lead { "A module costs the customer what the price list says, else its cost with the margin of its class, else with the margin of the settings." }
        h2 { "Settings" }
        (settings(known.shop.as_ref()))
        h2 { "Margins" }
        (margins(&known.margins))
        h2 { "Prices on " (known.prices.day) }
        form method="get" action=(HERE) {
            (Field { name: "day", label: "On another day", hint: "such as 2026-12-24", value: &known.prices.day, ..Field::default() }.line())
            div.acts { button.lesser { "Show that day" } }
        }
        (on(&known.prices))
        h2 { "Price lists" }
        (lists(&known.lists))
    }
}

fn settings(shop: Option<&ShopView>) -> Markup {
    html! {
        @match shop {
            None => { p.verdict.is-note role="status" { "None are kept: quotes carry no name of a shop, no tax and no margin of it." } }
            Some(shop) => { dl.facts {
                dt { "shop" } dd { (shop.name) }
                dt { "margin" } dd { (shop.margin) }
                dt { "tax" } dd { @match &shop.tax { Some(tax) => { (tax.name) " " (tax.rate) } None => { "none is set" } } }
                dt { "labour" } dd { @match &shop.labour { Some(labour) => { (labour) " a machine" } None => { "none" } } }
                dt { "quotes hold" } dd { (shop.validity_days) " days" }
            } }
        }
    }
}

fn margins(view: &MarginListView) -> Markup {
    html! {
        @if view.margins.is_empty() { p { "None are set." } } @else {
            div.wide tabindex="0" role="group" aria-label="Margins" { table.plans {
                thead { tr { th scope="col" { "Class" } th.number scope="col" { "Margin" } th scope="col" { "From" } } }
                tbody { @for m in &view.margins { tr { th scope="row" { (m.class) } td.number { (m.percent) } td.day { (m.valid_from) } } } }
            } }
        }
    }
}

fn on(view: &PriceListView) -> Markup {
    html! {
        @if view.prices.is_empty() { p { "No list holds on that day." } } @else {
            div.wide tabindex="0" role="group" aria-label="Prices" { table.plans {
                thead { tr {
                    th scope="col" { "Module" } th scope="col" { "Condition" } th.number scope="col" { "Each" } th scope="col" { "Whose price" }
                } }
                tbody { @for p in &view.prices { tr {
                    th scope="row" { (p.label) } td { (p.condition) } td.number { (p.each) }
                    td { @match &p.supplier { Some(supplier) => { "to buy of " (supplier) } None => { "the shop's own" } } }
                } } }
            } }
        }
    }
}

fn lists(view: &ListsView) -> Markup {
    html! {
        @if view.lists.is_empty() { p { "None was taken in." } } @else {
            div.wide tabindex="0" role="group" aria-label="Price lists" { table.plans {
                thead { tr {
                    th scope="col" { "List" } th scope="col" { "From" } th scope="col" { "Until" } th.number scope="col" { "Prices" } th scope="col" { "State" }
                } }
                tbody { @for l in &view.lists { tr {
                    th scope="row" { (l.name) } td.day { (l.valid_from) } td.day { (l.valid_until.as_deref().unwrap_or("open")) }
                    td.number { (l.prices) } td { (l.state) }
                } } }
            } }
        }
    }
}
