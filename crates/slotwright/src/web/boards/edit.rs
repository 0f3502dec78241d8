//! A board written or changed from its maker's manual: its form and its text side by side, drawn as far as it is understood.

use super::form::faults::Placed;
use super::form::lay::{self, SHAPE};
use super::form::show::{Form, part_named, part_of};
use super::form::take::{self, RowAct, WAS};
use crate::failure::Failure;
use crate::verbs::board_file::{self, Fault, Understood};
use crate::verbs::boards::{self, Question};
use crate::verbs::drawing::Map;
use crate::web::app::App;
use crate::web::asked::{Answer, Asked};
use crate::web::field::{Field, fault};
use crate::web::judged;
use crate::web::layout::{self, Page};
use crate::web::prose;
use crate::web::query::Query;
use catalog::Sheet;
use domain::Catalog;
use maud::{Markup, html};

/// What the page holds: all that was typed, and what is wrong with it.
pub struct Draft {
    /// Where the form is sent.
    action: String,
    pub name: String,
    pub text: String,
    /// What was sent; fields that the text has no place for are kept from here.
    fields: Query,
    /// What is wrong besides the text: (field, words).
    wrong: Vec<(String, String)>,
    /// Something to tell besides.
    told: Option<Markup>,
    /// The part of the form that was worked in.
    open: Option<&'static str>,
    /// The field to go on in.
    focus: Option<String>,
    /// The slots of the board that this one inherits.
    base: Vec<String>,
}

impl Draft {
    /// A text that nobody has touched yet.
    pub fn new(action: &str, name: &str, text: String) -> Self {
        let (action, name) = (action.to_string(), name.to_string());
        Self {
            action,
            name,
            text,
            fields: Query::default(),
            wrong: Vec::new(),
            told: None,
            open: None,
            focus: None,
            base: Vec::new(),
        }
    }
    fn of(&self, field: &str) -> Vec<&str> {
        self.wrong.iter().filter(|(f, _)| f == field).map(|(_, w)| w.as_str()).collect()
    }
    fn refuse(&mut self, field: &str, words: impl Into<String>) {
        self.wrong.push((field.to_string(), words.into()));
    }
}

/// A new board.
pub fn new(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let number = |name: &str, usual: usize| asked.query.get(name).parse().unwrap_or(usual);
    let [sockets, controllers] = [number("sockets", 2), number("controllers", 2)];
    let [channels, slots] = [number("channels", 3), number("slots", 2)];
    let text = board_file::blank(data.library.catalog(), sockets, controllers, channels, slots);
    let draft = Draft::new("/boards/new", "", text);
    answer(app, asked, draft)
}

/// A copy of a board that is known; under its own name it takes that board's place.
pub fn edit(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let Some(text) = data.library.board_text(&asked.name) else {
        let known = data.library.catalog().boards.keys().map(String::as_str);
        let near = crate::verbs::nearest(&asked.name, known);
        return layout::failed(&Failure::NoBoard { name: asked.name.clone(), near }, "/boards");
    };
    let draft = Draft::new(&format!("/boards/{}/edit", super::one::segment(&asked.name)), &asked.name, text);
    answer(app, asked, draft)
}

/// What was sent taken over, and then what was asked for: to look, to lay out, to keep.
fn answer(app: &App, asked: &Asked, mut draft: Draft) -> Answer {
    let (fields, data) = (&asked.fields, app.data());
    if !fields.is_empty() {
        draft.text = fields.raw("text").replace("\r\n", "\n");
        draft.name = fields.get("id").to_string();
        draft.fields = fields.clone();
        take(&mut draft, data.library.catalog());
    }
    draft.base = base_of(Sheet::read(&draft.text).as_ref(), data.library.catalog());
    match fields.get("act") {
        "file" => {
            let name = if board_file::is_name(&draft.name) { draft.name.as_str() } else { "board" };
            return Answer::File { name: format!("{name}.toml"), text: draft.text };
        }
        "save" => {
            if let Some(answer) = save(app, &mut draft) {
                return answer;
            }
        }
        _ => {}
    }
    page(app, draft)
}

