//! One board: limits, charts, firmware, its map, and its slots in the order of filling, or those that a count fills.

use crate::failure::Failure;
use crate::verbs::boards::{self, BasisView, BoardAnswer, BoardView, Question};
use crate::verbs::drawing::Map;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::judged;
use crate::web::layout::{self, Page, quoted};
use crate::web::query::Query;
use domain::{Board, Catalog};
use maud::{Markup, html};
use std::sync::Arc;

const FIELDS: [&str; 4] = ["count", "mode", "processor", "ranks"];

/// A name as one part of a path.
pub fn segment(name: &str) -> String {
    form_urlencoded::byte_serialize(name.as_bytes()).collect::<String>().replace('+', "%20")
}

/// One board.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let catalog = data.library.catalog();
    let Some(board) = catalog.boards.get(&asked.name) else {
        let known = catalog.boards.keys().map(String::as_str);
        let near = crate::verbs::nearest(&asked.name, known);
        return layout::failed(&Failure::NoBoard { name: asked.name.clone(), near }, "/boards");
    };
    let query = asked.query.trimmed();
    let mut wrong = Wrong::default();
    let question = question(&query, &mut wrong);
    let answer = boards::one(catalog, board, &question).or_else(|failure| {
        let field = match &failure {
            Failure::NotOffered { what: "mode", .. } => "mode",
            Failure::NotOffered { .. } => "processor",
            Failure::Count { .. } => "count",
            _ => return Err(failure),
        };
        wrong.0.push((field, format!("{failure}: {}", failure.hint())));
        boards::one(catalog, board, &Question::default())
    });
    let answer = match answer {
        Ok(answer) => answer,
        Err(failure) => return layout::failed(&failure, "/boards"),
    };
    let body = body(catalog, board, &answer, &query, &wrong);
    let title = format!("Board {}", board.id);
    let page = Page::new(&title, "/boards", body).command(command(&board.id, &query));
    if wrong.0.is_empty() { page.answer() } else { page.refused() }
}

/// What is wrong, by field.
#[derive(Default)]
struct Wrong(Vec<(&'static str, String)>);

impl Wrong {
    fn of(&self, field: &str) -> Vec<&str> {
        self.0.iter().filter(|(f, _)| *f == field).map(|(_, w)| w.as_str()).collect()
    }
}

fn question(query: &Query, wrong: &mut Wrong) -> Question {
    let mut number = |field: &'static str, most: u16| {
        let text = query.some(field)?;
        let read = text.parse::<u16>().ok().filter(|n| (1..=most).contains(n));
        if read.is_none() {
            wrong.0.push((field, format!("`{text}` is no whole number from 1 to {most}")));
        }
        read
    };
    let count = number("count", 999);
    let ranks = number("ranks", 8).and_then(|r| u8::try_from(r).ok());
    Question {
        count,
        mode: query.some("mode").map(str::to_string),
        processor: query.some("processor").map(str::to_string),
        ranks,
    }
}

fn command(id: &str, query: &Query) -> String {
    let mut command = format!("slotwright boards {}", quoted(id));
    for name in FIELDS {
        if let Some(value) = query.some(name) {
            command.push_str(&format!(" --{name} {}", quoted(value)));
        }
    }
    command
}

fn body(catalog: &Catalog, board: &Arc<Board>, answer: &BoardAnswer, query: &Query, wrong: &Wrong) -> Markup {
    let view = &answer.view;
    let own = Query::default().with("board", &board.id);
    html! {
        p.lead { strong { (view.title) } ". " (view.about) }
        div.acts {
            a.button href=(own.to("/need")) { "Plan on this board" }
            a.button.lesser href=(own.to("/build")) { "Lay out a build" }
            a.button.lesser href={ "/boards/" (segment(&board.id)) "/edit" } { "Change a copy of it" }
        }
        (count_form(board, view, query, wrong))
        @if let Some(basis) = &view.basis { (counted(view, basis)) }
        (judged::board_map(&Map::ordered(&answer.build, &answer.order).drawing(), board))
        (slots(board, view))
        h2 { "In short" }
        (head(view))
        (limits(view))
        (rates(view))
        (modes(view))
        (charts(view))
        @let sources: Vec<&str> = catalog.sources.get(&view.source).map(|s| s.title.as_str()).into_iter().collect();
        p.hint { "Source of the board: " code { (view.source) } @for title in sources { ", " (title) } "." }
    }
}

fn count_form(board: &Board, view: &BoardView, query: &Query, wrong: &Wrong) -> Markup {
    let same = |w: &String| (w.clone(), w.clone());
    let modes: Vec<_> = view.modes.iter().map(|m| same(&m.name)).collect();
    let processors: Vec<_> = view.processors.iter().map(same).collect();
    let by_ranks = board.charts.iter().any(|c| c.ranks.is_some());
    let field = |name: &'static str, label: &'static str, hint: &'static str| Field {
        name,
        label,
        hint,
        value: query.get(name),
        wrong: wrong.of(name),
        ..Field::default()
    };
    html! {
        form method="get" action={ "/boards/" (segment(&board.id)) } {
            fieldset {
                legend { "Which slots for so many modules" }
                div.row {
                    (field("count", "Modules per processor", "empty: every slot in the order of filling").line())
                    @if modes.len() > 1 || !wrong.of("mode").is_empty() { (field("mode", "RAS mode", "").choice(&modes)) }
                    @if processors.len() > 1 || !wrong.of("processor").is_empty() { (field("processor", "Processor family", "").choice(&processors)) }
                    @if by_ranks || query.some("ranks").is_some() { (field("ranks", "Package ranks of the modules", "this board's charts differ by them").line()) }
                }
                div.acts { button { "Show these slots" } }
            }
        }
    }
}

