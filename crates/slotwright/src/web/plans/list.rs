//! The plans of a need: a chart of the front, a table that sorts, and each chosen plan with its map in small.

use super::{Found, chart, find, way};
use crate::verbs::drawing::Map;
use crate::verbs::in_short;
use crate::verbs::plan::{ObjectivesView, PlanView, Planned};
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::heading;
use crate::web::judged;
use crate::web::layout::{Page, sentence};
use crate::web::query::Query;
use domain::{Bandwidth, Capacity, Currency, DataRate, Money};
use maud::{Markup, html};

/// Plans of the whole front on one page.
const PAGE: usize = 100;

/// What a table of plans may be sorted by: (name in the address, heading).
const COLUMNS: [(&str, &str); 5] = [
    ("price", "Price"),
    ("usable", "Usable"),
    ("rate", "Data rate"),
    ("bandwidth", "Bandwidth"),
    ("free", "Slots free"),
];

/// The plans worth having.
pub fn page(app: &App, asked: &Asked) -> Answer {
    if asked.query.is_empty() {
        return Answer::Go("/need".to_string());
    }
    let found = match find(app, &asked.query) {
        Ok(found) => found,
        Err(answer) => return answer,
    };
    if asked.query.get("file") == "need.toml" {
        return Answer::File { name: "need.toml".to_string(), text: found.form.text() };
    }
    let all = asked.query.get("all") == "1";
    let searched = &found.timed.searched;
    let mut places = searched.numbered(all);
    let objectives = searched.objectives();
    let sort = asked.query.get("sort");
    let down = asked.query.get("order") == "down";
    // Numbers stay those of the list; only the order of the rows changes.
    let mut numbered: Vec<(usize, usize)> = places.drain(..).enumerate().map(|(i, place)| (i + 1, place)).collect();
    if COLUMNS.iter().any(|(name, _)| *name == sort) {
        numbered.sort_by_key(|(number, place)| (objectives.get(*place).map(|o| key(o, sort)), *number));
        if down {
            numbered.reverse();
        }
    }
    let pages = numbered.len().div_ceil(PAGE).max(1);
    let at = asked.query.get("page").parse::<usize>().unwrap_or(1).clamp(1, pages);
    let rows: Vec<(usize, usize)> = numbered.iter().copied().skip((at - 1) * PAGE).take(PAGE).collect();
    let body = body(&found, &objectives, &asked.query, all, &rows, (at, pages));
    let command = format!("slotwright plan need.toml{}", if all { " --all" } else { "" });
    Page::new("Plans worth having", "/plans", body).way(way(&found.form, None, None)).command(command).answer()
}

fn key(objectives: &ObjectivesView, sort: &str) -> i64 {
    match sort {
        "usable" => objectives.usable_mib as i64,
        "rate" => i64::from(objectives.data_rate_mts),
        "bandwidth" => objectives.bandwidth_mbs as i64,
        "free" => i64::from(objectives.free_slots),
        _ => objectives.price_minor,
    }
}

fn body(
    found: &Found,
    objectives: &[ObjectivesView],
    query: &Query,
    all: bool,
    rows: &[(usize, usize)],
    pages: (usize, usize),
) -> Markup {
    let searched = &found.timed.searched;
    let shown = searched.show(&rows.iter().map(|(_, place)| *place).collect::<Vec<_>>());
    let view = &shown.view;
    let need = &view.need;
    let plain = found.form.query.clone();
    html! {
        p.lead { strong { (need.board) } " with " (in_short::processors(&need.processors)) ": " (need.words) }
        @if let Some(words) = &view.window.words { p { (sentence(words)) } }
        @if let Some(conflict) = &view.conflict {
            div.problem role="alert" {
                p { strong { "Nothing fits." } " These can't hold together:" }
                ul { @for limit in &conflict.limits { li { (limit) } } }
                @if !conflict.changes.is_empty() { p { "What would help:" } ul { @for change in &conflict.changes { li { (change) } } } }
            }
        } @else {
            p role="status" {
                (view.front_size) " plan" @if view.front_size != 1 { "s" } " worth having"
                @if !all { ", " (rows.len()) " shown" } "; " (view.proof.words) ". "
                span.hint { "Searched in " (found.timed.took.as_millis()) " ms." }
            }
            (chart::front(&plain, objectives, &searched.numbered(false), &need_currency(&shown)))
            p.switch {
                @if all { a href=(plain.to("/plans")) { "Only the chosen few" } }
                @else if view.front_size > rows.len() { a href=(plain.with("all", 1).to("/plans")) { "The whole front, " (view.front_size) " plans" } }
            }
            (table(&shown, rows, query, all))
            (turn(query, pages))
            @if !all { (cards(&shown, &plain)) }
        }
        div.acts { a.button.lesser href=(plain.to("/need")) { "Change the need" } }
        (judged::file("The need as a file", "need.toml", &found.form.text(), &plain, "/plans"))
    }
}

