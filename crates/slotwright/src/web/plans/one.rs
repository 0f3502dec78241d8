//! One plan closely: why, what to take from where, its map, its judgement, and where it goes from here.

use super::{find, way};
use crate::verbs::drawing::Map;
use crate::verbs::plan::PlanView;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::layout::{self, Page, sentence};
use crate::web::{build, judged};
use maud::{Markup, html};

/// The plan that is picked.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let found = match find(app, &asked.query.without(&["pick", "all"])) {
        Ok(found) => found,
        Err(answer) => return answer,
    };
    let all = asked.query.get("all") == "1";
    let number = asked.query.get("pick").parse::<usize>().unwrap_or(1);
    let searched = &found.timed.searched;
    let (view, plan) = match searched.pick(number, all) {
        Ok(picked) => picked,
        Err(failure) => return layout::failed(&failure, "/plans"),
    };
    let mut query = found.form.query.with("pick", number);
    if all {
        query = query.with("all", 1);
    }
    let build = build::Form::of(&view.build).query;
    let map = Map::planned(&plan).drawing();
    let places = searched.numbered(all).len();
    let step = |to: usize| query.with("pick", to).to("/plan");
    let judgement = &view.judgement;
    let body = html! {
        nav.turn aria-label="Other plans" {
            @if number > 1 { a rel="prev" href=(step(number - 1)) { "◀ plan " (number - 1) } }
            a href=(found.form.query.to("/plans")) { "all plans" }
            @if number < places { a rel="next" href=(step(number + 1)) { "plan " (number + 1) " ▶" } }
        }
        p.lead { strong { (view.made_of()) } ": " (view.price) @if searched.need().machines > 1 { ", " (view.price_all) " for all machines" } }
        (judged::verdict(judgement))
        ul { @for why in view.why.iter().chain(&view.against) { li { (sentence(why)) } } }
        div.acts {
            a.button href=(build.to("/build")) { "Take it as a build" }
            a.button href=(query.to("/sheets")) { "Print its sheets" }
            @if app.store.is_some() {
                a.button href=(query.to("/quotes/new")) { "Quote it" }
                a.button.lesser href=(found.form.query.to("/orders/new")) { "Order it without a quote" }
            }
            a.button.lesser href=(query.to("/compare")) { "Compare with the machine" }
        }
        (judged::map(&map, judgement))
        (bill(&view))
        (changes(&view))
        h2 { "In short" }
        (judged::facts(judgement))
        (judged::findings(&judgement.findings))
        (judged::chain(judgement))
        (judged::regions(judgement))
        (judged::table(judgement, &judged::module))
    };
    let command =
        format!("slotwright plan need.toml{} --pick {number} --out build.toml", if all { " --all" } else { "" });
    let title = format!("Plan {number}");
    Page::new(&title, "/plans", body).way(way(&found.form, Some(&query), Some(build.text()))).command(command).answer()
}

fn bill(view: &PlanView) -> Markup {
    // Modules of the catalogue lie in no bin.
    let bins = view.bill.iter().any(|line| line.bin.is_some());
    html! {
        @if !view.bill.is_empty() {
            h2 { @if bins { "What to take from where" } @else { "What to buy" } }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr {
                    th.number scope="col" { "Count" } th scope="col" { "Module" } th scope="col" { "Condition" } @if bins { th scope="col" { "Bin" } }
                    th.number scope="col" { "Each" } th.number scope="col" { "Sum" }
                } }
                tbody { @for line in &view.bill { tr {
                    td.number { (line.count) } td { (line.module) } td { (line.condition) } @if bins { td { (line.bin.as_deref().unwrap_or_default()) } }
                    td.number { (line.each) } td.number { (line.sum) }
                } } }
                tfoot { tr { th scope="row" colspan=(if bins { 5 } else { 4 }) { "In all" } td.number { (view.price) } } }
            } }
        }
    }
}

fn changes(view: &PlanView) -> Markup {
    html! {
        @if !view.moves.is_empty() || !view.taken_out.is_empty() {
            h2 { "What becomes of what was there" }
            ul {
                @for m in &view.moves { li { "Move " (m.module) " from " (m.from) " to " (m.to) } }
                @for out in &view.taken_out {
                    li { @match &out.slot { Some(slot) => { "Take " (out.module) " out of " (slot) } None => { "Leave " (out.module) " aside" } } }
                }
            }
        }
    }
}
