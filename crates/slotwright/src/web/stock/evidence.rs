//! What an item's page says of failures and of what is attached to it: a form for each, and the files back.

use super::super::app::App;
use super::super::asked::{Answer, Asked, Upload};
use super::super::field::Field;
use super::super::layout;
use super::super::query::Query;
use super::{PLACE, item, with_store};
use crate::failure::Failure;
use crate::verbs::shop::act::is_gone;
use crate::verbs::shop::evidence::{self, AttachmentView, File};
use crate::verbs::shop::stock::{self, ItemCloselyView};
use crate::world;
use axum::http::StatusCode;
use domain::item::{ItemId, ItemState, Subject};
use maud::{Markup, html};
use store::Store;

/// Takes a file or a failure, or gives a file back.
pub fn page(app: &App, asked: &Asked) -> Answer {
    with_store(app, |store| {
        let Ok(number) = asked.name.parse::<i64>() else {
            return layout::plain(StatusCode::NOT_FOUND, "There is no such item.", "look for it on the page Stock");
        };
        if let Some(named) = asked.query.some("file") {
            return match evidence::content(store, Subject::Item(number), named) {
                Ok((view, content)) => Answer::Kept { name: view.name, bytes: content.bytes },
                Err(failure) => layout::failed(&failure, PLACE),
            };
        }
        match take(store, number, asked) {
            Ok(()) => Answer::Go(format!("/stock/item/{number}")),
            // The item's page again, with what was typed still in it.
            Err(failure) => match stock::closely(store, ItemId(number)) {
                Ok(view) => item::shown(store, &view, &asked.fields, Some(&failure)),
                Err(absent) => layout::failed(&absent, PLACE),
            },
        }
    })
}

fn take(store: &Store, number: i64, asked: &Asked) -> Result<(), Failure> {
    let who = world::who();
    let file = asked.files.iter().find(|f| !f.bytes.is_empty()).map(named);
    let file = file.as_ref().map(|(name, bytes)| File { name, bytes });
    if asked.fields.get("act") == "fail" {
        evidence::fail(store, ItemId(number), asked.fields.get("reason"), file, &who)?;
        return Ok(());
    }
    let Some(file) = file else {
        return Err(Failure::Shop {
            why: "no file was sent".to_string(),
            hint: "choose a photo, log, snapshot or record of 1 byte to 16 MiB".to_string(),
        });
    };
    evidence::attach(store, Subject::Item(number), file, &who)?;
    Ok(())
}

/// A file's name without the folder that some browsers send.
fn named(upload: &Upload) -> (String, &[u8]) {
    let name = upload.name.rsplit(['/', '\\']).next().unwrap_or_default().trim().to_string();
    (if name.is_empty() { "unnamed".to_string() } else { name }, &upload.bytes)
}

/// What stands on an item's page.
pub fn part(store: &Store, view: &ItemCloselyView, sent: &Query) -> Markup {
    let item = &view.item;
    let path = format!("/stock/item/{}/evidence", item.item);
    let attached = evidence::attached(store, Subject::Item(item.item));
    let state = ItemState::parse(&item.state);
    let may_fail = state.is_some_and(|s| !is_gone(s) || s == ItemState::Shipped && item.serial.is_some());
    html! {
        @if may_fail {
            form method="post" action=(path) enctype="multipart/form-data" {
                fieldset {
                    legend { "It failed" }
                    input type="hidden" name="act" value="fail";
                    (Field { name: "reason", label: "What it did", hint: "such as: corrected errors in one bank, in two slots", value: sent.get("reason"), required: true, ..Field::default() }.line())
                    div.field {
                        label for="f-record" { "Record of the diagnosis, where there is one" }
                        input id="f-record" type="file" name="record";
                    }
                    p.hint { "It is held back, and waits on the page " a href="/suppliers" { "Suppliers" } " to be sent back. One of a lot becomes an item of its own." }
                    div.acts { button.lesser { "It failed" } }
                }
            }
        }
        h2 { "Photos, logs, records" }
        @match &attached {
            Ok(list) if list.attachments.is_empty() => p { "Nothing is attached." },
            Ok(list) => ul { @for file in &list.attachments { li {
                a href={ (path) "?file=" (sum(file)) } { (file.name) } ", " (file.size) " bytes, by " (file.who) " at " (layout::moment(&file.at))
            } } },
            Err(failure) => (layout::told(failure)),
        }
        form method="post" action=(path) enctype="multipart/form-data" {
            fieldset {
                legend { "Attach" }
                div.field {
                    label for="f-file" { "A photo, log, snapshot or record" }
                    input id="f-file" type="file" name="file" required aria-describedby="f-file-hint";
                    p.hint id="f-file-hint" { "up to 16 MiB; kept by the sum of what it holds" }
                }
                div.acts { button { "Attach it" } }
            }
        }
    }
}

fn sum(file: &AttachmentView) -> &str {
    file.sha256.get(..24).unwrap_or(&file.sha256)
}
