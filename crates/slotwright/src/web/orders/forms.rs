//! What can be done to an order at its stage, each as a form for the bench.

use super::new;
use super::one::Sent;
use crate::verbs::shop::bins::walk;
use crate::verbs::shop::order::{OrderCloselyView, PromiseView};
use crate::web::field::Field;
use crate::web::layout;
use domain::order::{Promise, Stage};
use maud::{Markup, html};

/// The forms of an order's stage.
pub fn all(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    let stage = Stage::parse(&view.order.stage);
    html! {
        @match stage {
            Some(Stage::Asked) if !sent.plans => { (asked(view)) }
            Some(Stage::Chosen) => { (reserve(view, sent)) }
            Some(Stage::Reserved) => { (pick(view, sent)) }
            Some(Stage::Picked) => { (step(view, sent, &[("built", "It is built")], "All modules are in their slots, covers and baffles are back on.")) }
            Some(Stage::Built) => { (step(view, sent, &[("verified", "It is verified")], "The machine sees what was planned: hold a snapshot of it against the build first.")) }
            Some(Stage::Verified) => { (step(view, sent, &[("shipped", "It is shipped"), ("back", "Back to the bench")], "What is shipped leaves the stock for good.")) }
            _ => {}
        }
        @if has(view, "swap") { (swap(view, sent)) }
    }
}

/// Does the page have a form for this act? One that was sent from an older page may have none by now.
pub fn has(view: &OrderCloselyView, act: &str) -> bool {
    let stage = Stage::parse(&view.order.stage);
    match act {
        "cancel" | "change" | "change-due" => stage.is_some_and(Stage::is_open),
        "reserve" => stage == Some(Stage::Chosen),
        "pick" => stage == Some(Stage::Reserved) && waiting(view) > 0,
        "picked" => stage == Some(Stage::Reserved) && waiting(view) == 0,
        "built" => stage == Some(Stage::Picked),
        "verified" => stage == Some(Stage::Built),
        "shipped" | "back" => stage == Some(Stage::Verified),
        "swap" | "swap-item" | "swap-why" => {
            matches!(stage, Some(Stage::Reserved | Stage::Picked | Stage::Built | Stage::Verified))
        }
        _ => false,
    }
}

/// What went wrong with an act, where it has no field of its own.
fn general(sent: &Sent<'_>, act: &str) -> Markup {
    html! { @if let Some(failure) = sent.failure_of(act) { (layout::told(failure)) } }
}

fn hidden(view: &OrderCloselyView) -> Markup {
    html! { input type="hidden" name="version" value=(view.order.version); }
}

fn path(view: &OrderCloselyView) -> String {
    format!("/order/{}", view.order.number)
}

fn asked(view: &OrderCloselyView) -> Markup {
    html! {
        div.acts {
            a.button href={ (path(view)) "?plans=1#plans" } { "Plan it from the shelf" }
            a.button.lesser href="/allocate" { "Allocate stock to all open orders" }
        }
    }
}

fn reserve(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    html! {
        form method="post" action=(path(view)) {
            fieldset {
                legend { "Reserve its modules" }
                (general(sent, "reserve"))
                p.hint { "Exact modules are promised to this order: matched sets first, then those that lie here longest. Nobody else gets them then." }
                div.acts {
                    button name="act" value="reserve" { "Reserve them" }
                    @if !sent.plans { a.button.lesser href={ (path(view)) "?plans=1#plans" } { "Choose another build" } }
                }
            }
        }
    }
}

/// Modules that still wait to be picked.
fn waiting(view: &OrderCloselyView) -> usize {
    view.modules.iter().filter(|m| m.state == Promise::Held.word()).count()
}

fn pick(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    let left = waiting(view);
    let wrong = sent.words_of("pick");
    let field = Field {
        name: "scan",
        label: "Serial of the module in your hand",
        hint: "a scanner types here and ends with Enter; of a module without a serial its item number",
        value: if wrong.is_some() { sent.fields.get("scan") } else { "" },
        wrong: wrong.as_deref().into_iter().collect(),
        ..Field::default()
    };
    html! {
        form method="post" action=(path(view)) {
            fieldset {
                legend { "Pick" }
                @if left == 0 {
                    input type="hidden" name="act" value="picked";
                    (hidden(view))
                    (general(sent, "picked"))
                    p { "All its modules are picked." }
                    div.acts { button { "Go on to the bench" } }
                } @else {
                    input type="hidden" name="act" value="pick";
                    p { strong { (left) " of " (bound(view).count()) } " to pick; the next lies in bin " strong { (next_bin(view)) } "." }
                    (field.scanner())
                    div.acts {
                        button { "Pick it" }
                        a.button.lesser href={ "/sheet/pick-list?order=" (view.order.number) } { "Pick list" }
                        @if !sent.plans { a.button.lesser href={ (path(view)) "?plans=1#plans" } { "Choose another build" } }
                    }
                }
            }
        }
    }
}

