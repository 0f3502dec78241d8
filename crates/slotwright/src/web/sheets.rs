//! The papers of a plan or a build: the choice of one, each as a page to print and as PDF.

pub(super) mod print;

use super::app::App;
use super::asked::{Answer, Asked};
use super::field::{Field, carried};
use super::layout::{self, Page};
use super::plans::{self, find};
use super::query::Query;
use super::{build, need, shop};
use crate::verbs::sheet::{self, Job, Kind, Papers};
use crate::verbs::shop::order_papers;
use crate::world;
use clap::ValueEnum;
use draw::sheet::Paper;
use jiff::civil::Date;
use maud::html;

/// Fields of the papers themselves.
const FIELDS: [&str; 4] = ["number", "customer", "date", "paper"];

const ABOUT: [(Kind, &str, &str); 5] = [
    (Kind::Quote, "Quote", "for the customer: what, why it fits, how fast, at what price"),
    (Kind::PickList, "Pick list", "for the store: what to take from which bin"),
    (Kind::Bench, "Bench sheet", "for the bench: cautions, then step by step in slot order"),
    (Kind::Record, "Record", "for the file: serials by slot, findings, signatures"),
    (Kind::Stickers, "Stickers", "for the machine and its module bags, with a code each"),
];

/// The choice of papers.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let query = asked.query.trimmed();
    let plain = query.without(&FIELDS);
    if plain.is_empty() {
        return nothing();
    }
    let job = match job(app, &asked.query) {
        Ok(job) => job,
        Err(answer) => return answer,
    };
    let date = Field {
        name: "date",
        label: "Date",
        value: query.get("date"),
        hint: "as 2026-11-25; today if left empty",
        wrong: wrong_date(&query),
        ..Field::default()
    };
    let sizes = [("a4".to_string(), "A4".to_string()), ("letter".to_string(), "Letter".to_string())];
    let body = html! {
        p.lead { (job.judged.title) ": " (job.judged.summary) }
        form method="get" action="/sheets" {
            (carried(&plain))
            div.row {
                @if order(&query).is_none() {
                    (Field { name: "number", label: "Number of quote or order", value: query.get("number"), ..Field::default() }.line())
                    (Field { name: "customer", label: "Customer", value: query.get("customer"), ..Field::default() }.line())
                }
                (date.line())
                (Field { name: "paper", label: "Paper", value: query.get("paper"), ..Field::default() }.choice(&sizes))
            }
            div.acts { button.lesser { "Put these on the papers" } (back(&query)) }
        }
        ul.cards.papers {
            @for (kind, title, about) in ABOUT {
                @let none = kind == Kind::Quote && job.plan.is_none();
                li.card {
                    h2 { (title) }
                    p { (about) }
                    @if none {
                        p.hint { @if order(&query).is_some() { "What the customer was offered stands with its quote." } @else { "A build has no prices: quote from the plan of a need." } }
                    } @else {
                        div.acts {
                            a.button href=(query.to(&format!("/sheet/{}", word(kind)))) { "Open" span.unseen { " the " (title) } }
                            a.button.lesser href=(query.to(&format!("/sheet/{}.pdf", word(kind)))) { "PDF" span.unseen { " of the " (title) } }
                        }
                    }
                }
            }
        }
    };
    let page = Page::new("Sheets", "/sheets", body).way(way(&plain)).command(command(&query, "bench"));
    if wrong_date(&query).is_empty() { page.answer() } else { page.refused() }
}

/// The link back to the order that the papers are of.
fn back(query: &Query) -> maud::Markup {
    html! { @if let Some(number) = order(query) { a.button.lesser href={ "/order/" (number) } { "Back to order " (number) } } }
}

fn nothing() -> Answer {
    let body = html! {
        p { "Sheets are made of a plan or a build." }
        div.acts {
            a.button href="/need" { "Say what the customer needs" }
            a.button.lesser href="/build" { "Lay out a build" }
        }
    };
    Page::new("Sheets", "/sheets", body).answer()
}

