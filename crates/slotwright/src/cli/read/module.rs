//! One module closely: every fact with where it comes from.

use super::{findings, notes};
use crate::cli::judged::section;
use crate::cli::paint::Paint;
use crate::cli::table::table;
use crate::verbs::read::{FactView, ItemView};

/// The module's facts, what is odd about it, and notes.
pub fn closely(item: &ItemView, paint: Paint) -> String {
    let Some(module) = &item.module else { return String::new() };
    let mut text = format!("{}: {}\n", paint.strong(&read_as(&item.input)), item.from);
    text.push_str(&table(&["", "", "from"], &[], rows(&module.facts)));
    let none = "  none: nothing that was read speaks against this module\n".to_string();
    let found = if item.findings.is_empty() { none } else { findings(&item.findings, paint) };
    text.push_str(&section("findings", &found, paint));
    text.push_str(&section("notes", &notes(&item.notes), paint));
    text
}

/// A fact that two sources tell differently stands twice, its name once.
fn rows(facts: &[FactView]) -> Vec<Vec<String>> {
    let mut last = "";
    let mut rows = Vec::new();
    for fact in facts {
        let what = if fact.what == last { String::new() } else { fact.what.clone() };
        last = &fact.what;
        rows.push(vec![what, fact.value.clone(), fact.from.join(", ")]);
    }
    rows
}

/// What it was taken for, in words.
pub fn read_as(input: &str) -> String {
    match input {
        "label" => "label",
        "part-number" => "part number",
        "spd" => "SPD contents",
        "smbios" => "SMBIOS tables",
        "redfish" => "Redfish",
        "edac" => "error counters",
        "cper" => "UEFI error records",
        "sel" => "event log of the management controller",
        other => other,
    }
    .to_string()
}
