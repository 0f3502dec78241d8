//! Snapshots that machines sent of themselves: kept while the server runs, shown, and led on to a draft or a comparison.

use super::app::App;
use super::asked::{Answer, Asked};
use super::field::Field;
use super::layout::{self, Page};
use super::read::{as_sent, found};
use crate::failure::Failure;
use crate::root;
use crate::verbs::read::{self, Question, seen};
use crate::verbs::recognise::{self, What};
use crate::verbs::sent::{Sent, name_of};
use crate::world;
use axum::body::Bytes;
use axum::http::StatusCode;
use domain::Snapshot;
use maud::{Markup, html};
use std::collections::VecDeque;
use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};

/// Where snapshots are sent to.
pub const PLACE: &str = "/machines";
/// Most that are kept, and bytes of all of them; the oldest go first.
const KEPT_MOST: usize = 64;
const BYTES_MOST: usize = 64 << 20;

/// A machine's snapshot as it came.
#[derive(Debug)]
pub struct Machine {
    /// From 1, in the order of their coming.
    number: usize,
    /// `machine N`, as reports call it.
    name: String,
    /// When it came, as RFC 3339 text.
    came: String,
    bytes: Bytes,
    /// In short: the machine's name and its memory.
    about: String,
}

impl Machine {
    /// As verbs take it.
    pub fn sent(&self) -> Sent<'_> {
        Sent { name: &self.name, bytes: &self.bytes }
    }
}

/// What came so far.
#[derive(Debug, Default)]
pub struct Received(Mutex<Shelf>);

#[derive(Debug, Default)]
struct Shelf {
    /// The newest first.
    kept: VecDeque<Arc<Machine>>,
    last: usize,
}

impl Received {
    /// Keeps a document; the same bytes again are the same machine.
    fn keep(&self, bytes: Bytes, about: String) -> usize {
        let mut shelf = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(same) = shelf.kept.iter().find(|m| m.bytes == bytes) {
            return same.number;
        }
        shelf.last += 1;
        let number = shelf.last;
        shelf.kept.push_front(Arc::new(Machine {
            number,
            name: format!("machine {number}"),
            came: root::now(),
            bytes,
            about,
        }));
        shelf.kept.truncate(KEPT_MOST);
        while shelf.kept.len() > 1 && shelf.kept.iter().map(|m| m.bytes.len()).sum::<usize>() > BYTES_MOST {
            shelf.kept.pop_back();
        }
        number
    }
    fn all(&self) -> Vec<Arc<Machine>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).kept.iter().cloned().collect()
    }
    /// The one of that number.
    pub fn number(&self, text: &str) -> Option<Arc<Machine>> {
        let number: usize = text.trim().parse().ok()?;
        self.all().into_iter().find(|m| m.number == number)
    }
    /// All as a choice, with none of them first; nothing where there is none.
    pub fn choices(&self) -> Vec<(String, String)> {
        let all = self.all();
        let none = (!all.is_empty()).then(|| (String::new(), "none".to_string()));
        let one = |m: &Arc<Machine>| (m.number.to_string(), format!("{}: {}", m.number, m.about));
        none.into_iter().chain(all.iter().map(one)).collect()
    }
}

/// Lists what came; takes a snapshot that a machine or a person sends.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let codes = asked.fields.raw("codes");
    let wrong = match sent(asked, codes) {
        None if asked.fields.is_empty() => None,
        None => Some("there is no snapshot: choose a file, or scan its codes".to_string()),
        Some(files) => match one_machine(&files) {
            Ok(snapshot) => {
                let number = app.received.keep(document(asked, &files, &snapshot), about(&snapshot));
                return Answer::Go(format!("/machine/{number}"));
            }
            Err(failure) => Some(format!("{failure}: {}", failure.hint())),
        },
    };
    let all = app.received.all();
    let body = html! {
        p.lead { "Snapshots that machines sent here. They are kept while this program runs, the newest " (KEPT_MOST) " of them: keep as a file what you need longer." }
        @if all.is_empty() { p { "None has come so far." } } @else { (table(&all)) }
        h2 { "Send one" }
        (how(app.guard.address()))
        (form(&typed(asked, codes), wrong.as_deref()))
    };
    let page = Page::new("Machines that sent a snapshot", PLACE, body).command(command(app.guard.address()));
    if wrong.is_some() { page.refused() } else { page.answer() }
}

