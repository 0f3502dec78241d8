//! The catalogue of modules as a table: narrowed by a form, sorted by its headings.

use super::app::App;
use super::asked::{Answer, Asked};
use super::field::Field;
use super::heading;
use super::layout::{Page, quoted};
use super::query::Query;
use crate::verbs::modules::{self, ModuleLine, Question};
use domain::{Capacity, Catalog, DataRate, Generation, Kind, Module};
use maud::{Markup, html};
use std::collections::BTreeSet;

const PLACE: &str = "/modules";
const FIELDS: [&str; 4] = ["generation", "kind", "capacity", "rate"];

/// What the table may be sorted by: (name in the address, heading, is it a number?).
const COLUMNS: [(&str, &str, bool); 8] = [
    ("label", "Label", false),
    ("generation", "Memory", false),
    ("kind", "Kind", false),
    ("capacity", "Capacity", true),
    ("ranks", "Ranks", false),
    ("rate", "MT/s", true),
    ("watts", "Watts", true),
    ("price", "Price", true),
];

/// The modules that are asked for.
pub fn page(app: &App, asked: &Asked) -> Answer {
    let data = app.data();
    let catalog = data.library.catalog();
    let query = asked.query.trimmed();
    let (question, wrong) = question(&query);
    let mut view = modules::list(catalog, &question);
    let (sort, down) = heading::order(&query);
    if COLUMNS.iter().any(|(name, ..)| *name == sort) {
        view.modules.sort_by(|a, b| key(a, sort).cmp(&key(b, sort)).then_with(|| a.module.id.cmp(&b.module.id)));
        if down {
            view.modules.reverse();
        }
    }
    let body = html! {
        (form(catalog, &query, &wrong))
        @if wrong.is_empty() {
            p role="status" { (view.modules.len()) " of " (view.known) " kinds." }
            @if view.modules.is_empty() { p { "None is like that. " a href=(PLACE) { "Show all" } } } @else { (table(&query, &view.modules)) }
        }
    };
    let page = Page::new("Modules", PLACE, body).command(command(&query));
    if wrong.is_empty() { page.answer() } else { page.refused() }
}

/// What the fields ask, and what is wrong with them: (field, words).
fn question(query: &Query) -> (Question, Vec<(&'static str, String)>) {
    let mut wrong = Vec::new();
    let mut keep = |field: &'static str, words: String| wrong.push((field, words));
    let generation = query.some("generation").and_then(|text| {
        let read = Generation::parse(text);
        read.or_else(|| {
            keep("generation", format!("`{text}` is no generation"));
            None
        })
    });
    let kind = query.some("kind").and_then(|text| {
        let read = Kind::parse(text);
        read.or_else(|| {
            keep("kind", format!("`{text}` is no kind of module"));
            None
        })
    });
    let capacity = query
        .some("capacity")
        .and_then(|text| Capacity::parse(text).map_err(|e| keep("capacity", format!("{e}: {}", e.hint()))).ok());
    let rate = query
        .some("rate")
        .and_then(|text| DataRate::parse(text).map_err(|e| keep("rate", format!("{e}: {}", e.hint()))).ok());
    (Question { generation, kind, capacity, rate, text: query.get("text").to_string() }, wrong)
}

fn form(catalog: &Catalog, query: &Query, wrong: &[(&'static str, String)]) -> Markup {
    let all = |words: &dyn Fn(&Module) -> (u64, String)| -> Vec<(String, String)> {
        let found: BTreeSet<(u64, String)> = catalog.modules.values().map(|m| words(m)).collect();
        let any = [(String::new(), "any".to_string())].into_iter();
        any.chain(found.into_iter().map(|(_, w)| (w.clone(), w))).collect()
    };
    let options = [
        all(&|m| (0, m.generation.to_string())),
        all(&|m| (0, m.kind.to_string())),
        all(&|m| (m.capacity.mib(), m.capacity.to_string())),
        all(&|m| (u64::from(m.rate.mts()), m.rate.mts().to_string())),
    ];
    let labels = ["Memory", "Kind", "Capacity", "Rate printed on it, in MT/s"];
    html! {
        form method="get" action=(PLACE) {
            div.row {
                @for ((name, label), options) in FIELDS.iter().zip(labels).zip(&options) {
                    @let faults = wrong.iter().filter(|(f, _)| f == name).map(|(_, w)| w.as_str()).collect();
                    (Field { name, label, value: query.get(name), wrong: faults, ..Field::default() }.choice(options))
                }
                (Field { name: "text", label: "Words in it", hint: "of id, label, maker or part number", value: query.get("text"), ..Field::default() }.line())
            }
            @for name in ["sort", "order"] { @if let Some(value) = query.some(name) { input type="hidden" name=(name) value=(value); } }
            div.acts { button { "Show these" } a.button.lesser href=(PLACE) { "Show all" } }
        }
    }
}

fn table(query: &Query, lines: &[ModuleLine]) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
            thead { tr {
                th scope="col" { "Id, to copy" }
                @for (name, title, number) in COLUMNS { (heading::sortable(query, PLACE, name, title, number)) }
            } }
            tbody {
                @for line in lines {
                    @let module = &line.module;
                    tr {
                        th scope="row" { code.copied { (module.id) } }
                        td.label { (module.label) @for more in [&module.maker, &module.part_number].into_iter().flatten() { span.hint { " " (more) } } }
                        td { (module.generation) }
                        td { (module.kind) }
                        td.number { (Capacity::from_mib(module.capacity_mib)) }
                        td { (module.organisation) }
                        td.number { (module.rate_mts) }
                        td.number { @if let Some(watts) = module.watts { (format!("{watts:.1}")) } }
                        td.number { @for price in &line.prices { div { (price.price) " " (price.condition) } } }
                    }
                }
            }
        } }
        p.hint { "An id or a label stands for the module wherever one is asked for." }
    }
}

/// What a row is sorted by: a number, then words.
fn key<'a>(line: &'a ModuleLine, sort: &str) -> (u64, &'a str) {
    let module = &line.module;
    match sort {
        "generation" => (0, &module.generation),
        "kind" => (0, &module.kind),
        "capacity" => (module.capacity_mib, ""),
        "ranks" => (u64::from(module.logical_ranks), &module.organisation),
        "rate" => (u64::from(module.rate_mts), ""),
        "watts" => (module.watts.map_or(0, |w| (w * 1000.0) as u64), ""),
        "price" => (line.prices.iter().map(|p| p.price.minor).min().unwrap_or(i64::MAX).unsigned_abs(), ""),
        _ => (0, &module.label),
    }
}

fn command(query: &Query) -> String {
    let mut command = "slotwright modules".to_string();
    for name in FIELDS {
        if let Some(value) = query.some(name) {
            command.push_str(&format!(" --{name} {}", quoted(value)));
        }
    }
    for word in query.get("text").split_whitespace() {
        command.push_str(&format!(" {}", quoted(word)));
    }
    command
}
