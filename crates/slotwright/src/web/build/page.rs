//! The page of a build: verdict, findings, map, and every slot's field.

use super::form::{Form, SLOT};
use crate::verbs::check::Checked;
use crate::verbs::drawing::Map;
use crate::verbs::judgement::SlotView;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::Field;
use crate::web::judged;
use crate::web::layout::Page;
use crate::web::machine;
use crate::web::need::Wrong;
use domain::{Board, Catalog};
use maud::{Markup, html};
use std::sync::Arc;

/// The build of the address, judged; without a board the choice of one.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let catalog = data.library.catalog();
    let mut form = Form::new(&asked.query);
    let Some(board) = catalog.boards.get(form.query.get("board")).cloned() else {
        return choose(catalog, &form);
    };
    complete(&mut form, &board);
    fill(&mut form, &asked.query, &board);
    if asked.query.get("file") == "build.toml" {
        return Answer::File { name: "build.toml".to_string(), text: form.text() };
    }
    let checked = form.check(&data.library);
    let trimmed = form.query.trimmed();
    let way = ["/build", "/sheets", "/compare", "/diagnose"].map(|p| (p, trimmed.text())).to_vec();
    let (body, refused) = match &checked {
        Ok(checked) => (whole(catalog, &board, &form, checked), false),
        Err(wrong) => (faulty(catalog, &board, &form, wrong), true),
    };
    let title = format!("Build on {}", board.id);
    let page = Page::new(&title, "/build", body).way(way).command("slotwright check build.toml --svg build.svg");
    if refused { page.refused() } else { page.answer() }
}

/// Processors that are not said are the board's first family.
fn complete(form: &mut Form, board: &Board) {
    let given = form.query.all("processors").count();
    let first = board.processors.first().map(|p| p.0.clone()).unwrap_or_default();
    for _ in given..board.sockets.len() {
        form.query.push("processors", &first);
    }
}

/// `fill` and `into`: the same module in every slot, in the first slots, or nowhere, before the fields are looked at.
fn fill(form: &mut Form, asked: &crate::web::query::Query, board: &Board) {
    let into = asked.get("into");
    if into.is_empty() {
        return;
    }
    let module = if into == "none" { "" } else { asked.get("fill") };
    for slot in &board.slots {
        if into != "first" || slot.address.position == 0 {
            form.query = form.query.with(&format!("{SLOT}{}", slot.label), module);
        }
    }
}

fn choose(catalog: &Catalog, form: &Form) -> Answer {
    let named = form.query.get("board");
    let options: Vec<(String, String)> =
        catalog.boards.values().map(|b| (b.id.clone(), format!("{}: {}", b.id, b.title))).collect();
    let unknown = format!("there is no board `{named}` here");
    let wrong = if named.is_empty() { Vec::new() } else { vec![unknown.as_str()] };
    let field = Field { name: "board", label: "Board", value: named, wrong, ..Field::default() };
    let body = html! {
        form method="get" action="/build" {
            (field.choice(&options))
            button { "Lay it out" }
        }
        p { "Or begin with " a href="/need" { "what the customer needs" } ": every plan can be taken as a build." }
    };
    let page = Page::new("Build", "/build", body);
    if named.is_empty() { page.answer() } else { page.refused() }
}

fn whole(catalog: &Catalog, board: &Arc<Board>, form: &Form, checked: &Checked) -> Markup {
    let view = &checked.view;
    let map = Map::judged(&checked.build, &checked.judgement).drawing();
    let none = Wrong::default();
    html! {
        (judged::verdict(view))
        (judged::map(&map, view))
        form #build method="get" action="/build" data-live="" {
            (machine(catalog, board, form, &none))
            (quick())
            (judged::table(view, &|slot| cell(form, &none, slot)))
            div.acts { button { "Judge it" } a.button.lesser href={ "/build?board=" (board.id) } { "Empty it" } }
        }
        (modules(catalog, board))
        (judged::findings(&view.findings))
        h2 { "In short" }
        (judged::facts(view))
        (judged::chain(view))
        (judged::regions(view))
        div.acts {
            a.button href=(form.query.trimmed().to("/sheets")) { "Print its sheets" }
            a.button.lesser href=(form.query.trimmed().to("/compare")) { "Compare with the machine" }
            (crate::web::diagnose::link(&form.query.trimmed()))
        }
        (judged::file("The build as a file", "build.toml", &form.text(), &form.query.trimmed(), "/build"))
    }
}