/// Form and text made one, and a row added or taken out.
fn take(draft: &mut Draft, catalog: &Catalog) {
    let Some(mut sheet) = Sheet::read(&draft.text) else { return };
    let was = Sheet::read(&draft.fields.raw(WAS).replace("\r\n", "\n"));
    for (field, why) in take::take(&mut sheet, &draft.fields, &base_of(was.as_ref(), catalog)) {
        draft.refuse(&field, why);
    }
    let act = draft.fields.get("act").to_string();
    draft.open = act.strip_prefix("look:").and_then(part_named);
    if act == "lay" {
        draft.open = part_named("sockets");
        match lay::laid(&draft.fields) {
            Ok(sockets) if sheet.put_sockets(&sockets) => {}
            Ok(_) => draft.refuse("lay.pattern", "the sockets of the text can't be taken out: change them there"),
            Err(wrong) => wrong.into_iter().for_each(|(field, words)| draft.refuse(field, words)),
        }
    } else if act == "confirm" {
        draft.text = board_file::confirmed(sheet.text());
        return;
    } else if let Some(row) = RowAct::read(&act, &sheet) {
        draft.open = part_of(row.list());
        // What was refused stands at its row: the rows stay until it is settled.
        if draft.wrong.is_empty() && !row.act(&mut sheet) {
            draft.refuse("save", "the text has no place for this row: change it there");
        }
        draft.focus = row.focus(&sheet);
    }
    draft.text = sheet.text().to_string();
}

/// The slots of the board that a text inherits, which it may speak of without naming them itself.
fn base_of(sheet: Option<&Sheet>, catalog: &Catalog) -> Vec<String> {
    let base = sheet.and_then(|s| s.get(&["inherit"])).and_then(|held| catalog.boards.get(&held.words()).cloned());
    base.map(|board| board.slots.iter().map(|s| s.label.clone()).collect()).unwrap_or_default()
}

/// Saves; the page to go to, or nothing where something is wrong, which then stands in the draft.
fn save(app: &App, draft: &mut Draft) -> Option<Answer> {
    let Some(folder) = app.folder.clone() else {
        draft.refuse("id", "the server was started without a folder of its own data: keep it as a file");
        return None;
    };
    let data = app.data();
    if !board_file::understand(&data.library, &draft.name, &draft.text).faults.is_empty() {
        draft.refuse(
            "save",
            "a board with faults is not saved, or the next start would fail on it: mend them, or keep it as a file",
        );
        if board_file::is_name(&draft.name) {
            return None;
        }
    }
    let known = data.library.catalog().boards.contains_key(&draft.name);
    let replace = draft.fields.get("replace") == "yes";
    let saved = app.saving(|| {
        let saved = board_file::save(&folder, &draft.name, &draft.text, known, replace)?;
        app.reload().map_err(|failure| match saved.undo() {
            Ok(()) => failure,
            Err(worse) => worse,
        })
    });
    match saved {
        Ok(()) => Some(Answer::Go(format!("/boards/{}", super::one::segment(&draft.name)))),
        Err(failure @ (Failure::BoardName { .. } | Failure::BoardThere { .. })) => {
            draft.refuse("id", format!("{failure}: {}", failure.hint()));
            None
        }
        Err(failure) => {
            draft.refuse("save", "not saved; what was there before is there again, and what you typed is still here");
            draft.told = Some(layout::told(&failure));
            None
        }
    }
}