/// An address that is bound to one of the machine's own is what others ask; of all of them, whoever starts it knows which.
fn command(address: SocketAddr) -> String {
    let to = if address.ip().is_unspecified() { format!("ADDRESS:{}", address.port()) } else { address.to_string() };
    format!("slotwright snapshot --send http://{to}")
}

/// How a snapshot comes here.
fn how(address: SocketAddr) -> Markup {
    html! {
        p {
            "On the machine, as root: " code { (command(address)) } ". "
            @if address.ip().is_loopback() {
                strong { "Only programs of this machine reach that address" } ": for others start " code { "slotwright serve" } " with "
                code { "--listen" } " and this machine's own address, and an access token. "
            } @else if address.ip().is_unspecified() { "ADDRESS is this machine's own. " }
        }
        p { "From a machine without network carry the document here by hand, or scan it off its screen: " code { "slotwright snapshot --qr" } " shows it as codes." }
    }
}

/// What was sent: a document, or parts of it as texts or files.
fn sent<'a>(asked: &'a Asked, codes: &'a str) -> Option<Vec<Sent<'a>>> {
    let mut files: Vec<Sent<'_>> = asked.files.iter().map(as_sent).collect();
    if !codes.trim().is_empty() {
        files.push(Sent { name: "the codes", bytes: codes.as_bytes() });
    }
    (!files.is_empty()).then_some(files)
}

/// The codes to go on with: what was typed, and parts that came as files, which a form can't give back.
fn typed(asked: &Asked, codes: &str) -> String {
    let parts = |file: &Sent<'_>| recognise::bytes(file.bytes) == What::Parts;
    let files = asked.files.iter().map(as_sent).filter(parts);
    let texts = files.filter_map(|file| recognise::text_of(file.bytes));
    let all = [codes.to_string()].into_iter().chain(texts);
    all.map(|text| text.trim().to_string()).filter(|text| !text.is_empty()).collect::<Vec<_>>().join("\n")
}

/// What is kept: a document as it came, or the one that parts made.
fn document(asked: &Asked, files: &[Sent<'_>], snapshot: &Snapshot) -> Bytes {
    match (&asked.files[..], files) {
        ([file], [one]) if recognise::bytes(one.bytes) != What::Parts => file.bytes.clone(),
        _ => readers::snapshot::write(snapshot).into(),
    }
}

fn form(codes: &str, wrong: Option<&str>) -> Markup {
    let invalid = wrong.map(|_| "true");
    html! {
        form method="post" action=(PLACE) enctype="multipart/form-data" {
            fieldset {
                legend { "A snapshot" }
                @if let Some(words) = wrong { div.wrong #f-report-wrong role="alert" { (crate::web::field::fault(words)) } }
                div.row {
                    div.field {
                        label for="f-report" { "A file, or files with the texts of its codes" }
                        input #f-report type="file" name="report" multiple aria-invalid=[invalid] aria-describedby=[wrong.map(|_| "f-report-wrong")];
                    }
                    (Field {
                        name: "codes",
                        label: "Or the codes, scanned or pasted",
                        hint: "a 2-D scanner types here; all of one machine, in any order; they begin with SNAPSHOT1:",
                        value: codes,
                        ..Field::default()
                    }.lines(4))
                }
                input type="hidden" name="step" value="file";
                div.acts { button { "Take it in" } }
            }
        }
    }
}

fn table(all: &[Arc<Machine>]) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table {
            thead { tr { th.number scope="col" { "Number" } th scope="col" { "Machine" } th scope="col" { "Came" } } }
            tbody { @for machine in all { tr {
                td.number { (machine.number) }
                th scope="row" { a href={ "/machine/" (machine.number) } { (machine.about) } }
                td.day { (layout::moment(&machine.came)) }
            } } }
        } }
    }
}

