//! The fields that needs and builds have alike: processors by socket, modes, firmware.

use super::field::Field;
use super::need::Wrong;
use super::query::Query;
use domain::{Board, Catalog};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// The fields; a processor that is not said is the board's first family.
pub fn fields(catalog: &Catalog, board: &Board, query: &Query, wrong: &Wrong) -> Markup {
    let mut processors: Vec<(String, String)> =
        board.processors.iter().map(|id| (id.to_string(), id.to_string())).collect();
    processors.push(("none".to_string(), "none: this socket stays empty".to_string()));
    let given: Vec<&str> = query.all("processors").collect();
    let first = board.processors.first().map(|p| p.0.as_str()).unwrap_or_default();
    let modes: Vec<(String, String)> = board.mode_names().iter().map(|m| (m.to_string(), m.to_string())).collect();
    let mut numa = vec![(String::new(), "as the firmware has it".to_string())];
    numa.extend(numa_modes(catalog, board).into_iter().map(|n| (n.clone(), n)));
    let field = |name: &'static str, label: &'static str, hint: &'static str| Field {
        name,
        label,
        hint,
        value: query.get(name),
        wrong: wrong.of(name).collect(),
        ..Field::default()
    };
    html! {
        div.row {
            @for (at, socket) in board.sockets.iter().enumerate() {
                @let label = format!("Processor in socket {}", socket.name);
                @let field = Field {
                    name: "processors",
                    label: &label,
                    value: given.get(at).copied().unwrap_or(first),
                    wrong: if at == 0 { wrong.of("processors").collect() } else { Vec::new() },
                    ..Field::default()
                };
                (field.nth_choice(at, &processors))
            }
            @if modes.len() > 1 { (field("mode", "RAS mode", "").choice(&modes)) }
            @if numa.len() > 1 { (field("numa", "NUMA mode", "").choice(&numa)) }
            (field("firmware", "Firmware level it has", "leave empty if not known").line())
        }
    }
}

/// NUMA modes that any processor of this board knows.
fn numa_modes(catalog: &Catalog, board: &Board) -> BTreeSet<String> {
    let families = board.processors.iter().filter_map(|id| catalog.processors.get(&id.0));
    families.flat_map(|p| p.numa.iter().map(|n| n.name.clone())).collect()
}
