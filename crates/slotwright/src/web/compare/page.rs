//! The page that shows what is planned and asks for the machine's report.

use super::result;
use crate::failure::Failure;
use crate::verbs::compare::{self, CompareView, Side};
use crate::verbs::drawing::Map;
use crate::verbs::in_short;
use crate::verbs::plan::BuildView;
use crate::verbs::sent::Sent;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::build;
use crate::web::diagnose;
use crate::web::field::Field;
use crate::web::judged;
use crate::web::layout::Page;
use crate::web::query::Query;
use crate::web::received::Machine;
use crate::web::sheets::{self, Subject};
use domain::Build;
use domain::board::Board;
use maud::{Markup, html};

/// What the page holds a report against.
enum Planned {
    Build { name: String, build: Box<Build> },
    Report,
}

/// Asks for the report, or answers what was sent.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let query = asked.query.trimmed();
    let planned = match planned(app, &query) {
        Ok(planned) => planned,
        Err(answer) => return answer,
    };
    let sent = !asked.fields.is_empty() || !asked.files.is_empty();
    let mut wrong = Wrong::default();
    let view = if sent { answer(app, asked, &planned, &mut wrong) } else { None };
    let sent_here = app.received.choices();
    let body = match (&view, &planned) {
        (Some(view), Planned::Build { build, .. }) => {
            let marks = compare::marks(view, &build.board);
            let map = Map::marked(build, &marks).drawing();
            html! {
                (result::verdict(view))
                (judged::board_map(&map, &build.board))
                (result::whole(view, Some(build)))
                (diagnose::links(&query, &view.differences))
                (form(&query, &planned, &asked.fields, &wrong, &sent_here))
            }
        }
        (Some(view), Planned::Report) => html! {
            (result::verdict(view))
            (result::whole(view, None))
            (form(&query, &planned, &asked.fields, &wrong, &sent_here))
        },
        (None, planned) => html! {
            @if !wrong.0.is_empty() { p #verdict.verdict.is-wrong role="alert" { "This can't be compared yet; why is told beside the field." } }
            (lead(planned))
            (form(&query, planned, &asked.fields, &wrong, &sent_here))
        },
    };
    let command = match planned {
        Planned::Build { .. } => "slotwright compare build.toml report.json",
        Planned::Report => "slotwright compare earlier.json now.json",
    };
    let page = Page::new("Compare with the machine", "/compare", body).way(way(&query)).command(command);
    if wrong.0.is_empty() { page.answer() } else { page.refused() }
}

fn way(query: &Query) -> Vec<(&'static str, String)> {
    if query.is_empty() { Vec::new() } else { sheets::way(query) }
}

fn planned(app: &App, query: &Query) -> Result<Planned, Answer> {
    if query.is_empty() {
        return Ok(Planned::Report);
    }
    Ok(match sheets::subject(app, query)? {
        Subject::Build(checked) => Planned::Build { name: "the build".to_string(), build: Box::new(checked.build) },
        Subject::Plan(picked, _) => {
            let (view, plan) = *picked;
            Planned::Build { name: format!("plan {}", view.number), build: Box::new(plan.build) }
        }
    })
}