/// The one machine of a document.
fn one_machine(sent: &[Sent<'_>]) -> Result<Snapshot, Failure> {
    let mut machines = read::machines_sent(sent)?;
    match machines.len() {
        1 => Ok(machines.remove(0)),
        several => Err(Failure::Machine {
            from: name_of(sent),
            why: format!("it holds {several} machines"),
            hint: "send the snapshot of one".to_string(),
        }),
    }
}

/// In short: the machine's name and memory, one line.
fn about(snapshot: &Snapshot) -> String {
    let head = seen::head(snapshot);
    let of = |key: &str| head.iter().find(|(k, _)| *k == key).map(|(_, v)| v.trim().to_string());
    let name = of("machine").filter(|n| !n.is_empty()).unwrap_or_else(|| "a machine without a name".to_string());
    let parts: Vec<String> =
        [Some(name), of("memory"), of("taken").map(|t| format!("taken {t}"))].into_iter().flatten().collect();
    let line: String = parts.join(", ").split_whitespace().collect::<Vec<_>>().join(" ");
    line.chars().take(160).collect()
}

/// One machine: what it told, and where to go on.
pub fn one(app: &App, asked: &Asked) -> Answer {
    let Some(machine) = app.received.number(&asked.name) else {
        let what = format!("There is no machine {} here (any more).", asked.name);
        return layout::plain(StatusCode::NOT_FOUND, &what, "send its snapshot again");
    };
    if asked.query.get("as") == "file" {
        let is_text = machine.bytes.iter().find(|b| !b.is_ascii_whitespace()) == Some(&b'{');
        let name = format!("machine-{}.{}", machine.number, if is_text { "json" } else { "bin" });
        return Answer::Kept { name, bytes: machine.bytes.to_vec() };
    }
    let question = Question {
        things: Vec::new(),
        kind: None,
        same: false,
        tray: false,
        today: read::week_of(world::today()),
        threshold: read::threshold(None),
    };
    let read = read::read_sent(&[], &[machine.sent()], &question);
    let number = machine.number.to_string();
    let body = html! {
        p.lead { (layout::sentence(&machine.about)) " Came " (layout::moment(&machine.came)) ". " a href={ "/machine/" (number) "?as=file" } { "Keep it as a file" } }
        @match &read {
            Ok(view) => { (found::whole(view)) },
            Err(failure) => { (layout::told(failure)) },
        }
        h2 { "Go on" }
        form method="post" action="/boards/draft" enctype="multipart/form-data" {
            input type="hidden" name="received" value=(number);
            div.acts { button { "Draft its board" } }
        }
        (earlier(app, &machine))
        p { "To hold it against what was planned, go to " a href="/need" { "a plan" } " or " a href="/build" { "a build" } ", then Compare, and choose it there." }
    };
    let title = format!("Machine {number}");
    Page::new(&title, PLACE, body).command("slotwright read snapshot.json").answer()
}

/// Another snapshot to hold this one against, where another came.
fn earlier(app: &App, machine: &Machine) -> Markup {
    let number = machine.number.to_string();
    let others: Vec<(String, String)> =
        app.received.choices().into_iter().filter(|(n, _)| !n.is_empty() && *n != number).collect();
    html! {
        @if !others.is_empty() {
            form method="post" action="/compare" enctype="multipart/form-data" {
                input type="hidden" name="seen_received" value=(number);
                (Field { name: "before_received", label: "Earlier snapshot of the same machine", ..Field::default() }.choice(&others))
                div.acts { button { "Compare with it" } }
            }
        }
    }
}
