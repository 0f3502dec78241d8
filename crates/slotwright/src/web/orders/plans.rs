//! Plans for an order from what is free on the shelf, each with a button that chooses it.

use crate::failure::Failure;
use crate::verbs::drawing::Map;
use crate::verbs::shop::chosen;
use crate::verbs::shop::order::{self, OrderView};
use crate::web::app::{App, Timed};
use crate::web::judged;
use crate::web::layout::{self, sentence};
use domain::order::Stage;
use domain::{Bandwidth, Capacity, DataRate};
use maud::{Markup, html};
use store::Store;

/// Searches, or takes what was searched of the same need and shelf lately.
fn find(app: &App, store: &Store, number: &str, need_text: &str) -> Result<Timed, Failure> {
    let need = order::need(&app.data(), store, number)?;
    let lots =
        need.lots.iter().map(|l| format!("\n{} {} {} {:?} {:?}", l.module.label, l.condition, l.each, l.count, l.bin));
    let text = format!("the shelf for order {number}\n{}{}", need_text, lots.collect::<String>());
    Ok(app.search(&text, need))
}

/// The choice.
pub fn choice(app: &App, store: &Store, view: &OrderView, need_text: &str) -> Markup {
    let timed = match find(app, store, &view.number, need_text) {
        Ok(timed) => timed,
        Err(failure) => return layout::told(&failure),
    };
    let searched = &timed.searched;
    let shown = searched.show(&searched.numbered(false));
    let path = format!("/order/{}", view.number);
    html! {
        h2 #plans { "Plans from what is free on the shelf" }
        @if view.stage == Stage::Reserved.word() {
            p.verdict.is-note { "Another choice lets go of the modules that are promised to this order. Until then they are not free, and no plan here uses them." }
        }
        @if let Some(conflict) = &shown.view.conflict {
            div.problem role="alert" {
                p { strong { "Nothing on the shelf fits." } " These can't hold together:" }
                ul { @for limit in &conflict.limits { li { (limit) } } }
                @if !conflict.changes.is_empty() { p { "What would help:" } ul { @for change in &conflict.changes { li { (change) } } } }
                p { a href="/stock/intake" { "Take modules in" } ", or see under " a href="/allocate" { "Allocate" } " what to buy." }
            }
        } @else {
            p.hint { (shown.view.front_size) " worth having, " (shown.view.plans.len()) " shown; searched in " (timed.took.as_millis()) " ms. Prices are what the modules cost the shop." }
            ol.plan-cards {
                @for (plan, drawn) in shown.view.plans.iter().zip(&shown.plans) {
                    li.card {
                        h3 { "Plan " (plan.number) ": " (plan.price_all) @if view.machines > 1 { " for all machines" } }
                        (judged::small(&Map::planned(drawn).prefixed(&format!("p{}", plan.number)).drawing()))
                        p { strong { (plan.made_of()) } }
                        p {
                            (Capacity::from_mib(plan.objectives.usable_mib)) " usable, "
                            (DataRate::from_mts(plan.objectives.data_rate_mts)) ", "
                            (Bandwidth::from_mbs(plan.objectives.bandwidth_mbs)) ", "
                            (plan.objectives.free_slots) " slots free; " (judged::counts(&plan.judgement.findings))
                        }
                        ul { @for why in plan.why.iter().chain(&plan.against) { li { (sentence(why)) } } }
                        form method="post" action=(path) {
                            input type="hidden" name="act" value="choose";
                            input type="hidden" name="plan" value=(plan.number);
                            input type="hidden" name="saw" value=(chosen::seen(plan));
                            div.acts { button { "Choose plan " (plan.number) } }
                        }
                    }
                }
            }
        }
    }
}
