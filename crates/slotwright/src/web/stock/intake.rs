//! Taking in: a field for a scanner that carries along what was scanned, and a form for lists and dumps.

use super::super::app::App;
use super::super::asked::{Answer, Asked};
use super::super::layout::{self, Page, quoted};
use super::super::query::Query;
use super::super::read::as_sent;
use super::list::AGAIN;
use super::{PLACE, command, with_store};
use crate::failure::Failure;
use crate::verbs::recognise::{self, What};
use crate::verbs::sent::Sent;
use crate::verbs::shop::calendar;
use crate::verbs::shop::intake::{self, RowFault, ScreenedView, Terms};
use crate::verbs::shop::scan::{self, Said, Scan};
use crate::world;
use maud::{Markup, html};
use store::Store;

const HERE: &str = "/stock/intake";
/// Fields that hold for all that comes in.
const TERMS: [&str; 5] = ["condition", "bin", "cost", "batch", "note"];
/// Most lines that a page carries along.
const LINES_MOST: usize = 1000;

/// The forms; what was sent is scanned, or taken in.
pub fn page(app: &App, asked: &Asked) -> Answer {
    with_store(app, |store| {
        let sent = !asked.fields.is_empty() || !asked.files.is_empty();
        let given = if sent { &asked.fields } else { &asked.query };
        let mut state = State::new(given);
        if sent {
            let took = match given.get("do") {
                "send" => state.send(app, store, asked),
                act => state.scanned(app, store, given, act),
            };
            if let Some(took) = took {
                return Answer::Go(after(given, &took));
            }
        }
        shown(store, given, &state)
    })
}

/// The list of the newest, with what was common to all kept for the next intake.
fn after(given: &Query, took: &ScreenedView) -> String {
    let mut to = Query::default().with("view", "items").with("took", took.modules);
    for name in TERMS {
        if let Some(value) = given.some(name) {
            to.push(&format!("{AGAIN}{name}"), value);
        }
    }
    to.to(PLACE)
}

/// What stands on the page.
struct State {
    lines: Vec<String>,
    scan: Scan,
    said: Option<Said>,
    failure: Option<Failure>,
    /// Is the failure of the list that was sent?
    of_files: bool,
}

impl State {
    fn new(given: &Query) -> Self {
        let lines: Vec<String> = given.all("line").map(str::to_string).collect();
        let mut scan = Scan::new("");
        lines.iter().for_each(|line| {
            scan.line(line);
        });
        Self { lines, scan, said: None, failure: None, of_files: false }
    }
    /// Takes the line that was typed; with `done` or the button for it, all goes in.
    fn scanned(&mut self, app: &App, store: &Store, given: &Query, act: &str) -> Option<ScreenedView> {
        let line = match act {
            "undo" => scan::UNDO,
            act if act.starts_with("leave out ") => act,
            "take" if given.get("scan").is_empty() => "done",
            _ => given.get("scan"),
        };
        let said = if self.lines.len() >= LINES_MOST && !line.eq_ignore_ascii_case("done") {
            Ok(Said::Wrong("so many lines are not carried along".to_string(), "take these in first".to_string()))
        } else {
            scan::line(store, &mut self.scan, line)
        };
        let said = match said {
            Ok(said) => said,
            Err(failure) => {
                self.failure = Some(failure);
                return None;
            }
        };
        // Lines that changed nothing are not carried along; the others must give the same state again.
        match &said {
            Said::Wrong(..) | Said::Nothing | Said::Done => {}
            Said::Known(..) => self.lines.extend([line.to_string(), scan::UNDO.to_string()]),
            _ => self.lines.push(line.to_string()),
        }
        if said == Said::Done {
            let took =
                terms(given).and_then(|terms| scan::take_in(&app.data(), store, &self.scan, &terms, &world::who()));
            match took {
                Ok(took) => return Some(took),
                Err(failure) => self.failure = Some(failure),
            }
        }
        self.said = Some(said);
        None
    }
    /// Takes in a list with the dumps that it names, or dumps alone.
    fn send(&mut self, app: &App, store: &Store, asked: &Asked) -> Option<ScreenedView> {
        let files: Vec<Sent<'_>> = asked.files.iter().map(as_sent).collect();
        self.of_files = true;
        match take_files(app, store, &asked.fields, &files) {
            Ok(took) => Some(took),
            Err(failure) => {
                self.failure = Some(failure);
                None
            }
        }
    }
}