/// One paper, as a page or as PDF.
pub fn paper(app: &App, asked: &Asked) -> Answer {
    let (name, pdf) = asked.name.strip_suffix(".pdf").map_or((asked.name.as_str(), false), |n| (n, true));
    let Some((kind, title, _)) = ABOUT.into_iter().find(|(kind, ..)| word(*kind) == name) else {
        return super::routes::nothing(app, asked);
    };
    let query = asked.query.trimmed();
    let job = match job(app, &asked.query) {
        Ok(job) => job,
        Err(answer) => return answer,
    };
    let made = match sheet::sheet(kind, &job) {
        Ok(made) => made,
        Err(failure) => return layout::failed(&failure, "/sheets"),
    };
    if pdf {
        let size = if query.get("paper") == "letter" { Paper::Letter } else { Paper::A4 };
        return Answer::Pdf { name: format!("{name}.pdf"), bytes: draw::pdf::render(&made, size) };
    }
    let body = html! {
        div.acts.unprinted {
            a.button href=(query.to(&format!("/sheet/{name}.pdf"))) { "As PDF" }
            a.button.lesser href=(query.to("/sheets")) { "Other papers" }
            (back(&query))
            button.lesser type="button" data-print="" hidden { "Print" }
        }
        (print::sheet(&made))
    };
    Page::new(title, "/sheets", body).way(way(&query.without(&FIELDS))).command(command(&query, name)).answer()
}

fn word(kind: Kind) -> String {
    kind.to_possible_value().map(|v| v.get_name().to_string()).unwrap_or_default()
}

/// The plan or build that a query speaks of.
///
/// # Errors
/// The page to show instead.
pub fn subject(app: &App, query: &Query) -> Result<Subject, Answer> {
    if build::Form::is_meant(query) {
        let form = build::Form::new(query);
        let data = app.data();
        return match form.check(&data.library) {
            Ok(checked) => Ok(Subject::Build(Box::new(checked))),
            Err(_) => Err(Answer::Go(form.query.to("/build"))),
        };
    }
    let found = find(app, &need::Form::new(query).query)?;
    let all = query.get("all") == "1";
    let number = query.get("pick").parse().unwrap_or(1);
    let searched = &found.timed.searched;
    let (view, plan) = searched.pick(number, all).map_err(|f| layout::failed(&f, "/plans"))?;
    Ok(Subject::Plan(Box::new((view, plan)), searched.need().machines))
}

/// What a page goes on from.
pub enum Subject {
    Build(Box<crate::verbs::check::Checked>),
    Plan(Box<(crate::verbs::plan::PlanView, crate::verbs::plan::Plan)>, u32),
}

/// The number of the order that a query speaks of.
fn order(query: &Query) -> Option<&str> {
    query.some("order")
}

fn job(app: &App, query: &Query) -> Result<Job, Answer> {
    if let (Some(number), Some(store)) = (order(query), &app.store) {
        let date = query.some("date").and_then(|d| d.parse::<Date>().ok()).unwrap_or_else(world::today);
        return app
            .shop()
            .and_then(|settings| order_papers::job(&app.data(), store, number, settings, date))
            .map_err(|failure| shop::failed(&failure, "/orders"));
    }
    let papers = Papers {
        number: query.get("number").to_string(),
        customer: query.get("customer").to_string(),
        date: query.some("date").and_then(|d| d.parse::<Date>().ok()).unwrap_or_else(world::today),
    };
    let settings = app.shop().map_err(|failure| layout::failed(&failure, "/sheets"))?;
    Ok(match subject(app, query)? {
        Subject::Build(checked) => Job::of_build(*checked, settings, papers),
        Subject::Plan(picked, machines) => {
            let (view, plan) = *picked;
            Job::of_plan(view, plan, machines, settings, papers)
        }
    })
}

fn wrong_date(query: &Query) -> Vec<&'static str> {
    let wrong = query.some("date").is_some_and(|d| d.parse::<Date>().is_err());
    if wrong { vec!["this is no date: write it as 2026-11-25"] } else { Vec::new() }
}

/// What the steps of the way carry on from a plan or build.
pub fn way(query: &Query) -> Vec<(&'static str, String)> {
    if order(query).is_some() {
        return vec![("/sheets", query.text())];
    }
    if build::Form::is_meant(query) {
        return ["/build", "/sheets", "/compare", "/diagnose"].map(|p| (p, query.text())).to_vec();
    }
    plans::way(&need::Form::new(query), Some(query), None)
}

fn command(query: &Query, kind: &str) -> String {
    if let Some(number) = order(query) {
        let date = query.some("date").map_or_else(String::new, |d| format!(" --date {}", layout::quoted(d)));
        return format!("slotwright order sheet {} {kind}{date} --out {kind}.pdf", layout::quoted(number));
    }
    let file = if build::Form::is_meant(query) { "build.toml" } else { "need.toml" };
    let mut command = format!("slotwright sheet {kind} {file}");
    if file == "need.toml" {
        command.push_str(&format!(" --pick {}", query.some("pick").unwrap_or("1")));
    }
    for name in FIELDS {
        if let Some(value) = query.some(name) {
            command.push_str(&format!(" --{name} {}", layout::quoted(value)));
        }
    }
    format!("{command} --out {kind}.pdf")
}
