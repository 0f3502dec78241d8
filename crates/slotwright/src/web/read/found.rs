//! What was read, as HTML: the verdict, one module closely or several as a table, machines, signs, and what is unread.

use super::{keeps_contents, machine, module, unread_list};
use crate::verbs::read::{ItemView, NoteView, ReadView, SignView};
use crate::web::judged::mark;
use maud::{Markup, html};

/// Everything.
pub fn whole(view: &ReadView) -> Markup {
    let modules: Vec<(usize, &ItemView)> = view.items.iter().enumerate().filter(|(_, i)| i.module.is_some()).collect();
    let shown = view.tray.as_ref().filter(|t| t.shown || modules.len() > 1);
    html! {
        (verdict(view))
        @if keeps_contents(view) {
            div.cautions role="note" {
                p { strong { "A module here keeps its contents without power." } " It may hold a customer's data: keep it apart, and sell or use it again only when it is erased by its maker's procedure. It is not counted as memory." }
            }
        }
        @match shown {
            Some(tray) => { (module::tray(tray, &modules)) },
            None => { @for (_, item) in &modules { (module::closely(item)) } },
        }
        @for item in view.items.iter().filter(|i| i.machine.is_some()) { (machine::whole(item)) }
        @if !view.unread.is_empty() {
            section #unread {
                h2 { "Not read" }
                (unread_list(&view.unread))
            }
        }
    }
}

fn verdict(view: &ReadView) -> Markup {
    let signs = || {
        let own = view.items.iter().flat_map(|i| &i.findings);
        own.chain(view.tray.iter().flat_map(|t| t.together.iter().map(|s| &s.finding)))
    };
    let count = |weight: &str| signs().filter(|s| s.weight == weight).count();
    let worst = ["reject", "suspect"].into_iter().find(|w| count(w) > 0);
    let worst = worst.unwrap_or(if view.unread.is_empty() { "clean" } else { "unproven" });
    let modules = view.items.iter().filter(|i| i.module.is_some()).count();
    let machines = view.items.len() - modules;
    let many = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let mut read = Vec::new();
    if modules > 0 {
        read.push(many(modules, if view.tray.is_some() { "line" } else { "module" }));
    }
    if machines > 0 {
        read.push(many(machines, "machine"));
    }
    let mut told: Vec<String> =
        ["reject", "suspect", "note"].iter().filter(|w| count(w) > 0).map(|w| format!("{} {w}", count(w))).collect();
    if told.is_empty() {
        told.push("no signs: nothing that was read speaks against it".to_string());
    }
    if !view.unread.is_empty() {
        told.push(format!("{} not read", view.unread.len()));
    }
    html! {
        p #verdict class={ "verdict is-" (worst) } role="status" { (mark(worst)) " Read " (read.join(" and ")) ": " (told.join(", ")) }
    }
}

/// Signs, heaviest first, each explained once, with whose they are and all that was seen.
pub fn signs(seen: &[(String, &SignView)]) -> Markup {
    let mut names: Vec<&SignView> = Vec::new();
    for (_, sign) in seen {
        if !names.iter().any(|n| n.name == sign.name) {
            names.push(sign);
        }
    }
    let order = ["reject", "suspect", "note"];
    names.sort_by_key(|n| order.iter().position(|w| *w == n.weight));
    html! {
        h3 { "Signs" }
        @if names.is_empty() { p { "None: nothing that was read speaks against it." } } @else {
            ul.findings {
                @for name in names {
                    li class={ "is-" (name.weight) } {
                        p.head { (mark(&name.weight)) " " strong { (name.weight) } ": " a href={ "/rules/" (name.name) } { (name.name) } }
                        ul { @for (whose, sign) in seen.iter().filter(|(_, s)| s.name == name.name) {
                            li { @if !whose.is_empty() { (whose) ": " } (sign.evidence) @if let Some(offset) = sign.offset { span.hint { " (offset " (offset) ")" } } }
                        } }
                        p { "It means: " (name.means) }
                        p { "Innocently: " (name.innocent) }
                        p { "Do: " (name.advice) " " span.hint { "(" (name.source) ")" } }
                    }
                }
            }
        }
    }
}

/// Notes, each with its place.
pub fn notes(all: &[(String, &NoteView)]) -> Markup {
    html! {
        @if !all.is_empty() {
            h3 { "Notes" }
            ul { @for (whose, note) in all {
                li {
                    @if !whose.is_empty() { (whose) ": " }
                    @if let Some(place) = &note.place { (place) ": " }
                    (note.what)
                    @if let Some(offset) = note.offset { span.hint { " (offset " (offset) ")" } }
                }
            } }
        }
    }
}

/// What a thing was taken for, in words.
pub fn read_as(input: &str) -> &str {
    match input {
        "part-number" => "part number",
        "spd" => "SPD contents",
        "smbios" => "SMBIOS tables",
        "redfish" => "Redfish",
        "edac" => "error counters",
        other => other,
    }
}