fn take_files(app: &App, store: &Store, given: &Query, files: &[Sent<'_>]) -> Result<ScreenedView, Failure> {
    let (terms, who, data) = (terms(given)?, world::who(), app.data());
    let wrong = |why: &str, hint: &str| Failure::Shop { why: why.to_string(), hint: hint.to_string() };
    let lists: Vec<&Sent<'_>> = files.iter().filter(|f| recognise::bytes(f.bytes) == What::Csv).collect();
    match (files, lists.as_slice()) {
        ([], _) => Err(wrong("no file was sent", "choose a list or SPD dumps")),
        (_, []) => intake::sent(&data, store, files, &terms, &who),
        (_, [list]) => {
            let text = recognise::text_of(list.bytes).ok_or_else(|| wrong("the list is no text", "save it as CSV"))?;
            intake::list_sent(&data, store, &text, files, &terms, &who)
        }
        _ => Err(wrong("more than one list was sent", "send one list at a time, with the dumps that it names")),
    }
}

fn terms(given: &Query) -> Result<Terms, Failure> {
    let [condition, bin, cost, batch, note] = TERMS.map(|name| given.get(name));
    Terms::read(condition, bin, cost, batch, note, calendar::of(world::today()))
}

fn shown(store: &Store, given: &Query, state: &State) -> Answer {
    let body = html! {
        (scanner(given, state))
        (sender(given, state))
    };
    let page = Page::new("Take in", PLACE, body).command(as_command(store, given, state));
    if state.failure.is_some() || matches!(state.said, Some(Said::Wrong(..) | Said::Dropped(..) | Said::Known(..))) {
        page.refused()
    } else {
        page.answer()
    }
}

fn as_command(store: &Store, given: &Query, state: &State) -> String {
    let mut options = String::new();
    for name in TERMS {
        if let Some(value) = given.some(name) {
            options.push_str(&format!(" --{name} {}", quoted(value)));
        }
    }
    let rest = if state.of_files { "intake list.csv" } else { "scan" };
    command(store, &format!("{rest}{options}"))
}

/// What the last line did, for eyes and for a screen reader.
fn told(said: &Said) -> Markup {
    html! {
        @match said {
            Said::Nothing | Said::Done => {}
            Said::Label(words) => { p.verdict role="status" { (words) ": now its serial" } }
            Said::Module(words) => { p.verdict role="status" { (words) } }
            Said::Bin(bin) => { p.verdict role="status" { "From here on: bin " (bin) } }
            Said::Undone(words) => { p.verdict role="status" { "Undone: " (words) } }
            Said::Wrong(why, hint) | Said::Dropped(why, hint) | Said::Known(why, hint) => { div.problem role="alert" { p { strong { "Not taken: " (why) } } p { "What to do: " (hint) } } }
        }
    }
}

fn scanner(given: &Query, state: &State) -> Markup {
    let scan = &state.scan;
    html! {
        form method="post" action=(HERE) {
            @for line in &state.lines { input type="hidden" name="line" value=(line); }
            fieldset {
                legend { "Scan" }
                @if let Some(said) = &state.said { (told(said)) }
                @if let (Some(failure), false) = (&state.failure, state.of_files) { (faults(failure)) }
                div.field {
                    label for="f-scan" { @if scan.waiting.is_some() { "Its serial" } @else { "Label, 2-D code or part number" } }
                    input #f-scan name="scan" type="text" autocomplete="off" autocapitalize="characters" spellcheck="false" autofocus
                        aria-describedby="f-scan-hint";
                    p.hint #f-scan-hint { "A scanner types here and ends with Enter: a label, then its serial, and so on. Also: bin A3, none where there is no serial, undo, leave out 3, done." }
                }
                div.acts {
                    button name="do" value="scan" { "Next" }
                    button.lesser name="do" value="undo" { "Undo the last" }
                    button.lesser name="do" value="take" { "Take all in" }
                }
                @if !scan.bin.is_empty() { p { "Bin: " strong { (scan.bin) } } }
                (scanned(scan))
                p.hint { "With each that is scanned:" }
                (common(given, "scan"))
            }
        }
    }
}

fn scanned(scan: &Scan) -> Markup {
    html! {
        @if !scan.modules.is_empty() {
            div.wide tabindex="0" role="group" aria-label="Scanned so far" { table {
                thead { tr { th.number scope="col" { "Nr" } th scope="col" { "Module" } th scope="col" { "Serial" } th scope="col" { "Bin" } th scope="col" { "Leave out" } } }
                tbody {
                    @for (at, module) in scan.modules.iter().enumerate().rev() {
                        tr {
                            th.number scope="row" { (at + 1) } td { (module.words) }
                            td { (module.serial.as_deref().unwrap_or("-")) } td { (module.bin) }
                            td { button.lesser name="do" value={ "leave out " (at + 1) } aria-label={ "Leave out number " (at + 1) } { "Leave out" } }
                        }
                    }
                }
            } }
        }
    }
}

fn sender(given: &Query, state: &State) -> Markup {
    html! {
        form method="post" action=(HERE) enctype="multipart/form-data" {
            fieldset {
                legend { "Send a list or a tray" }
                @if let (Some(failure), true) = (&state.failure, state.of_files) { (faults(failure)) }
                div.field {
                    label for="f-files" { "Files" }
                    input #f-files type="file" name="files" multiple aria-describedby="f-files-hint";
                    p.hint #f-files-hint { "A list (CSV) with columns such as label, part number, serial, count, condition, bin, cost, supplier, batch, note, with the dumps that it names; or SPD dumps alone. All goes in, or nothing." }
                }
                (common(given, "files"))
                div.acts { button name="do" value="send" { "Take them in" } }
            }
        }
    }
}

/// What holds for all where a row does not say otherwise; `of` tells the two forms' fields apart.
fn common(given: &Query, of: &str) -> Markup {
    let fields = [
        ("cost", "One cost", "such as 42 EUR; 0 EUR where it was free"),
        ("bin", "Bin", "one word, such as A3"),
        ("batch", "Supplier and batch", "SUPPLIER/REFERENCE"),
        ("note", "Note", "stands with each"),
    ];
    html! {
        div.row {
            @for (name, label, hint) in fields {
                @let id = format!("f-{of}-{name}");
                div.field {
                    label for=(id) { (label) }
                    input id=(id) name=(name) type="text" value=(given.get(name)) autocomplete="off" aria-describedby={ (id) "-hint" };
                    p.hint id={ (id) "-hint" } { (hint) }
                }
            }
            @let id = format!("f-{of}-condition");
            div.field {
                label for=(id) { "Condition" }
                select id=(id) name="condition" {
                    @for word in ["used", "new"] { option value=(word) selected[given.get("condition") == word] { (word) } }
                }
            }
        }
    }
}

/// Every row that can't be taken in.
fn faults(failure: &Failure) -> Markup {
    let Failure::Intake(rows) = failure else { return layout::told(failure) };
    html! {
        div.problem role="alert" {
            p { strong { (intake::counted(rows)) " can't be taken in." } " Nothing was: mend these and send all of it again." }
        }
        div.wide tabindex="0" role="group" aria-label="Rows that can't be taken in" { table {
            thead { tr {
                th scope="col" { "Place" } th scope="col" { "Text" } th scope="col" { "What is wrong" } th scope="col" { "What to do" }
            } }
            tbody { @for row in rows { (fault(row)) } }
        } }
    }
}

fn fault(row: &RowFault) -> Markup {
    html! { tr { th scope="row" { (row.place()) } td { code { (row.text) } } td { (row.why) } td { (row.hint) } } }
}
