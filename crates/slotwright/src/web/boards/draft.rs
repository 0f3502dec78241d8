//! A board drafted from a machine's report: each slot with how sure it is, confirmed one by one, then its file in the editor.

use super::edit::{self, Draft};
use crate::verbs::draft::confirm::{self, Head, Slot};
use crate::verbs::draft::{self as verb, Drafted};
use crate::verbs::sent::Sent;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::judged;
use crate::web::layout::Page;
use crate::web::query::Query;
use crate::web::received::Machine;
use domain::{Generation, Kind};
use maud::{Markup, html};

/// Most slots of a machine that the form takes.
const SLOTS_MOST: usize = 1024;
/// The fields of a slot that a person can put right.
const PLACES: [(&str, &str); 3] = [("socket", "Socket"), ("channel", "Channel"), ("position", "Place")];

/// Asks for a report, shows its draft, and makes the file of what was confirmed.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let fields = &asked.fields;
    if fields.get("step") == "slots" {
        return confirmed(app, fields);
    }
    let mut files: Vec<Sent<'_>> = asked.files.iter().map(crate::web::read::as_sent).collect();
    let pasted = fields.raw("report");
    let kept = app.received.number(fields.get("received"));
    files.extend(kept.as_deref().map(Machine::sent));
    if files.is_empty() && !pasted.trim().is_empty() {
        files.push(Sent { name: "what was pasted", bytes: pasted.as_bytes() });
    }
    let sent = !fields.is_empty() || !asked.files.is_empty();
    if files.is_empty() {
        let wrong = if sent { vec!["there is no report: choose a file, or paste one".to_string()] } else { Vec::new() };
        return ask(fields, &wrong);
    }
    let data = app.data();
    let number = fields.some("system").map_or(Ok(1), str::parse::<usize>);
    let Ok(number) = number else {
        return ask(fields, &[format!("`{}` is no whole number: 1 is the first system", fields.get("system"))]);
    };
    match verb::draft_sent(&files, number, &data.library) {
        Ok(drafted) => {
            let (query, wrong) = (of(&drafted), Vec::new());
            shown(&query, &wrong, Some(&drafted)).answer_with(&wrong)
        }
        Err(failure) => ask(fields, &[format!("{failure}: {}", failure.hint())]),
    }
}

/// A body that becomes a page.
struct Body(Markup);

impl Body {
    fn answer_with(self, wrong: &[(String, String)]) -> Answer {
        let page =
            Page::new("Draft a board", "/boards", self.0).command("slotwright draft report.json --out board.toml");
        if wrong.is_empty() { page.answer() } else { page.refused() }
    }
}

