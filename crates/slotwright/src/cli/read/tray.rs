//! Several modules: a line each, what they show, and the sums.

use super::{grouped, notes};
use crate::cli::judged::section;
use crate::cli::paint::Paint;
use crate::cli::table::{facts, table};
use crate::verbs::read::{ItemView, ModuleView, NoteView, TrayView};
use domain::Capacity;

/// Items with their place among all.
type Items<'a> = [(usize, &'a ItemView)];

/// The table, the findings, the notes and the sums.
pub fn whole(tray: &TrayView, items: &Items<'_>, paint: Paint) -> String {
    let head = ["", "from", "module", "part number", "serial", "made", "sign"];
    let rows = items.iter().map(|(place, item)| row(tray, *place, item)).collect();
    let mut text = table(&head, &[0], rows);
    text.push_str(&section("findings", &found(tray, items, paint), paint));
    text.push_str(&section("notes", &told(items), paint));
    text.push_str(&section("in all", &sums(tray), paint));
    text
}

fn row(tray: &TrayView, place: usize, item: &ItemView) -> Vec<String> {
    let module = item.module.clone().unwrap_or_default();
    let times = if item.quantity > 1 { format!("{} × ", item.quantity) } else { String::new() };
    vec![
        (place + 1).to_string(),
        item.from.clone(),
        format!("{times}{}", module.short()),
        module.part_number.unwrap_or_default().trim().to_string(),
        module.serial.unwrap_or_default(),
        module.made.map_or_else(String::new, |m| format!("{} week {}", m.year, m.week)),
        tray.heaviest(place, item).filter(|w| w != "note").unwrap_or_else(|| "-".to_string()),
    ]
}

fn found(tray: &TrayView, items: &Items<'_>, paint: Paint) -> String {
    let mut seen = Vec::new();
    for (place, item) in items {
        seen.extend(item.findings.iter().map(|f| ((place + 1).to_string(), f)));
    }
    for shared in &tray.together {
        let places: Vec<String> = shared.items.iter().map(|i| (i + 1).to_string()).collect();
        seen.push((places.join(", "), &shared.finding));
    }
    grouped(&seen, paint)
}

/// Notes of all items, each with its number.
fn told(items: &Items<'_>) -> String {
    let with_place = |(place, item): &(usize, &ItemView)| {
        let place = place + 1;
        item.notes.iter().map(move |n| NoteView { place: Some(place.to_string()), ..n.clone() }).collect::<Vec<_>>()
    };
    notes(&items.iter().flat_map(with_place).collect::<Vec<_>>())
}

fn sums(tray: &TrayView) -> String {
    let groups: Vec<String> = tray
        .groups
        .iter()
        .map(|g| {
            let module = ModuleView {
                generation: g.generation.clone(),
                kind: g.kind.clone(),
                capacity_mib: g.capacity_mib,
                data_rate_mts: g.data_rate_mts,
                ..ModuleView::default()
            };
            format!("{} × {}", g.modules, module.short())
        })
        .collect();
    let mut rows = vec![("modules", format!("{}, {}", tray.modules, Capacity::from_mib(tray.capacity_mib)))];
    rows.extend(groups.into_iter().enumerate().map(|(i, g)| (if i == 0 { "of these" } else { "" }, g)));
    rows.push(("lines", format!("{} clean, {} suspect, {} to reject", tray.clean, tray.suspects, tray.rejects)));
    rows.push(("repeated serials", tray.repeated_serials.to_string()));
    rows.push(("mixed lots", tray.mixed_lots.to_string()));
    facts(&rows)
}