/// Whether the board takes the count, and what that rests on.
fn counted(view: &BoardView, basis: &BasisView) -> Markup {
    let count = view.count_per_processor.unwrap_or_default();
    let (severity, words) = match basis.verdict.as_str() {
        "not-supported" => ("unsupported", "is not supported"),
        "not-advised" => ("note", "runs, but is not advised"),
        _ => ("clean", "is supported"),
    };
    let by = match basis.kind.as_str() {
        "chart" => "by the board's chart",
        "mode" => "by the mode",
        _ => "by the general order",
    };
    html! {
        p #verdict class={ "verdict is-" (severity) } role="status" {
            (judged::mark(severity)) " " (count) " modules per processor in mode " (view.mode) " "
            strong { (words) } ", " (by)
            @if let Some(why) = &basis.why { ": " (why) }
            @if !basis.is_refused() { "; " (view.modules_in_all.unwrap_or_default()) " modules in all" }
            @if basis.tied { "; other fills would do as well, and only a chart could decide" }
            "."
            @if let Some(mark) = &basis.mark { span.hint { " (" @if let Some(source) = &basis.source { "source " (source) ", " } (mark) ")" } }
        }
    }
}

fn slots(board: &Board, view: &BoardView) -> Markup {
    let tabs = view.slots.iter().any(|s| s.tab.is_some());
    let title = if view.basis.is_some() { "Slots to fill, in this order" } else { "Slots in the order of filling" };
    let name = |socket: u8| board.sockets.get(usize::from(socket)).map_or("", |s| s.name.as_str());
    html! {
        section #slots {
            h2 { (title) }
            @if view.slots.is_empty() { p { "None." } } @else {
                div.wide tabindex="0" role="group" aria-label="Table" { table.slots {
                    thead { tr {
                        th.number scope="col" { "Order" } th scope="col" { "Slot" } th scope="col" { "Socket" } th scope="col" { "Channel" }
                        th scope="col" { "Place in it" } @if tabs { th scope="col" { "Tabs" } }
                    } }
                    tbody {
                        @for slot in &view.slots {
                            tr id=(judged::anchor(&slot.label)) {
                                td.number { (slot.order) }
                                th scope="row" { (slot.label) }
                                td { (name(slot.socket)) }
                                td { (slot.controller) "." (slot.channel) }
                                td { (slot.mark) }
                                @if tabs { td { (slot.tab.as_deref().unwrap_or_default()) } }
                            }
                        }
                    }
                } }
                p.hint { "A channel is written as controller and channel within it, from 0. The first slot of a channel is filled first." }
            }
        }
    }
}