/// The page of a draft.
pub fn page(app: &App, draft: Draft) -> Answer {
    let data = app.data();
    let catalog = data.library.catalog();
    let understood = board_file::understand(&data.library, &draft.name, &draft.text);
    let sheet = Sheet::read(&draft.text);
    let placed = sheet.as_ref().map(|s| Placed::of(s, &draft.base, &understood.faults)).unwrap_or_default();
    let body = html! {
        p.lead { "From the chapter on memory of the maker's manual: what you change in the form goes into the text, and what you write in the text shows in the form." }
        (verdict(&draft, &understood))
        @if let Some(told) = &draft.told { (told) }
        (faults(&draft, &understood.faults, &placed))
        (map(catalog, &understood))
        form #editor method="post" action=(draft.action) data-live="both" {
            (acts(app, &draft))
            div.twins {
                div data-side="form" { (fields(&draft, sheet, placed)) }
                div data-side="text" { (text(&draft, &understood.faults)) }
            }
        }
    };
    let file = format!("{}.toml", if draft.name.is_empty() { "board" } else { &draft.name });
    let command = format!("slotwright boards {}", layout::quoted(&file));
    let page = Page::new("Write a board", "/boards", body).command(command);
    if draft.wrong.is_empty() { page.answer() } else { page.refused() }
}

fn verdict(draft: &Draft, understood: &Understood) -> Markup {
    let faults = understood.faults.len() + draft.wrong.len();
    let open = board_file::unconfirmed(&draft.text);
    let class = match (faults, open) {
        (0, 0) => "clean",
        (0, _) => "unproven",
        _ => "wrong",
    };
    html! {
        p #verdict class={ "verdict is-" (class) } role="status" {
            (judged::mark(class)) " "
            @if faults == 0 && open == 0 { "A board that can be planned on: nothing is wrong with its text." }
            @else if faults == 0 {
                "Nothing is wrong with its text, but " (open) @if open == 1 { " line is a guess" } @else { " lines are guesses" }
                ", marked “confirm”: hold each against the manual and put it right. "
                button.lesser form="editor" name="act" value="confirm" { "All of them are right now" }
            }
            @else { (faults) " to mend; each is told with its place. What is understood so far is drawn." }
        }
    }
}

fn faults(draft: &Draft, all: &[Fault], placed: &Placed<'_>) -> Markup {
    html! {
        section #faults aria-label="Faults" {
            @for words in draft.of("save") { div.wrong { (fault(words)) } }
            @if !all.is_empty() {
                ol.findings { @for (at, fault) in all.iter().enumerate() {
                    li.is-wrong {
                        p.head {
                            @if let Some((line, column)) = fault.place { a href="#f-text" data-place={ (line) "," (column) } { strong { "line " (line) ", column " (column) } } ": " }
                            (prose::inline(&fault.problem))
                        }
                        @if !fault.line.trim().is_empty() { pre.source { code { (fault.line.trim_end()) } } }
                        p {
                            "Do: " (prose::inline(&fault.hint))
                            @if let Some(field) = placed.fields.get(at).and_then(Option::as_ref) { " " a href={ "#f-" (field) } { "To its field" span.unseen { ", fault " (at + 1) } } }
                        }
                    }
                } }
            }
        }
    }
}

