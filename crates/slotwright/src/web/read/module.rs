//! Modules that were read: one closely, every fact with where it comes from, or several as a tray.

use super::found::{notes, read_as, signs};
use crate::verbs::read::{FactView, ItemView, ModuleView, NoteView, SignView, TrayView};
use crate::web::judged::mark;
use domain::Capacity;
use maud::{Markup, html};

/// One module.
pub fn closely(item: &ItemView) -> Markup {
    let Some(module) = &item.module else { return html! {} };
    let own: Vec<(String, &SignView)> = item.findings.iter().map(|s| (String::new(), s)).collect();
    let told: Vec<(String, &NoteView)> = item.notes.iter().map(|n| (String::new(), n)).collect();
    html! {
        section.module {
            h2 { (module.short()) span.hint { " by its " (sources(item)) } }
            (facts(&module.facts))
            (signs(&own))
            (notes(&told))
        }
    }
}

fn sources(item: &ItemView) -> String {
    let mut words: Vec<String> = Vec::new();
    for evidence in &item.evidence {
        let name = format!("{} {}", read_as(&evidence.input), evidence.from);
        if !words.contains(&name) {
            words.push(name);
        }
    }
    words.join("; ")
}

/// A fact that two sources tell differently stands twice, its name once.
fn facts(all: &[FactView]) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table {
            thead { tr { th scope="col" { "Fact" } th scope="col" { "Value" } th scope="col" { "From" } } }
            tbody {
                @for (at, fact) in all.iter().enumerate() {
                    @let again = at.checked_sub(1).and_then(|b| all.get(b)).is_some_and(|b| b.what == fact.what);
                    tr {
                        th scope="row" { @if again { span.unseen { (fact.what) ", also" } } @else { (fact.what) } }
                        td { (fact.value) } td { (fact.from.join(", ")) }
                    }
                }
            }
        } }
    }
}

/// Several: a line each, what they show, the sums, and each closely on demand.
pub fn tray(tray: &TrayView, items: &[(usize, &ItemView)]) -> Markup {
    let number = |place: &usize| (place + 1).to_string();
    let mut seen: Vec<(String, &SignView)> =
        items.iter().flat_map(|(place, item)| item.findings.iter().map(move |f| (number(place), f))).collect();
    for shared in &tray.together {
        let places: Vec<String> = shared.items.iter().map(number).collect();
        seen.push((places.join(", "), &shared.finding));
    }
    let told: Vec<(String, &NoteView)> =
        items.iter().flat_map(|(place, item)| item.notes.iter().map(move |n| (number(place), n))).collect();
    html! {
        section #tray {
            h2 { "Tray" }
            (lines(tray, items))
            (sums(tray))
            (signs(&seen))
            (notes(&told))
            details {
                summary { "Each module closely" }
                @for (place, item) in items {
                    @if let Some(module) = &item.module {
                        h3 { (number(place)) ": " (item.from) }
                        (facts(&module.facts))
                    }
                }
            }
        }
    }
}

fn lines(tray: &TrayView, items: &[(usize, &ItemView)]) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label="Table" { table.plans {
            thead { tr {
                th.number scope="col" { "Line" } th scope="col" { "From" } th scope="col" { "Module" } th scope="col" { "Part number" }
                th scope="col" { "Serial" } th scope="col" { "Made" } th scope="col" { "Sign" }
            } }
            tbody {
                @for (place, item) in items {
                    @let module = item.module.as_ref().map(line).unwrap_or_default();
                    @let sign = tray.heaviest(*place, item).filter(|w| w != "note");
                    tr {
                        th.number scope="row" { (place + 1) }
                        td { (item.from) }
                        td { @if item.quantity > 1 { (item.quantity) " × " } (module.0) }
                        td { (module.1) } td { (module.2) } td { (module.3) }
                        td { @match &sign { Some(w) => { (mark(w)) " " (w) }, None => { "-" } } }
                    }
                }
            }
        } }
    }
}

/// What it is, part number, serial and date.
fn line(module: &ModuleView) -> (String, String, String, String) {
    (
        module.short(),
        module.part_number.as_deref().unwrap_or_default().trim().to_string(),
        module.serial.clone().unwrap_or_default(),
        module.made.as_ref().map_or_else(String::new, |m| format!("{} week {}", m.year, m.week)),
    )
}

fn sums(tray: &TrayView) -> Markup {
    html! {
        h3 { "In all" }
        dl.facts {
            dt { "modules" } dd { (tray.modules) ", " (Capacity::from_mib(tray.capacity_mib)) }
            dt { "of these" }
            @for group in &tray.groups {
                @let alike = ModuleView {
                    generation: group.generation.clone(),
                    kind: group.kind.clone(),
                    capacity_mib: group.capacity_mib,
                    data_rate_mts: group.data_rate_mts,
                    ..ModuleView::default()
                };
                dd { (group.modules) " × " (alike.short()) }
            }
            dt { "lines" } dd { (tray.clean) " clean, " (tray.suspects) " suspect, " (tray.rejects) " to reject" }
            dt { "repeated serials" } dd { (tray.repeated_serials) }
            dt { "mixed lots" } dd { (tray.mixed_lots) }
        }
    }
}
