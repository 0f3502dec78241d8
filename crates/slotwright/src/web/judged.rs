//! A judged build as HTML: the verdict, figures, rate link by link, regions, findings, the map, and the same as a table.

use super::query::Query;
use crate::verbs::findings::FindingView;
use crate::verbs::in_short;
use crate::verbs::judgement::{JudgementView, SlotView};
use domain::{Board, Capacity, SlotIndex};
use draw::Drawing;
use maud::{Markup, PreEscaped, html};

/// The verdict in a line, announced where it changes.
pub fn verdict(view: &JudgementView) -> Markup {
    let worst = view.findings.first().map_or("clean", |f| f.severity.as_str());
    html! {
        p #verdict class={ "verdict is-" (worst) } role="status" { (mark(worst)) " " (view.summary) ": " (counts(&view.findings)) }
    }
}

/// `2 wrong, 1 slower`, or that nothing was found.
pub fn counts(findings: &[FindingView]) -> String {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for finding in findings {
        match counts.iter_mut().find(|(s, _)| *s == finding.severity) {
            Some((_, n)) => *n += 1,
            None => counts.push((&finding.severity, 1)),
        }
    }
    if counts.is_empty() {
        return "nothing found".to_string();
    }
    let words = |(severity, n): &(&str, usize)| match (*severity, n) {
        ("note", 2..) => format!("{n} notes"),
        _ => format!("{n} {severity}"),
    };
    counts.iter().map(words).collect::<Vec<_>>().join(", ")
}

/// The letter of a severity in its shape, beside its word; the drawings use the same letters.
pub fn mark(severity: &str) -> Markup {
    let letter = match severity {
        "wrong" => "W",
        "unsupported" => "X",
        "slower" => "S",
        "unproven" => "U",
        "note" => "N",
        "reject" => "R",
        "suspect" => "Q",
        _ => "✓",
    };
    html! { span class={ "mark is-" (severity) } aria-hidden="true" { (letter) } }
}

/// The figures in short.
pub fn facts(view: &JudgementView) -> Markup {
    let mut rows: Vec<(&str, Vec<String>)> = Vec::new();
    // The first row is the verdict, which the page has at its head.
    for (key, value) in in_short::rows(view).into_iter().skip(1) {
        match rows.last_mut() {
            // A row without a key goes on with the one above.
            Some((_, values)) if key.is_empty() => values.push(value),
            _ => rows.push((key, vec![value])),
        }
    }
    html! {
        dl.facts #figures {
            @for (key, values) in rows { dt { (key) } @for value in values { dd { (value) } } }
        }
    }
}

/// The chain of limits.
pub fn chain(view: &JudgementView) -> Markup {
    html! {
        section #rate {
            h2 { "Data rate, link by link" }
            @if view.rate_chain.is_empty() { p { "Nothing runs." } } @else {
                div.wide tabindex="0" role="group" aria-label="Table" { table {
                    thead { tr { th scope="col" { "Limit" } th.number scope="col" { "At most" } th scope="col" { "Because of" } th scope="col" { "Binds" } } }
                    tbody {
                        @for link in &view.rate_chain {
                            tr.binds[link.binds] {
                                th scope="row" { (link.what) }
                                td.number { (link.most_mts) " MT/s" }
                                td { (link.because) }
                                td { @if link.binds { strong { "◀ yes" } } }
                            }
                        }
                    }
                } }
                @for link in view.rate_chain.iter().filter(|l| l.binds && !l.lift.is_empty()) {
                    p { "To lift the " (link.what) ": " (link.lift) }
                }
            }
        }
    }
}

/// The address ranges.
pub fn regions(view: &JudgementView) -> Markup {
    html! {
        section #regions {
            @if !view.regions.is_empty() {
                h2 { "Regions" }
                p.hint { "A region is an address range that one interleave set serves; with more than one, bandwidth hangs on which is read." }
                div.wide tabindex="0" role="group" aria-label="Table" { table {
                    thead { tr {
                        th scope="col" { "Socket" } th.number scope="col" { "Channels wide" }
                        th.number scope="col" { "Capacity" } th scope="col" { "Channels" }
                    } }
                    tbody {
                        @for region in &view.regions {
                            tr {
                                td { (socket_of(view, region.socket)) } td.number { (region.width) }
                                td.number { (Capacity::from_mib(region.capacity_mib)) }
                                td { (region.members.iter().map(u8::to_string).collect::<Vec<_>>().join(" ")) }
                            }
                        }
                    }
                } }
                @if let Some(caution) = &view.regions_caution { p { (caution) } }
            }
        }
    }
}

/// Findings, worst first, each linked to its rule and its slots.
pub fn findings(all: &[FindingView]) -> Markup {
    html! {
        section #findings {
            h2 { "Findings" }
            @if all.is_empty() { p { "None." } } @else {
                ul.findings {
                    @for finding in all {
                        li class={ "is-" (finding.severity) } {
                            p.head {
                                (mark(&finding.severity)) " " strong { (finding.severity) } ": "
                                a href={ "/rules/" (finding.rule) } { (finding.rule) } ", " (place(finding))
                            }
                            p { (finding.evidence) }
                            p { "The machine: " (finding.outcome) }
                            p { "Do: " (finding.advice) }
                        }
                    }
                }
            }
        }
    }
}