fn map(catalog: &Catalog, understood: &Understood) -> Markup {
    let board = understood.board.as_ref();
    match board.and_then(|b| boards::one(catalog, b, &Question::default()).ok()) {
        Some(answer) => judged::board_map(&Map::ordered(&answer.build, &answer.order).drawing(), &answer.build.board),
        None => {
            html! { section #map aria-label="Slot map" { p.hint { "Nothing can be drawn yet: a socket with its controllers, channels and slots is needed." } } }
        }
    }
}

fn acts(app: &App, draft: &Draft) -> Markup {
    let id = Field {
        name: "id",
        label: "Name of the board",
        hint: "small letters, digits and dashes; its file is called so",
        value: &draft.name,
        wrong: draft.of("id"),
        ..Field::default()
    };
    html! {
        fieldset {
            legend { "Board" }
            // The first button is the one that Enter presses.
            div.row { (id.line()) div.acts { button name="act" value="look" { "Take over and check" } } }
            div.acts {
                @if app.folder.is_some() {
                    button.lesser name="act" value="save" { "Save it" }
                    label.tick { input type="checkbox" name="replace" value="yes" checked[draft.fields.get("replace") == "yes"]; " replace a board of that name" }
                }
                button.lesser name="act" value="file" data-plain="" { "Keep as a file" }
            }
        }
    }
}

fn fields(draft: &Draft, read: Option<Sheet>, placed: Placed<'_>) -> Markup {
    // While the text can't be read, the form stays as the last text that could be made it.
    let was = draft.fields.raw(WAS).replace("\r\n", "\n");
    let Some(sheet) = read.clone().or_else(|| Sheet::read(&was)).or_else(|| Sheet::read("")) else { return html! {} };
    let wrong = |name: &str| draft.of(name);
    let form = Form {
        sheet: &sheet,
        placed,
        base: &draft.base,
        value: &|cell| match &read {
            Some(sheet) if draft.of(&cell.name).is_empty() => cell.shown(sheet),
            _ => draft
                .fields
                .pairs()
                .find(|(n, _)| *n == cell.name)
                .map_or_else(|| cell.shown(&sheet), |(_, v)| v.to_string()),
        },
        wrong: &wrong,
        action: &draft.action,
        open: draft.open,
        focus: draft.focus.as_deref(),
    };
    html! {
        @if read.is_none() { p.hint { "The text can't be read as TOML just now: the form waits until its fault is mended." } }
        input #was type="hidden" name=(WAS) value=(sheet.text());
        @if sheet.has(&["inherit"]) { p { "What is empty here is taken from the board that this one inherits; a list here takes the place of the whole list there." } }
        (form.parts(&shape(draft, read.as_ref())))
    }
}

fn shape(draft: &Draft, sheet: Option<&Sheet>) -> Markup {
    let sockets = sheet.map(Sheet::sockets).unwrap_or_default();
    let names: Vec<&str> = sockets.iter().map(|s| s.name.as_str()).collect();
    let first = sockets.first();
    let controllers = first.map_or(0, |s| s.controllers.len());
    let channels = first.and_then(|s| s.controllers.first()).map_or(0, Vec::len);
    let slots = first.iter().flat_map(|s| s.controllers.iter().flatten().map(Vec::len)).max().unwrap_or(0);
    let now = |name: &str, usual: &str| match name {
        "lay.sockets" if !names.is_empty() => names.join(", "),
        "lay.controllers" if controllers > 0 => controllers.to_string(),
        "lay.channels" if channels > 0 => channels.to_string(),
        "lay.slots" if slots > 0 => slots.to_string(),
        _ => usual.to_string(),
    };
    let wrong = draft.wrong.iter().any(|(f, _)| f.starts_with("lay."));
    let kept = wrong || draft.fields.some("lay.pattern").is_some_and(|p| p != SHAPE[4].2);
    html! {
        details #lay open[wrong || sockets.is_empty() && draft.base.is_empty()] {
            summary #lay-title { "Lay all slots out anew" }
            div.row {
                @for (name, label, usual, hint) in SHAPE {
                    @let value = if kept && draft.fields.some(name).is_some() { draft.fields.get(name).to_string() } else { now(name, usual) };
                    (Field { name, label, hint, value: &value, wrong: draft.of(name), ..Field::default() }.line())
                }
            }
            p.hint { "This takes the place of the sockets in the text. The first place of a channel is the slot to fill first." }
            div.acts { button.lesser name="act" value="lay" formaction={ (draft.action) "#part-sockets" } { "Lay them out" } }
        }
    }
}

fn text(draft: &Draft, all: &[Fault]) -> Markup {
    let words: Vec<String> = all
        .iter()
        .filter_map(|f| f.place.map(|(line, column)| format!("line {line}, column {column}: {}", f.problem)))
        .collect();
    let field = Field {
        name: "text",
        label: "The board file (TOML)",
        hint: "as the guide to the files has it",
        value: &draft.text,
        wrong: words.iter().map(String::as_str).collect(),
        ..Field::default()
    };
    field.lines(44)
}
