//! What a machine reports: its head, a table by slot, error counters, signs and notes.

use super::found::{notes, read_as, signs};
use crate::verbs::read::seen::{self, SlotWords};
use crate::verbs::read::{ItemView, NoteView, SignView};
use domain::Snapshot;
use domain::snapshot::ErrorCounts;
use maud::{Markup, html};

/// One machine.
pub fn whole(item: &ItemView) -> Markup {
    let Some(snapshot) = &item.machine else { return html! {} };
    let own: Vec<(String, &SignView)> = item.findings.iter().map(|s| (String::new(), s)).collect();
    let told: Vec<(String, &NoteView)> = item.notes.iter().map(|n| (String::new(), n)).collect();
    html! {
        section.machine {
            h2 { "Machine " span.hint { "by its " (read_as(&item.input)) " " (item.from) } }
            dl.facts { @for (key, value) in seen::head(snapshot) { dt { (key) } dd { (value) } } }
            @if !snapshot.slots.is_empty() { (slots(snapshot)) }
            (counters(&snapshot.errors))
            (signs(&own))
            (notes(&told))
        }
    }
}

fn slots(snapshot: &Snapshot) -> Markup {
    let rows: Vec<SlotWords> = snapshot.slots.iter().map(seen::slot).collect();
    let bank = rows.iter().any(|r| !r.bank.is_empty());
    html! {
        h3 { "Slots" }
        div.wide tabindex="0" role="group" aria-label="Table" { table.slots {
            thead { tr {
                th scope="col" { "Slot" } @if bank { th scope="col" { "Bank" } }
                th scope="col" { "Module" } th.number scope="col" { "Rated" } th.number scope="col" { "Runs at" }
                th scope="col" { "Maker" } th scope="col" { "Part number" } th scope="col" { "Serial" }
            } }
            tbody { @for row in &rows { tr {
                th scope="row" { (row.name) } @if bank { td { (row.bank) } }
                td {
                    @if row.is_filled { (row.module) } @else { span.hint { (row.module) } }
                    @if row.is_nonvolatile { strong { ": keeps its contents" } }
                }
                td.number { (row.rated) } td.number { (row.running) }
                td { (row.maker) } td { (row.part_number) } td { (row.serial) }
            } } }
        } }
        p.hint { "Rates in MT/s, as the machine reports them." }
    }
}

fn counters(errors: &ErrorCounts) -> Markup {
    let rows = seen::counters(errors);
    html! {
        @if *errors == ErrorCounts::NoDriver { h3 { "Error counters" } p { (seen::NO_DRIVER) "." } }
        @if !rows.is_empty() {
            h3 { "Error counters" }
            div.wide tabindex="0" role="group" aria-label="Table" { table {
                thead { tr { th scope="col" { "Controller" } th scope="col" { "Module" } th.number scope="col" { "Corrected" } th.number scope="col" { "Uncorrected" } } }
                tbody { @for [controller, module, corrected, uncorrected] in &rows { tr {
                    td { (controller) } td { (module) } td.number { (corrected) } td.number { (uncorrected) }
                } } }
            } }
        }
    }
}