/// What is wrong, by field.
#[derive(Default)]
struct Wrong(Vec<(&'static str, String)>);

impl Wrong {
    fn of(&self, field: &str) -> Vec<&str> {
        self.0.iter().filter(|(f, _)| *f == field).map(|(_, w)| w.as_str()).collect()
    }
    fn add(&mut self, field: &'static str, words: impl Into<String>) {
        self.0.push((field, words.into()));
    }
}

/// A report of a field of files, or of the text beside it, or one that a machine sent.
fn report<'a>(asked: &'a Asked, files: &str, text: &str, kept: Option<&'a Machine>) -> Vec<Sent<'a>> {
    let sent: Vec<Sent<'_>> = asked.files.iter().filter(|f| f.field == files).map(crate::web::read::as_sent).collect();
    let pasted = asked.fields.raw(text);
    if sent.is_empty() && !pasted.trim().is_empty() {
        return vec![Sent { name: "what was pasted", bytes: pasted.as_bytes() }];
    }
    if sent.is_empty() { kept.map(Machine::sent).into_iter().collect() } else { sent }
}

fn answer(app: &App, asked: &Asked, planned: &Planned, wrong: &mut Wrong) -> Option<CompareView> {
    let node = asked.fields.some("node");
    let number = node.and_then(|n| n.parse::<usize>().ok());
    if let (Some(words), None) = (node, number) {
        wrong.add("node", format!("`{words}` is no whole number: give 1 for the first machine"));
    }
    let kept = |field: &str| app.received.number(asked.fields.get(field));
    let (kept_seen, kept_before) = (kept("seen_received"), kept("before_received"));
    let seen = report(asked, "seen", "seen_text", kept_seen.as_deref());
    if seen.is_empty() {
        wrong.add("seen", "there is no report: choose a file, or paste one");
    }
    let before = report(asked, "before", "before_text", kept_before.as_deref());
    if matches!(planned, Planned::Report) && before.is_empty() {
        wrong.add("before", "there is no earlier report: choose a file, or paste one");
    }
    if !wrong.0.is_empty() {
        return None;
    }
    let data = app.data();
    let compared = match planned {
        Planned::Build { name, build } => compare::compare_build(&data.library, build, name, &seen, number)
            .map_err(|failure| vec![(Side::Seen, failure)]),
        Planned::Report => compare::compare_reports(&data.library, &before, &seen, number),
    };
    match compared {
        Ok(view) => Some(view),
        Err(failures) => {
            for (side, failure) in failures {
                wrong.add(place(side, &failure), format!("{failure}: {}", failure.hint()));
            }
            None
        }
    }
}

/// The field that a failure is about: that of its report, or the choice of a machine in it.
fn place(side: Side, failure: &Failure) -> &'static str {
    match (failure, side) {
        (Failure::Machine { hint, .. }, _) if hint.contains("--system") => "node",
        (_, Side::Before) => "before",
        (_, Side::Seen) => "seen",
    }
}

fn lead(planned: &Planned) -> Markup {
    match planned {
        Planned::Build { name, build } => {
            let view = BuildView::new(build);
            html! {
                p.lead { "Planned is " strong { (name) } " on " (view.board) " with " (in_short::processors(&view.processors)) ": " (view.slots.len()) " modules." }
                (judged::board_map(&Map::marked(build, &[]).drawing(), &build.board))
                details {
                    summary { "Slot by slot" }
                    (planned_slots(&build.board, &view))
                }
            }
        }
        Planned::Report => html! {
            p.lead { "Hold a report of a machine against an earlier one of it: what is gone, moved, smaller or slower since." }
            p { "To compare with what was planned, come here from " a href="/need" { "a plan" } " or " a href="/build" { "a build" } "." }
        },
    }
}

fn planned_slots(board: &Board, view: &BuildView) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.slots {
            thead { tr { th scope="col" { "Slot" } th scope="col" { "Planned" } } }
            tbody { @for slot in &board.slots {
                tr id=(judged::anchor(&slot.label)) {
                    th scope="row" { (slot.label) }
                    td { @match view.slots.iter().find(|(label, _)| **label == slot.label) { Some((_, module)) => (module), None => "empty" } }
                }
            } }
        } }
    }
}

fn form(query: &Query, planned: &Planned, fields: &Query, wrong: &Wrong, sent_here: &[Choice]) -> Markup {
    let node = Field {
        name: "node",
        label: "Which machine of the report",
        hint: "only where it holds several: 1 is the first",
        value: fields.get("node"),
        wrong: wrong.of("node"),
        ..Field::default()
    };
    html! {
        form method="post" action=(query.to("/compare")) enctype="multipart/form-data" {
            @if matches!(planned, Planned::Report) {
                (source("before", "before_text", "The earlier report", fields, wrong, sent_here))
            }
            (source("seen", "seen_text", "What the machine reports now", fields, wrong, sent_here))
            (node.line())
            div.acts { button { "Compare" } }
        }
        @if let Planned::Build { build, .. } = planned {
            @let form = build::Form::of(&BuildView::new(build));
            p.hint { "The report is a snapshot, an SMBIOS table or Redfish documents: " code { "slotwright snapshot" } " takes one on the machine, and can send it " a href="/machines" { "here" } ". " a href=(form.query.with("file", "build.toml").to("/build")) { "The plan as build.toml" } }
        }
    }
}

/// A value of a choice and its words.
type Choice = (String, String);

fn source(
    files: &'static str,
    text: &'static str,
    legend: &str,
    fields: &Query,
    wrong: &Wrong,
    sent_here: &[Choice],
) -> Markup {
    let received = format!("{files}_received");
    let faults = wrong.of(files);
    let [id, says] = [format!("f-{files}"), format!("f-{files}-wrong")];
    html! {
        fieldset {
            legend { (legend) }
            @if !faults.is_empty() { div.wrong id=(says) { @for words in &faults { (crate::web::field::fault(words)) } } }
            div.row {
                div.field {
                    label for=(id) { "A file, or the documents of a Redfish tree" }
                    input id=(id) type="file" name=(files) multiple aria-invalid=[(!faults.is_empty()).then_some("true")]
                        aria-describedby=[(!faults.is_empty()).then_some(says.as_str())];
                }
                (Field { name: text, label: "Or pasted", value: fields.raw(text), ..Field::default() }.lines(3))
                @if !sent_here.is_empty() {
                    (Field { name: &received, label: "Or a snapshot that a machine sent here", value: fields.get(&received), ..Field::default() }.choice(sent_here))
                }
            }
        }
    }
}
