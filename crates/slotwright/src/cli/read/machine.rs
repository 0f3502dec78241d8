//! What a machine reports: a table by slot, the sums, and notes.

use super::module::read_as;
use super::{findings, notes};
use crate::cli::judged::section;
use crate::cli::paint::Paint;
use crate::cli::table::{facts, table};
use crate::verbs::read::{ItemView, seen};
use domain::Snapshot;
use domain::snapshot::{ErrorCounts, SeenSlot};

/// Everything that is said of a machine.
pub fn whole(item: &ItemView, paint: Paint) -> String {
    let Some(snapshot) = &item.machine else { return String::new() };
    let mut text = format!("{}: {}\n{}", paint.strong(&read_as(&item.input)), item.from, facts(&seen::head(snapshot)));
    if !snapshot.slots.is_empty() {
        text.push_str(&section("slots", &slots(snapshot), paint));
    }
    text.push_str(&section("error counters", &counters(&snapshot.errors), paint));
    text.push_str(&section("findings", &findings(&item.findings, paint), paint));
    text.push_str(&section("notes", &notes(&item.notes), paint));
    text
}

fn slots(snapshot: &Snapshot) -> String {
    let bank = snapshot.slots.iter().any(|s| s.bank.as_ref().is_some_and(|b| !b.trim().is_empty()));
    let mut head = vec!["slot"];
    if bank {
        head.push("bank");
    }
    head.extend(["module", "rated", "runs at", "maker", "part number", "serial"]);
    let rows = snapshot.slots.iter().map(|slot| row(slot, bank)).collect();
    let rate = usize::from(bank) + 2;
    table(&head, &[rate, rate + 1], rows)
}

fn row(slot: &SeenSlot, bank: bool) -> Vec<String> {
    let words = seen::slot(slot);
    let mut cells = vec![words.name];
    if bank {
        cells.push(words.bank);
    }
    cells.extend([words.module, words.rated, words.running, words.maker, words.part_number, words.serial]);
    cells
}

fn counters(errors: &ErrorCounts) -> String {
    match errors {
        ErrorCounts::NotRead => String::new(),
        ErrorCounts::NoDriver => format!("  {}\n", seen::NO_DRIVER),
        ErrorCounts::Read(_) => {
            let rows = seen::counters(errors).into_iter().map(Vec::from).collect();
            table(&["controller", "module", "corrected", "uncorrected"], &[2, 3], rows)
        }
    }
}