fn ask(fields: &Query, wrong: &[String]) -> Answer {
    let faults: Vec<&str> = wrong.iter().map(String::as_str).collect();
    let invalid = (!faults.is_empty()).then_some("true");
    let body = html! {
        p.lead { "From what a machine reports of its slots: their sockets, channels and places, each with how sure it is. A report does not tell what the maker's manual does, so each slot is confirmed by you." }
        form method="post" action="/boards/draft" enctype="multipart/form-data" {
            fieldset {
                legend { "The machine's report" }
                div.row {
                    div.field {
                        label for="f-files" { "A file, or the documents of a Redfish tree" }
                        @if invalid.is_some() { div.wrong #f-files-wrong { @for words in &faults { (crate::web::field::fault(words)) } } }
                        input #f-files type="file" name="files" multiple aria-invalid=[invalid] aria-describedby=[invalid.map(|_| "f-files-wrong")];
                        p.hint { "A snapshot, an SMBIOS table, or Redfish; " code { "slotwright snapshot" } " takes one on the machine." }
                    }
                    (Field { name: "report", label: "Or pasted", value: fields.raw("report"), ..Field::default() }.lines(4))
                }
                (Field { name: "system", label: "Which system of the report", hint: "only where it holds several: 1 is the first", value: fields.get("system"), ..Field::default() }.line())
                div.acts { button { "Draft it" } }
            }
        }
    };
    let page = Page::new("Draft a board", "/boards", body).command("slotwright draft report.json --out board.toml");
    if wrong.is_empty() { page.answer() } else { page.refused() }
}

/// A draft as the fields of its form.
fn of(drafted: &Drafted) -> Query {
    let head = confirm::head(drafted);
    let mut query = Query::default();
    query.push("title", &head.title);
    query.push("about", &head.about);
    query.push("generation", head.generation.map_or("", Generation::name));
    query.push("controllers", head.controllers);
    head.processors.iter().for_each(|p| query.push("processor", p));
    head.processor_names.iter().for_each(|p| query.push("known", p));
    head.kinds.iter().for_each(|k| query.push("kind", k));
    drafted.view.questions.iter().for_each(|q| query.push("question", words(q)));
    let number = |n: Option<usize>| n.map_or_else(String::new, |n| n.to_string());
    for (at, slot) in drafted.view.slots.iter().take(SLOTS_MOST).enumerate() {
        let values = [
            ("label", slot.label.clone()),
            ("socket", number(slot.socket)),
            ("channel", number(slot.channel)),
            ("position", number(slot.position)),
            ("sure", slot.confidence.clone()),
            ("handle", slot.handle.clone()),
            ("why", slot.evidence.join("; ")),
        ];
        values.into_iter().for_each(|(name, value)| query.push(&format!("{name}.{at}"), value));
    }
    query
}

fn words(question: &verb::QuestionView) -> String {
    let mut text = question.question.clone();
    for (at, reading) in question.readings.iter().enumerate() {
        text.push_str(&format!(" ({}) {reading}", at + 1));
    }
    if !question.slots.is_empty() {
        text.push_str(&format!(" [{}]", question.slots.join(", ")));
    }
    text
}

fn count(query: &Query) -> usize {
    (0..SLOTS_MOST).take_while(|at| query.pairs().any(|(n, _)| n == format!("label.{at}"))).count()
}

/// The slots of the form, and what is wrong with them.
fn slots(query: &Query) -> (Vec<Slot>, Vec<(String, String)>) {
    let mut wrong = Vec::new();
    let mut slots = Vec::new();
    for at in 0..count(query) {
        let mut number = |name: &str| {
            let field = format!("{name}.{at}");
            let words = query.some(&field)?;
            let read = words.parse::<usize>().ok().filter(|n| *n < SLOTS_MOST);
            if read.is_none() {
                wrong.push((field, format!("`{words}` is no whole number from 0")));
            }
            read
        };
        let [socket, channel, position] = PLACES.map(|(name, _)| number(name));
        slots.push(Slot {
            label: query.get(&format!("label.{at}")).to_string(),
            socket,
            channel,
            position,
            confidence: query.get(&format!("sure.{at}")).to_string(),
            confirmed: query.get(&format!("ok.{at}")) == "yes",
        });
    }
    for (at, slot) in slots.iter().enumerate() {
        let twin = slots.iter().take(at).find(|other| other.label.eq_ignore_ascii_case(&slot.label));
        if slot.label.is_empty() {
            wrong.push((format!("label.{at}"), "a slot needs the label that is printed beside it".to_string()));
        } else if twin.is_some() {
            wrong.push((format!("label.{at}"), "another slot bears this label".to_string()));
        }
        if slot.confirmed && (slot.socket.is_none() || slot.channel.is_none() || slot.position.is_none()) {
            wrong.push((format!("label.{at}"), "confirmed, but its socket, channel or place is empty".to_string()));
        }
    }
    (slots, wrong)
}

fn confirmed(app: &App, fields: &Query) -> Answer {
    let (slots, wrong) = slots(fields);
    if !wrong.is_empty() {
        return shown(fields, &wrong, None).answer_with(&wrong);
    }
    let head = Head {
        title: fields.get("title").to_string(),
        about: fields.get("about").to_string(),
        generation: Generation::parse(fields.get("generation")),
        processors: fields.all("processor").map(str::to_string).collect(),
        processor_names: fields.all("known").map(str::to_string).collect(),
        kinds: fields.all("kind").filter_map(Kind::parse).collect(),
        controllers: fields.get("controllers").parse::<usize>().unwrap_or(1).clamp(1, 16),
        questions: fields.all("question").map(str::to_string).collect(),
    };
    edit::page(app, Draft::new("/boards/new", "", confirm::board(&head, &slots)))
}

/// The draft with its slots to confirm.
fn shown(query: &Query, wrong: &[(String, String)], drafted: Option<&Drafted>) -> Body {
    let slots = count(query);
    let sure = (0..slots).filter(|at| query.get(&format!("sure.{at}")) == "sure").count();
    let questions: Vec<&str> = query.all("question").collect();
    let editable =
        |name: &str| ["label.", "socket.", "channel.", "position.", "ok."].iter().any(|start| name.starts_with(start));
    Body(html! {
        @if wrong.is_empty() {
            p #verdict class={ "verdict is-" (if sure == slots { "note" } else { "unproven" }) } role="status" {
                (judged::mark(if sure == slots { "note" } else { "unproven" })) " " (slots) " slots, " (sure) " of them sure by the report alone. Hold each against the board and its manual."
            }
        } @else {
            p #verdict.verdict.is-wrong role="alert" { (judged::mark("wrong")) " " (wrong.len()) " to mend; each is told beside its field." }
        }
        @if let Some(drafted) = drafted { (head(drafted)) }
        @if !questions.is_empty() {
            h2 { "To confirm" }
            ul { @for question in &questions { li { (question) } } }
        }
        form method="post" action="/boards/draft" {
            input type="hidden" name="step" value="slots";
            @for (name, value) in query.pairs().filter(|(n, _)| !editable(n) && *n != "step") { input type="hidden" name=(name) value=(value); }
            h2 { "Slots, one by one" }
            p.hint { "Numbers count from 0; place 0 of a channel is the slot to fill first." }
            (table(query, slots, wrong))
            div.acts { button { "Write its board file" } a.button.lesser href="/boards/draft" { "Another report" } }
        }
        @if let Some(drafted) = drafted { (notes(drafted)) }
    })
}

