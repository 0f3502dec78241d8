//! Reading modules and machines: scanned, typed, pasted, or as files; the answer as the verb `read` gives it.

pub mod found;
mod machine;
mod module;

use super::app::App;
use super::asked::{Answer, Asked, Upload};
use super::field::Field;
use super::layout::{Page, quoted};
use super::query::Query;
use crate::failure::Failure;
use crate::verbs::read::{self, Question, ReadView, UnreadView};
use crate::verbs::sent::Sent;
use crate::world;
use maud::{Markup, html};

const PLACE: &str = "/read";
/// Most scans of one tray in an address; browsers and servers keep addresses of 60 KB.
const SCANS_MOST: usize = 200;

/// What several things are to each other: (value, words).
const HOW: [(&str, &str); 3] =
    [("", "each a module of its own"), ("same", "all about one module"), ("tray", "a tray of modules")];

/// The forms, and what was read.
pub fn page(_: &App, asked: &Asked) -> Answer {
    let sent = !asked.fields.is_empty() || !asked.files.is_empty();
    let given = if sent { &asked.fields } else { &asked.query };
    let texts: Vec<&str> = given.all("text").take(SCANS_MOST).collect();
    let files: Vec<Sent<'_>> = asked.files.iter().map(as_sent).collect();
    if texts.is_empty() && files.is_empty() {
        let wrong = if sent { vec!["there is nothing in it: paste a text or choose a file"] } else { Vec::new() };
        let page = Page::new("Read", PLACE, forms(given, &[], &wrong, sent)).command("slotwright read");
        return if sent { page.refused() } else { page.answer() };
    }
    let how = given.get("how");
    let question = Question {
        things: Vec::new(),
        kind: None,
        same: how == "same",
        tray: how == "tray",
        today: read::week_of(world::today()),
        threshold: read::threshold(None),
    };
    let read = read::read_sent(&texts, &files, &question);
    let kept: &[&str] = if sent { &[] } else { &texts };
    let body = html! {
        @match &read {
            Ok(view) => { (found::whole(view)) },
            Err(failure) => { (unread_all(failure)) },
        }
        h2 { "Read more" }
        (forms(given, kept, &[], sent))
    };
    let page = Page::new("Read", PLACE, body).command(command(how, &texts, &asked.files));
    if read.is_ok() { page.answer() } else { page.refused() }
}

/// A file as verbs take it.
pub fn as_sent(upload: &Upload) -> Sent<'_> {
    let name = if upload.name.trim().is_empty() { "a file" } else { upload.name.trim() };
    Sent { name, bytes: &upload.bytes }
}

fn command(how: &str, texts: &[&str], files: &[Upload]) -> String {
    let mut command = "slotwright read".to_string();
    if !how.is_empty() {
        command.push_str(&format!(" --{how}"));
    }
    for text in texts {
        let word = if text.lines().count() > 1 { "pasted.txt".to_string() } else { quoted(text) };
        command.push_str(&format!(" {word}"));
    }
    for file in files {
        command.push_str(&format!(" {}", quoted(as_sent(file).name)));
    }
    command
}

/// The form for a scanner or a keyboard, whose state is the address, and the form for long texts and files.
fn forms(given: &Query, kept: &[&str], wrong: &[&str], sent: bool) -> Markup {
    let options: Vec<(String, String)> = HOW.iter().map(|(v, w)| (v.to_string(), w.to_string())).collect();
    let how = given.get("how");
    let choice = |at: usize| {
        Field { name: "how", label: "Taken together they are", value: how, ..Field::default() }.nth_choice(at, &options)
    };
    // Scans of one module or one tray add up; otherwise each stands for itself.
    let kept = if how.is_empty() { &[] } else { kept };
    html! {
        form method="get" action=(PLACE) {
            @for text in kept { input type="hidden" name="text" value=(text); }
            fieldset {
                legend { "Scan or type" }
                div.row {
                    div.field {
                        label for="f-scan" { "Label, 2-D code or part number" }
                        input #f-scan name="text" type="text" autocomplete="off" autocapitalize="characters" spellcheck="false"
                            autofocus[!sent] aria-describedby="f-scan-hint";
                        p.hint #f-scan-hint { "A scanner types here and ends with Enter. Such as 64GB 2Rx4 PC4-2933Y-RB2-12" }
                    }
                    (choice(0))
                }
                @if !kept.is_empty() { p { (kept.len()) " scanned so far; the next one is added. " a href=(Query::default().with("how", how).to(PLACE)) { "Begin again" } } }
                div.acts { button { "Read it" } }
            }
        }
        form method="post" action=(PLACE) enctype="multipart/form-data" {
            fieldset {
                legend { "Paste, or send files" }
                (Field {
                    name: "text",
                    label: "A text",
                    hint: "SPD contents as hexadecimal text, labels or part numbers one a line, a list as CSV, a report as JSON",
                    value: if sent { given.raw("text") } else { "" },
                    wrong: wrong.to_vec(),
                    ..Field::default()
                }.lines(5))
                div.row {
                    div.field {
                        label for="f-files" { "Files" }
                        input #f-files type="file" name="files" multiple aria-describedby="f-files-hint";
                        p.hint #f-files-hint { "Choose one or several, or drop them here: SPD dumps, SMBIOS tables, snapshots, lists, Redfish documents of one machine; 16 MiB together" }
                    }
                    (choice(1))
                }
                div.acts { button { "Read them" } a.button.lesser href=(PLACE) { "Begin again" } }
            }
        }
    }
}

fn unread_all(failure: &Failure) -> Markup {
    match failure {
        Failure::Unread(unread) => html! {
            p #verdict.verdict.is-wrong role="alert" { "Nothing of it can be read." }
            (unread_list(unread))
        },
        other => super::layout::told(other),
    }
}

/// What could not be read, and what to do.
pub fn unread_list(unread: &[UnreadView]) -> Markup {
    html! {
        ul.findings {
            @for one in unread {
                li.is-unproven {
                    p.head { strong { (one.from) } @if let Some(offset) = one.offset { " at offset " (offset) } ": " (one.why) }
                    p { "Do: " (one.hint) }
                }
            }
        }
    }
}

/// Does any of it keep its contents without power?
fn keeps_contents(view: &ReadView) -> bool {
    let module = |m: &read::ModuleView| m.kind.as_deref() == Some(domain::Kind::Nonvolatile.name());
    view.items.iter().any(|item| {
        item.module.as_ref().is_some_and(module)
            || item.machine.as_ref().is_some_and(|m| m.slots.iter().any(|s| read::seen::slot(s).is_nonvolatile))
    })
}
