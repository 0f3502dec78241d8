//! Logged errors: which modules they point to, then a line an event.

use super::module::read_as;
use super::notes;
use crate::cli::judged::section;
use crate::cli::paint::Paint;
use crate::cli::table::{table, wrap};
use crate::verbs::read::{ErrorsView, ItemView, SuspectView};

/// Events shown; `--json` has all.
const SHOWN: usize = 20;

/// Everything that is said of a log.
pub fn whole(item: &ItemView, paint: Paint) -> String {
    let Some(errors) = &item.errors else { return String::new() };
    let threshold = &errors.threshold;
    let mut text = format!("{}: {}\n", paint.strong(&read_as(&item.input)), item.from);
    let rule = format!("too many corrected errors: {} ({}, {})", threshold.words, threshold.name, threshold.source);
    text.push_str(&format!("{}\n", wrap(&rule, 2)));
    let suspects: String = errors.suspects.iter().map(|s| suspect(s, paint)).collect();
    let none = "  none: the log has notices only\n".to_string();
    text.push_str(&section("modules", if suspects.is_empty() { &none } else { &suspects }, paint));
    text.push_str(&section("events", &events(errors), paint));
    text.push_str(&section("notes", &notes(&item.notes), paint));
    text
}

fn suspect(suspect: &SuspectView, paint: Paint) -> String {
    let word = if suspect.replace { paint.severity("suspect") } else { "watch".to_string() };
    let mut text = format!("  {word}: {} ({})\n", suspect.module, suspect.known);
    for line in suspect.evidence.iter().cloned().chain([format!("do: {}", suspect.advice)]) {
        text.push_str(&format!("{}\n", wrap(&line, 6)));
    }
    text
}

fn events(errors: &ErrorsView) -> String {
    let row = |event: &crate::verbs::read::EventView| {
        let at = event.at.clone().unwrap_or_else(|| "no clock".to_string());
        vec![at, event.gravity.clone(), event.what.clone(), event.place.clone(), event.notes.join("; ")]
    };
    let rows = errors.events.iter().take(SHOWN).map(row).collect();
    let mut text = table(&["when (UTC)", "", "what", "where", ""], &[], rows);
    if errors.events.len() > SHOWN {
        text.push_str(&format!("  and {} more; --json has all\n", errors.events.len() - SHOWN));
    }
    text
}