fn place(finding: &FindingView) -> Markup {
    let slots = &finding.place.slots;
    html! {
        @if slots.is_empty() || finding.place.words != slots.join(", ") { (finding.place.words) }
        @else { @for (at, slot) in slots.iter().enumerate() { @if at > 0 { ", " } a href={ "#" (anchor(slot)) } { (slot) } } }
    }
}

/// The id of a slot's row; labels are a user's and may hold anything.
pub fn anchor(label: &str) -> String {
    let plain: String = label.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    if plain == label.replace('_', "-") || label.chars().all(|c| c.is_ascii_alphanumeric() || c == '-') {
        return format!("slot-{plain}");
    }
    let sum = label.bytes().fold(0u32, |sum, b| sum.wrapping_mul(31).wrapping_add(u32::from(b)));
    format!("slot-{plain}-{sum:08x}")
}

/// The map, its slots leading to their rows of the table below.
pub fn map(drawing: &Drawing, view: &JudgementView) -> Markup {
    linked(drawing, &|slot| view.slots.get(slot.at()).map(|s| format!("#{}", anchor(&s.label))))
}

/// The map of a board alone, its slots leading to their rows.
pub fn board_map(drawing: &Drawing, board: &Board) -> Markup {
    linked(drawing, &|slot| Some(format!("#{}", anchor(&board.slot(slot).label))))
}

fn linked(drawing: &Drawing, link: &dyn Fn(SlotIndex) -> Option<String>) -> Markup {
    html! {
        section #map aria-label="Slot map" {
            div.map data-map="" { (PreEscaped(draw::svg::embedded(drawing, link))) }
        }
    }
}

/// What the map shows, as a table; `cell` makes the cell of a slot's module.
pub fn table(view: &JudgementView, cell: &dyn Fn(&SlotView) -> Markup) -> Markup {
    slots(&view.slots, cell, &|slot| of_slot(view, &slot.label))
}

/// The same before anything is judged.
pub fn rows(all: &[SlotView], cell: &dyn Fn(&SlotView) -> Markup) -> Markup {
    slots(all, cell, &|_| html! {})
}

fn slots(all: &[SlotView], cell: &dyn Fn(&SlotView) -> Markup, found: &dyn Fn(&SlotView) -> Markup) -> Markup {
    html! {
        section #slots {
            h2 { "Slots" }
            div.wide tabindex="0" role="group" aria-label="Table" { table.slots.judged {
                thead { tr {
                    th scope="col" { "Slot" } th scope="col" { "Module" } th scope="col" { "Findings" }
                    th scope="col" { "Socket" } th scope="col" { "Channel" } th scope="col" { "Place in it" }
                } }
                tbody {
                    @for slot in all {
                        tr id=(anchor(&slot.label)) {
                            th scope="row" { (slot.label) }
                            td { (cell(slot)) }
                            td.of-slot { (found(slot)) }
                            td { (socket(slot)) }
                            td { (slot.controller) "." (slot.channel) }
                            td { (nth(slot.position)) }
                        }
                    }
                }
            } }
            p.hint { "A channel is written as controller and channel within it, from 0. The first slot of a channel is filled first." }
        }
    }
}

/// A socket by the name that the board gives it, else by its number.
fn socket(slot: &SlotView) -> String {
    if slot.socket_name.is_empty() { slot.socket.to_string() } else { slot.socket_name.clone() }
}

fn socket_of(view: &JudgementView, number: u8) -> String {
    view.slots.iter().find(|s| s.socket == number).map_or_else(|| number.to_string(), socket)
}

fn of_slot(view: &JudgementView, label: &str) -> Markup {
    let own = view.findings.iter().filter(|f| f.place.slots.iter().any(|s| s == label));
    html! { @for finding in own { span.found { (mark(&finding.severity)) " " (finding.rule) } " " } }
}

/// `first`, `second`, `third`: which slot of its channel.
pub fn nth(position: u8) -> String {
    match position {
        0 => "first".to_string(),
        1 => "second".to_string(),
        2 => "third".to_string(),
        more => format!("{}th", more + 1),
    }
}

/// What sits in a slot, in words.
pub fn module(slot: &SlotView) -> Markup {
    html! {
        @match &slot.module {
            Some(module) => { (module.short) @if module.short != module.label { " " span.hint.label { (module.label) } } }
            None => { "empty" }
        }
    }
}

/// The map in small, as one picture.
pub fn small(drawing: &Drawing) -> Markup {
    html! { div.small-map { (PreEscaped(draw::svg::small(drawing))) } }
}

/// A query's copy of a need or a build, as a file to keep.
pub fn file(title: &str, name: &str, text: &str, query: &Query, path: &str) -> Markup {
    html! {
        details.file {
            summary { (title) }
            pre tabindex="0" aria-label=(title) { code { (text) } }
            p { a href=(query.with("file", name).to(path)) download=(name) { "Keep it as " (name) } }
        }
    }
}
