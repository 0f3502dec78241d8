//! Where plan and machine differ, as HTML: each with its causes in order, the cautions, and what the report can't tell.

use crate::verbs::compare::{CompareView, DifferenceView};
use crate::verbs::plan::BuildView;
use crate::web::{judged, prose};
use domain::{Build, Capacity};
use maud::{Markup, html};

/// In a line.
pub fn verdict(view: &CompareView) -> Markup {
    let count = view.differences.len();
    let class = if count == 0 { "clean" } else { "wrong" };
    html! {
        p #verdict class={ "verdict is-" (class) } role="status" {
            (judged::mark(class)) " "
            @if count == 0 { "As planned: no difference that this report can show." }
            @else { (count) " difference" @if count != 1 { "s" } " between what was planned and what the machine reports." }
        }
    }
}

/// Everything below the map.
pub fn whole(view: &CompareView, build: Option<&Build>) -> Markup {
    let gib = |mib: u64| Capacity::from_mib(mib);
    html! {
        dl.facts {
            dt { "planned" } dd { (view.planned_from) ": " (modules(view.modules_planned)) ", " (gib(view.capacity_planned_mib)) }
            dt { "seen" } dd { (view.seen_from) ": " (modules(view.modules_seen)) ", " (gib(view.capacity_seen_mib)) }
            dt { "slots" } dd { (view.slots_listed) " of " (view.slots_planned) " matched by " (view.matched_by) }
        }
        @if !view.differences.is_empty() {
            (cautions())
            section #differences {
                h2 { "Differences, the gravest first" }
                ol.findings { @for difference in &view.differences { (one(difference, build)) } }
            }
        }
        (list("Errors counted before, none since", &view.old_errors.iter().filter_map(|e| e.words.clone()).collect::<Vec<_>>()))
        (list("What this report cannot tell", &view.untold))
        (list("Noted while reading", &view.notes))
        @if let Some(build) = build { (slots(view, build)) }
    }
}

fn modules(count: usize) -> String {
    format!("{count} module{}", if count == 1 { "" } else { "s" })
}

fn cautions() -> Markup {
    html! {
        div.cautions role="note" {
            p { strong { "Before you open it" } }
            ul {
                li { "Shut down, pull every power cord, and wait for the standby light to go out." }
                li { "Wear the wrist strap; modules and heat sinks may be hot." }
                li { "A non-volatile module may hold a customer's data: set it apart." }
                li { "Follow the maker's service manual. At the next start memory is trained anew, which can take minutes: don't cut power." }
            }
        }
    }
}

fn one(difference: &DifferenceView, build: Option<&Build>) -> Markup {
    html! {
        li class={ "is-" (difference.severity().word()) } {
            p.head { (judged::mark(difference.severity().word())) " " strong { (difference.what) } ": " (place(difference, build)) }
            dl.facts { dt { "planned" } dd { (difference.planned) } dt { "seen" } dd { (difference.seen) } }
            @if !difference.causes.is_empty() {
                p { "Likely, in this order:" }
                ol { @for cause in &difference.causes { li { strong { (cause.what) } ": " (prose::inline(&cause.why)) " " span.hint { "(" (cause.mark) ")" } } } }
            }
        }
    }
}

fn place(difference: &DifferenceView, build: Option<&Build>) -> Markup {
    // Where its slots are links, its words need not name them too.
    let named = difference.slots.join(", ");
    let words = match difference.place.as_str() {
        place if build.is_none() || named.is_empty() => place,
        place if place == named => "",
        place => place.strip_suffix(&format!(" ({named})")).unwrap_or(place),
    };
    html! {
        (words)
        @if build.is_some() {
            @for slot in &difference.slots { " " a href={ "#" (judged::anchor(slot)) } aria-label={ (slot) " in the table" } { "▸ " (slot) } }
        }
    }
}

fn list(title: &str, lines: &[String]) -> Markup {
    html! { @if !lines.is_empty() { h2 { (title) } ul { @for line in lines { li { (line) } } } } }
}

fn slots(view: &CompareView, build: &Build) -> Markup {
    let planned = BuildView::new(build);
    let differs =
        |label: &str| view.differences.iter().filter(|d| d.slots.iter().any(|s| s == label)).collect::<Vec<_>>();
    html! {
        section #slots {
            h2 { "Slots" }
            div.wide tabindex="0" role="group" aria-label="Table" { table.slots {
                thead { tr { th scope="col" { "Slot" } th scope="col" { "Planned" } th scope="col" { "Differs" } } }
                tbody { @for slot in &build.board.slots {
                    tr id=(judged::anchor(&slot.label)) {
                        th scope="row" { (slot.label) }
                        td { @match planned.slots.iter().find(|(label, _)| **label == slot.label) { Some((_, module)) => (module), None => "empty" } }
                        td { @for d in differs(&slot.label) { span.found { (judged::mark(d.severity().word())) " " (d.what) } " " } }
                    }
                } }
            } }
        }
    }
}