fn head(drafted: &Drafted) -> Markup {
    let view = &drafted.view;
    let number = |n: Option<usize>| n.map_or_else(|| "not known".to_string(), |n| n.to_string());
    html! {
        dl.facts {
            dt { "from" } dd { (view.from) }
            @if let Some(system) = &view.system { dt { "machine" } dd { (system) } }
            dt { "confidence" } dd { (view.confidence) }
            dt { "sockets" } dd { (number(view.sockets)) }
            dt { "channels a socket" } dd { (number(view.channels_per_socket)) }
            @if let Some(processor) = &view.processor {
                dt { "processor" } dd { (processor) @if let Some(family) = &view.family { ", " (family) } }
            }
            dt { "families that fit" } dd { @if drafted.known.processors.is_empty() { "none in the data: name one in the file" } @else { (drafted.known.processors.join(", ")) } }
        }
    }
}

fn notes(drafted: &Drafted) -> Markup {
    html! {
        @if !drafted.view.notes.is_empty() {
            h2 { "Noted" }
            ul { @for note in &drafted.view.notes { li { (note) } } }
        }
    }
}

fn table(query: &Query, slots: usize, wrong: &[(String, String)]) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.slots {
            thead { tr {
                th scope="col" { "Label" }
                @for (_, title) in PLACES { th scope="col" { (title) } }
                th scope="col" { "How sure" } th scope="col" { "Confirmed" }
            } }
            tbody { @for at in 0..slots { (row(query, at, wrong)) } }
        } }
    }
}

fn row(query: &Query, at: usize, wrong: &[(String, String)]) -> Markup {
    let label = query.get(&format!("label.{at}"));
    let sure = query.get(&format!("sure.{at}"));
    let why = query.get(&format!("why.{at}"));
    let cell = |name: &str, title: &str| {
        let field = format!("{name}.{at}");
        let faults: Vec<&str> = wrong.iter().filter(|(f, _)| *f == field).map(|(_, w)| w.as_str()).collect();
        let invalid = (!faults.is_empty()).then_some("true");
        let says = format!("f-{field}-wrong");
        html! {
            @if invalid.is_some() { div.wrong id=(says) { @for words in &faults { (crate::web::field::fault(words)) } } }
            input.short[name != "label"] name=(field) type="text" autocomplete="off" value=(query.get(&field))
                aria-label={ (title) " of slot " (at + 1) " " (label) } aria-invalid=[invalid] aria-describedby=[invalid.map(|_| says.as_str())];
        }
    };
    let severity = match sure {
        "sure" => "clean",
        "likely" => "unproven",
        _ => "suspect",
    };
    html! {
        tr {
            td { (cell("label", "Label")) }
            @for (name, title) in PLACES { td { (cell(name, title)) } }
            td {
                (judged::mark(severity)) " " (sure) " " span.hint { (query.get(&format!("handle.{at}"))) }
                @if !why.is_empty() { details { summary { "why" } p { (why) } } }
            }
            td { label.tick { input type="checkbox" name={ "ok." (at) } value="yes" checked[query.get(&format!("ok.{at}")) == "yes"]; " confirmed" } }
        }
    }
}