/// The form alone, with what is wrong beside its fields.
fn faulty(catalog: &Catalog, board: &Arc<Board>, form: &Form, wrong: &Wrong) -> Markup {
    let empty = crate::verbs::judgement::empty_slots(board);
    let strangers: Vec<(&str, &str)> = form
        .query
        .pairs()
        .filter_map(|(n, v)| Some((n.strip_prefix(SLOT)?, v)))
        .filter(|(slot, v)| !v.trim().is_empty() && board.slot_by_label(slot).is_none())
        .collect();
    html! {
        p #verdict.verdict.is-wrong role="status" { (judged::mark("wrong")) " " (wrong.count()) " to mend before this can be judged; each is told beside its field." }
        @for words in wrong.of("") { p.wrong { (words) } }
        form #build method="get" action="/build" data-live="" {
            (machine(catalog, board, form, wrong))
            @for (slot, value) in strangers {
                @let name = format!("{SLOT}{slot}");
                (Field { name: &name, label: slot, value, wrong: wrong.of(&name).collect(), ..Field::default() }.line())
            }
            (judged::rows(&empty, &|slot| cell(form, wrong, slot)))
            div.acts { button { "Judge it" } }
        }
        (modules(catalog, board))
    }
}

fn machine(catalog: &Catalog, board: &Board, form: &Form, wrong: &Wrong) -> Markup {
    html! {
        fieldset.board {
            legend { "Machine" }
            input type="hidden" name="board" value=(board.id);
            (machine::fields(catalog, board, &form.query, wrong))
            label.tick { input type="checkbox" name="blanks" value="yes" checked[form.query.holds("blanks", "yes")]; " empty slots are blanked" }
        }
    }
}

/// One module into many slots at once.
fn quick() -> Markup {
    let mut options = vec![(String::new(), "leave the slots as they are".to_string())];
    options.extend(
        [("first", "every first slot"), ("all", "every slot"), ("none", "nothing in any slot")]
            .map(|(v, w)| (v.to_string(), w.to_string())),
    );
    html! {
        details {
            summary { "Fill many slots at once" }
            div.row {
                div.field { label for="f-fill" { "This module" } input #f-fill name="fill" type="text" list="modules" autocomplete="off"; }
                (Field { name: "into", label: "goes into", ..Field::default() }.choice(&options))
            }
        }
    }
}

fn cell(form: &Form, wrong: &Wrong, slot: &SlotView) -> Markup {
    let name = format!("{SLOT}{}", slot.label);
    let id = format!("in-{}", judged::anchor(&slot.label));
    let faults: Vec<&str> = wrong.of(&name).collect();
    let faulty = (!faults.is_empty()).then_some("true");
    let says = faulty.map(|_| format!("{id}-wrong"));
    html! {
        @if !faults.is_empty() { div.wrong id={ (id) "-wrong" } { @for words in &faults { (crate::web::field::fault(words)) } } }
        input id=(id) name=(name) type="text" list="modules" autocomplete="off" value=(form.slot(&slot.label))
            aria-label={ "Module in " (slot.label) } placeholder="empty" aria-invalid=[faulty] aria-describedby=[says];
    }
}

/// What the fields offer while one types: modules of the catalogue that the board takes.
fn modules(catalog: &Catalog, board: &Board) -> Markup {
    let fits = catalog.modules.values().filter(|m| m.generation == board.generation && board.kinds.contains(&m.kind));
    html! { datalist #modules { @for module in fits { option value=(module.label) { (module.short()) } } } }
}