fn need_currency(shown: &Planned) -> String {
    shown.view.plans.first().map(|p| p.price.currency.clone()).unwrap_or_default()
}

/// The table; with a form that puts two or three side by side.
fn table(shown: &Planned, rows: &[(usize, usize)], query: &Query, all: bool) -> Markup {
    let plain = query.without(&["page", "sort", "order", "plan", "file"]);
    let many = shown.view.need.machines > 1;
    html! {
        form method="get" action="/side-by-side" {
            (crate::web::field::carried(&plain))
            div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
                thead { tr {
                    th scope="col" { "Plan" }
                    @for (name, title) in COLUMNS { (heading::sortable(query, "/plans", name, title, true)) }
                    th.number scope="col" { "Slowest region" }
                    @if many { th.number scope="col" { "All machines" } }
                    th scope="col" { "Modules" }
                    th scope="col" { "Side by side" }
                } }
                tbody {
                    @for (plan, (number, _)) in shown.view.plans.iter().zip(rows) {
                        @let objectives = &plan.objectives;
                        tr {
                            th scope="row" { a href=(plain.with("pick", number).to("/plan")) { "Plan " (number) } }
                            td.number { (plan.price) }
                            td.number { (Capacity::from_mib(objectives.usable_mib)) }
                            td.number { (DataRate::from_mts(objectives.data_rate_mts)) }
                            td.number { (Bandwidth::from_mbs(objectives.bandwidth_mbs)) }
                            td.number { (objectives.free_slots) }
                            td.number { @if let Some(b) = &plan.judgement.bandwidth { (in_short::percent(b.slowest_region)) } }
                            @if many { td.number { (plan.price_all) } }
                            td.made-of { (plan.made_of()) }
                            td { label.tick { input type="checkbox" name="plan" value=(number) aria-label={ "Plan " (number) " side by side" }; } }
                        }
                    }
                }
            } }
            @if rows.len() > 1 { div.acts { button.lesser { "Put the ticked ones side by side" } } }
        }
        @if all { p.hint { "Numbers are places in the whole front." } }
    }
}

fn turn(query: &Query, (at, pages): (usize, usize)) -> Markup {
    html! {
        @if pages > 1 {
            nav.turn aria-label="Pages of the front" {
                @if at > 1 { a rel="prev" href=(query.with("page", at - 1).to("/plans")) { "◀ before" } }
                span { "page " (at) " of " (pages) }
                @if at < pages { a rel="next" href=(query.with("page", at + 1).to("/plans")) { "after ▶" } }
            }
        }
    }
}

/// Each chosen plan with its map in small, its reasons, and what it loses and gains.
fn cards(shown: &Planned, plain: &Query) -> Markup {
    html! {
        ol.plan-cards {
            @for (view, plan) in shown.view.plans.iter().zip(&shown.plans) {
                @let to = plain.with("pick", view.number).to("/plan");
                li.card {
                    h2 { a href=(to) { "Plan " (view.number) } ": " (view.price) }
                    (judged::small(&Map::planned(plan).prefixed(&format!("p{}", view.number)).drawing()))
                    p { strong { (view.made_of()) } }
                    ul { @for why in view.why.iter().chain(&view.against) { li { (sentence(why)) } } }
                    p.chain { (limit(view)) }
                }
            }
        }
    }
}

/// The rate and what sets it, in a line.
pub fn limit(view: &PlanView) -> String {
    let Some(rate) = view.judgement.rate() else { return "Nothing runs.".to_string() };
    let chain = &view.judgement.rate_chain;
    let steps: Vec<String> =
        chain.iter().map(|l| format!("{} {}{}", l.what, l.most_mts, if l.binds { " (binds)" } else { "" })).collect();
    format!("Runs at {rate}: {}.", steps.join(" → "))
}

/// An amount in minor units.
pub fn money(minor: i64, currency: &str) -> String {
    Currency::parse(currency).map_or_else(|| minor.to_string(), |c| Money::from_minor(minor, c).to_string())
}