fn head(view: &BoardView) -> Markup {
    html! {
        dl.facts {
            dt { "memory" } dd { (view.generation) ", " (view.kinds.join(", ")) }
            dt { "ECC" } dd { @if view.ecc_required { "required" } @else { "optional" } }
            dt { "sockets" } dd { (view.sockets.join(", ")) }
            dt { "processors" } @for processor in &view.processors { dd { (processor) } }
            @if !view.firmware.is_empty() {
                dt { "firmware" }
                @for need in &view.firmware { dd { (need.least) " at least for " (need.what) } }
            }
            @if let Some(minutes) = view.training_minutes {
                dt { "memory training" } dd { (minutes) " min at first start, with the screen dark: do not cut power" }
            }
        }
    }
}

fn limits(view: &BoardView) -> Markup {
    html! {
        @if !view.limits.is_empty() {
            h2 { "Limits" }
            @if let Some(processor) = &view.processor { p.hint { "With " (processor) "." } }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr { th scope="col" { "Limit" } th.number scope="col" { "At most" } th scope="col" { "Beyond it" } th scope="col" { "How it is known" } } }
                tbody { @for limit in &view.limits { tr {
                    th scope="row" { (limit.what) }
                    td.number { (limit.most) }
                    td { (judged::mark(&limit.severity)) " " (limit.severity) ": " (limit.outcome) }
                    td { (limit.mark) ", " (limit.source) }
                } } }
            } }
        }
    }
}

fn rates(view: &BoardView) -> Markup {
    let ranks = |ranks: Option<[u8; 2]>| match ranks {
        None => "any".to_string(),
        Some([least, most]) if least == most => least.to_string(),
        Some([least, most]) => format!("{least} to {most}"),
    };
    html! {
        @if !view.rate_limits.is_empty() {
            h2 { "Data rates" }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr {
                    th scope="col" { "By" } th scope="col" { "Kind" } th.number scope="col" { "Modules a channel" }
                    th.number scope="col" { "Ranks" } th.number scope="col" { "At most" } th scope="col" { "How it is known" }
                } }
                tbody { @for rate in &view.rate_limits { tr {
                    td { (rate.by) } td { (rate.kind) } td.number { (rate.modules_per_channel) }
                    td.number { (ranks(rate.ranks)) } td.number { (rate.most_mts) " MT/s" } td { (rate.mark) ", " (rate.source) }
                } } }
            } }
        }
    }
}

fn modes(view: &BoardView) -> Markup {
    html! {
        h2 { "Modes" }
        div.wide tabindex="0" role="group" aria-label="Table" { table {
            thead { tr { th scope="col" { "Mode" } th scope="col" { "Usable capacity" } th scope="col" { "Modules per processor" } } }
            tbody { @for mode in &view.modes { tr {
                th scope="row" { (mode.name) } td { (mode.usable) }
                td { @if mode.counts.is_empty() { "any" } @else { (list(&mode.counts)) } }
            } } }
        } }
    }
}

fn charts(view: &BoardView) -> Markup {
    html! {
        @if !view.charts.is_empty() {
            h2 { "Population charts" }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr {
                    th scope="col" { "Mode" } th scope="col" { "Socket" } th scope="col" { "Ranks" } th scope="col" { "Supported" }
                    th scope="col" { "Not advised" } th scope="col" { "Not supported" } th scope="col" { "How it is known" }
                } }
                tbody { @for chart in &view.charts { tr {
                    td { (chart.mode) }
                    td { @match chart.socket { Some(s) => (view.sockets.get(usize::from(s)).map_or("", String::as_str)), None => "any" } }
                    td { @match chart.ranks { Some(r) => (r), None => "any" } }
                    td { (list(&chart.supported)) } td { (list(&chart.not_advised)) } td { (list(&chart.not_supported)) }
                    td { (chart.mark) ", " (chart.source) }
                } } }
            } }
        }
    }
}

fn list(counts: &[u16]) -> String {
    counts.iter().map(u16::to_string).collect::<Vec<_>>().join(" ")
}