/// The bin with the first module that waits, in the order of the bins.
fn next_bin(view: &OrderCloselyView) -> &str {
    let held = view.modules.iter().filter(|m| m.state == Promise::Held.word());
    held.map(|m| m.bin.as_str()).min_by_key(|bin| walk(bin)).filter(|b| !b.is_empty()).unwrap_or("(none named)")
}

/// Modules that are the order's now.
pub fn bound(view: &OrderCloselyView) -> impl Iterator<Item = &PromiseView> {
    view.modules.iter().filter(|m| Promise::parse(&m.state).is_some_and(Promise::binds))
}

fn step(view: &OrderCloselyView, sent: &Sent<'_>, ways: &[(&str, &str)], means: &str) -> Markup {
    html! {
        form method="post" action=(path(view)) {
            fieldset {
                legend { "The next step" }
                @for (act, _) in ways { (general(sent, act)) }
                (hidden(view))
                p.hint { (means) }
                (Field { name: "note", label: "Note", hint: "a line for the record; may stay empty", value: sent.fields.get("note"), ..Field::default() }.line())
                div.acts {
                    @for (at, (act, words)) in ways.iter().enumerate() {
                        button.lesser[at > 0] name="act" value=(act) { (words) }
                    }
                }
            }
        }
    }
}

fn swap(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    let given = sent.fields;
    let (of_item, of_why) = (sent.words_of("swap-item"), sent.words_of("swap-why"));
    let many = view.order.machines > 1;
    let place = |m: &PromiseView| {
        let of = if many { format!("machine {}, ", m.machine) } else { String::new() };
        let what = m.serial.clone().unwrap_or_else(|| format!("item {}", m.item));
        (format!("{} {}", m.machine, m.slot), format!("{of}{}: {what}", m.slot))
    };
    let places: Vec<(String, String)> = bound(view).map(place).collect();
    let tick = |name: &str, words: &str| {
        html! { label.tick { input type="checkbox" name=(name) value="yes" checked[given.holds(name, "yes")]; " " (words) } }
    };
    html! {
        details open[sent.failure_of("swap").is_some() || of_item.is_some() || of_why.is_some()] {
            summary { "Exchange a module" }
            form method="post" action=(path(view)) {
                input type="hidden" name="act" value="swap";
                fieldset {
                    legend { "One module for another" }
                    (general(sent, "swap"))
                    div.row {
                        (Field { name: "place", label: "Comes out of", value: given.get("place"), ..Field::default() }.choice(&places))
                        (Field { name: "item", label: "Goes in", hint: "its serial, or its item number; a scanner may type here", value: given.get("item"), wrong: of_item.as_deref().into_iter().collect(), required: true, ..Field::default() }.line())
                        (Field { name: "why", label: "Why", hint: "stands in the history of both", value: given.get("why"), wrong: of_why.as_deref().into_iter().collect(), required: true, ..Field::default() }.line())
                    }
                    (tick("faulty", "What comes out is faulty: set it aside"))
                    (tick("anyway", "Another sort is meant: I checked the changed build"))
                    div.acts { button { "Exchange them" } }
                }
            }
        }
    }
}

/// What may change while an order is open, whatever its stage.
pub fn change(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    let wrong = sent.words_of("change-due");
    let mine = sent.fields.get("act") == "change";
    let (priority, due) = (view.order.priority.to_string(), view.order.due.clone().unwrap_or_default());
    let priority = if mine { sent.fields.get("priority") } else { &priority };
    html! { @if has(view, "change") {
        details open[wrong.is_some() || sent.failure_of("change").is_some()] {
            summary { "Change priority or due day" }
            form method="post" action=(path(view)) {
                fieldset {
                    legend { "Change" }
                    (general(sent, "change"))
                    input type="hidden" name="act" value="change";
                    (hidden(view))
                    div.row {
                        (new::priority(priority, &[]))
                        (Field { name: "due", label: "Wanted by", hint: "as 2026-12-24; empty if no day is named", value: if mine { sent.fields.get("due") } else { &due }, wrong: wrong.as_deref().into_iter().collect(), ..Field::default() }.line())
                    }
                    p.hint { "What changes stands in its history. Who gets which modules is only weighed anew by the next allocation." }
                    div.acts { button.lesser { "Change it" } }
                }
            }
        }
    } }
}

/// The way out, where it is still open.
pub fn cancel(view: &OrderCloselyView, sent: &Sent<'_>) -> Markup {
    let wrong = sent.words_of("cancel");
    html! { @if has(view, "cancel") {
        details open[wrong.is_some()] {
            summary { "Cancel this order" }
            form method="post" action=(path(view)) {
                fieldset {
                    legend { "Cancel" }
                    input type="hidden" name="act" value="cancel";
                    (hidden(view))
                    p { "Everything that it holds goes back on the shelf. A cancelled order can't be taken up again." }
                    (Field { name: "reason", label: "Reason", hint: "stands in its history", value: sent.fields.get("reason"), wrong: wrong.as_deref().into_iter().collect(), required: true, ..Field::default() }.line())
                    div.acts { button.lesser { "Cancel the order" } }
                }
            }
        }
    } }
}
