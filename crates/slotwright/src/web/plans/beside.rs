//! Two or three plans side by side, for the customer to choose.

use super::{find, way};
use crate::failure::Failure;
use crate::verbs::drawing::Map;
use crate::verbs::in_short;
use crate::verbs::plan::{Plan, PlanView};
use crate::verbs::sheet::{Job, Papers, Selling, quote};
use crate::verbs::shop::calendar;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::judged;
use crate::web::layout::{self, Page, sentence};
use crate::web::plans::list::limit;
use crate::world;
use domain::shop::Shop;
use domain::{Bandwidth, Capacity, DataRate};
use maud::{Markup, html};

/// Most columns that fit one sheet of paper.
const MOST: usize = 3;

/// The plans that were ticked; the first few where none was.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let found = match find(app, &asked.query.without(&["plan", "all"])) {
        Ok(found) => found,
        Err(answer) => return answer,
    };
    let all = asked.query.get("all") == "1";
    let ticked: Vec<usize> = asked.query.all("plan").filter_map(|n| n.parse().ok()).collect();
    let searched = &found.timed.searched;
    let numbers =
        if ticked.is_empty() { (1..=searched.numbered(all).len().min(MOST)).collect() } else { ticked.clone() };
    let mut picked: Vec<(PlanView, Plan)> = Vec::new();
    for number in numbers.iter().take(MOST) {
        match searched.pick(*number, all) {
            Ok(one) => picked.push(one),
            Err(failure) => return layout::failed(&failure, "/plans"),
        }
    }
    let sale = match sale(app) {
        Ok(sale) => sale,
        Err(failure) => return layout::failed(&failure, "/plans"),
    };
    let mut query = found.form.query.clone();
    if all {
        query = query.with("all", 1);
    }
    let to = |number: usize| query.with("pick", number).to("/plan");
    let body = html! {
        p.lead { strong { (searched.need().board.title) } " (" (searched.need().board.id) ")" @if let Some(name) = sale.as_ref().map(|(shop, _)| &shop.name) { ", offered by " (name) } "." }
        @if ticked.len() > MOST { p role="status" { "The first " (MOST) " of the " (ticked.len()) " ticked plans are shown: more do not fit beside each other." } }
        div.wide tabindex="0" role="group" aria-label="Table" { table.beside {
            thead { tr { td {} @for (view, _) in &picked { th scope="col" { a href=(to(view.number)) { "Plan " (view.number) } } } } }
            tbody {
                (prices(sale.as_ref(), searched.need().machines, &picked))
                (row("Modules", &picked, &|v, _| html! { (v.made_of()) }))
                (row("Usable", &picked, &|v, _| html! { (Capacity::from_mib(v.objectives.usable_mib)) }))
                (row("Data rate", &picked, &|v, _| html! { (DataRate::from_mts(v.objectives.data_rate_mts)) }))
                (row("What sets it", &picked, &|v, _| html! { (limit(v)) }))
                (row("Bandwidth", &picked, &|v, _| html! { (Bandwidth::from_mbs(v.objectives.bandwidth_mbs)) }))
                (row("Of the best", &picked, &|v, _| html! { @if let Some(b) = &v.judgement.bandwidth { (in_short::percent(b.relative_to_best_low)) } }))
                (row("Slots free", &picked, &|v, _| html! { (v.objectives.free_slots) }))
                (row("Power, modules", &picked, &|v, _| html! { (format!("{:.1} W", v.judgement.watts)) }))
                (row("Findings", &picked, &|v, _| html! { (judged::counts(&v.judgement.findings)) }))
                (row("Why", &picked, &|v, _| html! { ul { @for why in &v.why { li { (sentence(why)) } } } }))
                (row("Slots", &picked, &|v, p| judged::small(&Map::planned(p).prefixed(&format!("b{}", v.number)).drawing())))
            }
        } }
        div.acts { a.button.lesser href=(query.to("/plans")) { "Back to all plans" } button.lesser type="button" data-print="" hidden { "Print" } }
    };
    let command = "slotwright plan need.toml --json";
    Page::new("Plans side by side", "/plans", body).way(way(&found.form, None, None)).command(command).answer()
}

/// How a quote of today would be priced: the shop's settings, its price lists and margins.
fn sale(app: &App) -> Result<Option<(Shop, Selling)>, Failure> {
    let Some(shop) = app.shop()? else { return Ok(None) };
    let today = calendar::of(world::today());
    let selling = app.store.as_ref().map(|store| Selling::on(&app.data(), store, today)).transpose()?;
    Ok(Some((shop, selling.unwrap_or_default())))
}

/// What the customer pays, as the quote will say it; what the modules cost the shop stays on the screen.
fn prices(sale: Option<&(Shop, Selling)>, machines: u32, picked: &[(PlanView, Plan)]) -> Markup {
    let several = machines > 1;
    let Some((shop, selling)) = sale else {
        return html! {
            (row("Price", picked, &|v, _| html! { strong { (v.price) } }))
            @if several { (row("All machines", picked, &|v, _| html! { (v.price_all) })) }
        };
    };
    let papers = || Papers { number: String::new(), customer: String::new(), date: world::today() };
    let sums = |v: &PlanView, p: &Plan| {
        let job = Job::of_plan(v.clone(), p.clone(), machines, Some(shop.clone()), papers());
        quote::sums(&Job { selling: selling.clone(), ..job })
    };
    let title = if several { format!("Price of {machines} machines") } else { "Price".to_string() };
    html! {
        (row(&title, picked, &|v, p| html! {
            @match sums(v, p) {
                Ok((net, total)) => {
                    strong { (total) }
                    @if let Some((name, rate)) = &shop.tax { div.hint { "with " (name) " " (rate) "; net " (net) } }
                }
                Err(_) => { "not known" }
            }
        }))
        tr.unprinted {
            th scope="row" { "Modules at cost" div.hint { "not printed" } }
            @for (view, _) in picked { td { (view.price_all) } }
        }
    }
}

type Cell<'a> = &'a dyn Fn(&PlanView, &Plan) -> Markup;

fn row(name: &str, picked: &[(PlanView, Plan)], cell: Cell<'_>) -> Markup {
    html! { tr { th scope="row" { (name) } @for (view, plan) in picked { td { (cell(view, plan)) } } } }
}
